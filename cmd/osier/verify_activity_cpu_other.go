//go:build !unix

package main

import "time"

var processStart = time.Now()

// cpuSeconds is wall time where the system offers no processor time; a fit
// runs on one thread, so it is an upper bound but for the garbage collector.
func cpuSeconds() float64 { return time.Since(processStart).Seconds() }

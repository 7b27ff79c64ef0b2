//go:build unix

package main

import "syscall"

// cpuSeconds is the processor time that this process has used.
func cpuSeconds() float64 {
	var used syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &used) != nil {
		return 0
	}
	seconds := func(t syscall.Timeval) float64 { return float64(t.Sec) + float64(t.Usec)/1e6 }
	return seconds(used.Utime) + seconds(used.Stime)
}

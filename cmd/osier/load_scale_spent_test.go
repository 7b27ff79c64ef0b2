//go:build load

package main

import (
	"fmt"
	"time"
)

// spent is the time by the clock and that of the processor, which other work on
// the machine lengthens less.
type spent struct {
	took time.Duration
	cpuS float64
}

func (s *spent) on(work func()) {
	began, used := time.Now(), cpuSeconds()
	work()
	s.took += time.Since(began)
	s.cpuS += cpuSeconds() - used
}

// rates are the two rates of so many.
func (s spent) rates(n int) string {
	return fmt.Sprintf("%.0f/s by the clock, %.0f/s of processor time", float64(n)/s.took.Seconds(), float64(n)/s.cpuS)
}

package water_test

import (
	"testing"

	"osier/model/water"
)

// Ten years of hourly weather with nothing but air temperature known.
func BenchmarkTenYearsHourly(b *testing.B) {
	hours := season(april, 87660, 10, 8, 4)
	start := climateStart(b, site, april)
	out := make([]water.Estimate, 0, len(hours))
	b.ReportAllocs()
	for b.Loop() {
		var err error
		if out, _, err = water.Run(site, start, hours, out[:0]); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(hours)), "ns/hour")
}

// Appending into a slice with room allocates nothing.
func TestRunAllocatesNothing(t *testing.T) {
	hours := season(april, 1000, 10, 8, 4)
	start := climateStart(t, site, april)
	out := make([]water.Estimate, 0, len(hours))
	if n := testing.AllocsPerRun(10, func() { _, _, _ = water.Run(site, start, hours, out) }); n != 0 {
		t.Errorf("%v allocations in a run", n)
	}
}

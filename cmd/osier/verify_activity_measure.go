package main

import (
	"runtime"
	runtimemetrics "runtime/metrics"
	"time"

	"osier/model/activity"
)

// heapSampling is how often the heap is looked at during a fit.
const heapSampling = 2 * time.Millisecond

// heapBytes is the memory of live objects and of those not yet swept.
func heapBytes() uint64 {
	sample := []runtimemetrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	runtimemetrics.Read(sample)
	return sample[0].Value.Uint64()
}

// measureFit fits with everything integrated and flat priors, on one thread,
// and measures it. The data are on the heap before it starts.
func measureFit(records activity.CountRecords) (activity.CountFit, activityFit, error) {
	runtime.GC()
	before := heapBytes()
	done, sampled := make(chan struct{}), make(chan uint64)
	go sampleHeap(done, sampled)
	start, cpu := time.Now(), cpuSeconds()
	fit, err := activity.FitCounts(records, activity.CountPriors{}, activity.CountMethod{})
	wall, cpuUsed := time.Since(start), cpuSeconds()-cpu
	close(done)
	peak := max(<-sampled, before)
	if err != nil {
		return fit, activityFit{}, err
	}
	out := activityFit{
		Rows: fit.Rows, Seconds: wall.Seconds(), CPUSeconds: cpuUsed, PeakMiB: float64(peak) / (1 << 20),
		BeyondDataBytes: float64(peak-before) / float64(max(fit.Rows, 1)),
		LogLikelihood:   fit.LogLikelihood, SDs: map[string]float64{},
	}
	if fit.Spread.Alpha > 0 {
		theta := 1 / fit.Spread.Alpha
		out.Theta = &theta
	}
	for k, factor := range fit.Factors {
		out.SDs[factor.Name] = fit.Spread.SDs[k]
	}
	return fit, out, nil
}

// sampleHeap sends the largest heap seen until done.
func sampleHeap(done <-chan struct{}, peak chan<- uint64) {
	ticks := time.NewTicker(heapSampling)
	defer ticks.Stop()
	var largest uint64
	for {
		largest = max(largest, heapBytes())
		select {
		case <-done:
			peak <- max(largest, heapBytes())
			return
		case <-ticks.C:
		}
	}
}

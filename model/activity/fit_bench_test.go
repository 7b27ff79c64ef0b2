package activity_test

import (
	"testing"

	"osier/model/activity"
)

func BenchmarkFitOf300Sessions(b *testing.B) {
	records := anySessions(61, 300)
	for b.Loop() {
		mustFit(b, records)
	}
}

func BenchmarkUpdateByOneOf300Sessions(b *testing.B) {
	records := anySessions(61, 300)
	fit := mustFit(b, records[:299])
	for b.Loop() {
		if _, err := activity.UpdateFit(fit, records); err != nil {
			b.Fatal(err)
		}
	}
}

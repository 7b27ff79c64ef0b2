package main

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestBenchmarkRows(t *testing.T) {
	const out = `goos: linux
BenchmarkReads/plan,_not_modified-2         	       3	1029074167 ns/op	         0.8859 of_bare	      1833 reads/s
BenchmarkDecode-16   	 1000	   410 ns/op	       0 B/op	       0 allocs/op
PASS
ok  	osier/api	19.546s`
	want := []string{
		"| Reads/plan,_not_modified | 1029074167 ns/op, 0.8859 of_bare, 1833 reads/s |",
		"| Decode | 410 ns/op, 0 B/op, 0 allocs/op |",
	}
	if diff := cmp.Diff(want, benchmarkRows(out)); diff != "" {
		t.Errorf("rows (-want +got):\n%s", diff)
	}
}

// Command asof is the yardstick of the join: the nearest-earlier-row join of an
// analytical engine (DuckDB's ASOF join) over the same reports and the same hours
// as the program joins. It is a module of its own, so that neither the engine nor
// cgo, which it needs, come into go.mod; the load test TestLoadScale builds and
// runs it where a C++ compiler and the modules are at hand. By hand:
//
//	go build -tags no_duckdb_arrow -o asof . && ./asof -threads 1 FOLDER
//
// The folder holds two tables as CSV, times in Unix seconds:
//
//	reports.csv  station,at,wind_mps    each report of each station
//	wanted.csv   session,station,at     each whole hour of each session, once for each station of its water
//
// Wanted is the latest report of the station at or before each hour, and no
// older than -reach. Loading is not counted. The tables are held in memory or,
// with -stored, in a file that is closed and opened again before each run. Every
// row found is counted and goes into the sum, within the engine, which is how it
// is fastest; the fastest of three runs counts, by the clock and by processor time.
// One line of JSON is printed.
package main

import (
	"context"
	"database/sql"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"syscall"
	"time"

	_ "github.com/marcboeker/go-duckdb"
)

const runs = 3

// join finds the rows and sums them up. The sum is of a remainder of each row, by
// primes that keep its parts apart; the load test sums the same.
const join = `SELECT count(*), coalesce(sum((w.session * 7919 + w.station * 1299709 + w.at * 104729 + r.at * 15485863
	+ CAST(r.wind_mps * 10 AS BIGINT) * 32452843) % 2147483647), 0)::BIGINT
	FROM wanted w ASOF JOIN reports r ON w.station = r.station AND w.at >= r.at
	WHERE w.at - r.at <= $1`

// found is what is printed.
type found struct {
	Engine   string  `json:"engine"`
	Threads  int     `json:"threads"`
	Reports  int     `json:"reports"`
	Wanted   int     `json:"wanted"`
	Rows     int     `json:"rows"`
	Checksum int64   `json:"checksum"`
	Seconds  float64 `json:"seconds"`
	CPUS     float64 `json:"cpu_s"`
	LoadS    float64 `json:"load_s"`
}

func main() {
	threads := flag.Int("threads", 1, "how many threads the engine may use for the join")
	reach := flag.Int("reach", 1800, "how old a report may be, in seconds")
	stored := flag.Bool("stored", false, "keep the tables in a file in the folder, and read them from it")
	flag.Parse()
	if flag.NArg() != 1 {
		fmt.Fprintln(os.Stderr, "asof: name the one folder that holds reports.csv and wanted.csv")
		os.Exit(2)
	}
	out, err := measure(context.Background(), flag.Arg(0), *threads, *reach, *stored)
	if err == nil {
		err = json.NewEncoder(os.Stdout).Encode(out)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "asof:", err)
		os.Exit(1)
	}
}

// measure loads the tables and joins them.
func measure(ctx context.Context, dir string, threads, reach int, stored bool) (out found, err error) {
	path := ""
	if stored {
		path = filepath.Join(dir, "tables.duckdb")
		defer func() { _ = os.Remove(path) }()
	}
	began := time.Now()
	db, err := load(ctx, path, dir)
	if err != nil {
		return out, err
	}
	defer func() { _ = db.Close() }()
	out = found{Threads: threads, Seconds: math.Inf(1), CPUS: math.Inf(1), LoadS: time.Since(began).Seconds()}
	counts := `SELECT (SELECT count(*) FROM reports), (SELECT count(*) FROM wanted), version()`
	if err := db.QueryRowContext(ctx, counts).Scan(&out.Reports, &out.Wanted, &out.Engine); err != nil {
		return out, fmt.Errorf("count what was loaded: %w", err)
	}
	for range runs {
		if stored {
			if err := db.Close(); err != nil {
				return out, fmt.Errorf("close the tables: %w", err)
			}
			if db, err = open(path); err != nil {
				return out, err
			}
		}
		if err := joinOnce(ctx, db, threads, reach, &out); err != nil {
			return out, err
		}
	}
	return out, nil
}

// open opens the engine on one connection, whose settings then hold for all that
// is asked.
func open(path string) (*sql.DB, error) {
	db, err := sql.Open("duckdb", path)
	if err != nil {
		return nil, fmt.Errorf("open the engine: %w", err)
	}
	db.SetMaxOpenConns(1)
	return db, nil
}

// load reads the tables by as many threads as there are.
func load(ctx context.Context, path, dir string) (*sql.DB, error) {
	db, err := open(path)
	if err != nil {
		return nil, err
	}
	for _, table := range []struct{ name, columns string }{
		{"reports", "{'station': 'BIGINT', 'at': 'BIGINT', 'wind_mps': 'DOUBLE'}"},
		{"wanted", "{'session': 'BIGINT', 'station': 'BIGINT', 'at': 'BIGINT'}"},
	} {
		text := fmt.Sprintf("CREATE TABLE %s AS SELECT * FROM read_csv($1, header = true, columns = %s)", table.name, table.columns)
		if _, err := db.ExecContext(ctx, text, filepath.Join(dir, table.name+".csv")); err != nil {
			_ = db.Close()
			return nil, fmt.Errorf("load %s: %w", table.name, err)
		}
	}
	return db, nil
}

// joinOnce joins, and takes the times where they are better than before.
func joinOnce(ctx context.Context, db *sql.DB, threads, reach int, out *found) error {
	if _, err := db.ExecContext(ctx, fmt.Sprintf("SET threads = %d", threads)); err != nil {
		return fmt.Errorf("set the threads: %w", err)
	}
	began, used := time.Now(), cpuSeconds()
	if err := db.QueryRowContext(ctx, join, reach).Scan(&out.Rows, &out.Checksum); err != nil {
		return fmt.Errorf("join: %w", err)
	}
	out.Seconds = min(out.Seconds, time.Since(began).Seconds())
	out.CPUS = min(out.CPUS, cpuSeconds()-used)
	return nil
}

// cpuSeconds is the processor time that this process has used.
func cpuSeconds() float64 {
	var used syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &used) != nil {
		return 0
	}
	seconds := func(t syscall.Timeval) float64 { return float64(t.Sec) + float64(t.Usec)/1e6 }
	return seconds(used.Utime) + seconds(used.Stime)
}

package storetest

import (
	"bytes"
	"context"
	"crypto/rand"
	"database/sql"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // makes the scenarios' databases
)

// PostgresServer is a private server on loopback, of one test and those under it.
type PostgresServer struct {
	bin, dir, password string
	port               int
	settings           []string
	cmd                *exec.Cmd
	said               bytes.Buffer
	databases          atomic.Int64
}

// postgresUser owns the server; its password is there to be kept out of logs.
const postgresUser = "osier"

// StartPostgres starts a server in a temporary folder, which goes with the test.
// Without PostgreSQL on the machine the test is skipped, and says so. Its
// databases sort text by a language's rules, where the library for that is in
// it: what must sort by bytes has to say so. It does not wait for the disk, since
// the machine outlives it; settings such as "fsync=on" say otherwise.
func StartPostgres(tb testing.TB, settings ...string) *PostgresServer {
	tb.Helper()
	bin, ok := postgresBin()
	if !ok {
		tb.Skip("NOT CHECKED: there is no PostgreSQL on this machine (neither on the path nor in /usr/lib/postgresql or /usr/local)")
	}
	// The folder that testing gives is closed to other users, and the server
	// refuses to run as root.
	dir, err := os.MkdirTemp("", "osier-postgres")
	must(tb, "make a folder for the server", err)
	s := &PostgresServer{bin: bin, dir: dir, password: rand.Text(), settings: settings}
	tb.Cleanup(func() {
		s.Stop(tb)
		if err := os.RemoveAll(dir); err != nil {
			tb.Errorf("remove the server's folder: %v", err)
		}
	})
	must(tb, "give the folder to the server's user", giveToUnprivileged(dir))
	secret := filepath.Join(dir, "password")
	must(tb, "write the password", os.WriteFile(secret, []byte(s.password), 0o644))
	must(tb, "make the server's files", s.initialize(secret))
	s.Start(tb)
	return s
}

// PostgresHere says whether a server could be started.
func PostgresHere() bool { _, ok := postgresBin(); return ok }

// postgresBin finds the folder with initdb and postgres: on the path, or where
// distributions keep them, the newest first.
func postgresBin() (dir string, ok bool) {
	if path, err := exec.LookPath("initdb"); err == nil {
		return filepath.Dir(path), true
	}
	var found []string
	for _, pattern := range []string{"/usr/lib/postgresql/*/bin/initdb", "/usr/pgsql-*/bin/initdb", "/usr/local/pgsql/bin/initdb", "/usr/local/bin/initdb"} {
		paths, err := filepath.Glob(pattern)
		if err == nil {
			found = append(found, paths...)
		}
	}
	if len(found) == 0 {
		return "", false
	}
	return filepath.Dir(slices.Max(found)), true
}

func (s *PostgresServer) initialize(secret string) error {
	common := []string{"-D", s.data(), "-U", postgresUser, "-A", "scram-sha-256", "--pwfile", secret, "-E", "UTF8", "--no-sync"}
	var all error
	for _, sorted := range [][]string{{"--locale=C", "--locale-provider=icu", "--icu-locale=en"}, {"--locale=C"}} {
		cmd := s.command("initdb", append(common, sorted...)...)
		out, err := cmd.CombinedOutput()
		if err == nil {
			return nil
		}
		all = fmt.Errorf("%w: %s", err, out)
		if err := os.RemoveAll(s.data()); err != nil {
			return fmt.Errorf("begin anew: %w", err)
		}
	}
	return all
}

func (s *PostgresServer) data() string { return filepath.Join(s.dir, "data") }

func (s *PostgresServer) command(name string, args ...string) *exec.Cmd {
	cmd := exec.Command(filepath.Join(s.bin, name), args...)
	cmd.Dir = s.dir
	asUnprivileged(cmd)
	return cmd
}

// Start starts the server, on the port it had before if it had one, and waits
// until it answers.
func (s *PostgresServer) Start(tb testing.TB) {
	tb.Helper()
	if s.port == 0 {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		must(tb, "find a free port", err)
		s.port = l.Addr().(*net.TCPAddr).Port
		must(tb, "let go of the port", l.Close())
	}
	s.said.Reset()
	args := []string{"-D", s.data(), "-p", fmt.Sprint(s.port)}
	for _, setting := range append([]string{
		"listen_addresses=127.0.0.1", "unix_socket_directories=", "shared_buffers=32MB",
		"dynamic_shared_memory_type=mmap", "max_connections=200", "fsync=off",
	}, s.settings...) {
		args = append(args, "-c", setting)
	}
	s.cmd = s.command("postgres", args...)
	s.cmd.Stderr = &s.said
	must(tb, "start the server", s.cmd.Start())
	db := s.admin(tb)
	defer db.Close()
	for began := time.Now(); ; time.Sleep(50 * time.Millisecond) {
		err := db.PingContext(context.Background())
		if err == nil {
			return
		}
		if time.Since(began) > 30*time.Second {
			s.Kill(tb) // before what it said is read
			tb.Fatalf("PostgreSQL does not answer: %v; it said:\n%s", err, s.said.String())
		}
	}
}

// Stop ends the server as an operator would: those at work are cut off, and what
// was acknowledged is kept.
func (s *PostgresServer) Stop(tb testing.TB) { s.end(tb, os.Interrupt) }

// Kill ends the server as a crash would.
func (s *PostgresServer) Kill(tb testing.TB) { s.end(tb, crash) }

func (s *PostgresServer) end(tb testing.TB, how os.Signal) {
	tb.Helper()
	if s.cmd == nil {
		return
	}
	must(tb, "end the server", s.cmd.Process.Signal(how))
	_ = s.cmd.Wait() // its exit status says that it was ended
	s.cmd = nil
}

// Process is the server's own, for tests that stop it or let it go on.
func (s *PostgresServer) Process() *os.Process { return s.cmd.Process }

// Database makes an empty database and gives its address.
func (s *PostgresServer) Database(tb testing.TB) string {
	tb.Helper()
	db := s.admin(tb)
	defer db.Close()
	name := fmt.Sprintf("store_%d", s.databases.Add(1))
	_, err := db.ExecContext(context.Background(), "CREATE DATABASE "+name)
	must(tb, "make a database", err)
	return s.address(name)
}

func (s *PostgresServer) address(database string) string {
	return fmt.Sprintf("postgres://%s:%s@127.0.0.1:%d/%s?sslmode=disable", postgresUser, s.password, s.port, database)
}

// Password is what no error and no log may show.
func (s *PostgresServer) Password() string { return s.password }

func (s *PostgresServer) admin(tb testing.TB) *sql.DB {
	tb.Helper()
	db, err := sql.Open("pgx", s.address("postgres"))
	must(tb, "read the server's address", err)
	return db
}

func must(tb testing.TB, doing string, err error) {
	tb.Helper()
	if err != nil {
		tb.Fatalf("%s: %v", doing, err)
	}
}

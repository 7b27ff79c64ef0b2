// Command osier plans feeder sessions on stillwaters from public weather and
// the angler's own records, on the command line and over HTTP.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"syscall"
	"time"
	_ "time/tzdata" // a bare machine may know no time zones

	"github.com/alecthomas/kong"

	"osier/model"
)

// Exit codes, the same for every command.
const (
	exitDone   = 0
	exitFailed = 1
	exitUsage  = 2
)

// cli is every command and the flags that all of them take. A flag beats the
// environment, and the environment beats the default.
type cli struct {
	Data     string    `help:"Folder that holds the store." default:"${data}" env:"OSIER_DATA" placeholder:"DIR"`
	Postgres string    `help:"PostgreSQL database that holds the store instead, postgres://USER@HOST:PORT/DATABASE. A password is safer in the environment: others may see a command line." env:"OSIER_POSTGRES" placeholder:"URL"`
	Now      time.Time `help:"The clock, for replays and tests (RFC 3339)." env:"OSIER_NOW" placeholder:"RFC3339"`
	JSON     bool      `name:"json" help:"Print one JSON document and nothing else."`

	Demo       demoCmd       `cmd:"" help:"Show an invented club: one plan, and the API on loopback."`
	Serve      serveCmd      `cmd:"" help:"Serve the API and run the schedule."`
	Water      waterCmd      `cmd:"" help:"Register and show waters."`
	Club       clubCmd       `cmd:"" help:"Register and show clubs."`
	Outlook    outlookCmd    `cmd:"" help:"Build, edit, publish and show what a club tells of its waters."`
	Peg        pegCmd        `cmd:"" help:"Register pegs."`
	Angler     anglerCmd     `cmd:"" help:"Export everything stored of an angler, or forget them."`
	Kit        kitCmd        `cmd:"" help:"Record an angler's own feeders and rod; with no figures, show them."`
	Report     reportCmd     `cmd:"" help:"Record what somebody saw at a water."`
	Reading    readingCmd    `cmd:"" help:"Record what a thermometer or an oxygen meter showed in a water."`
	Restrict   restrictCmd   `cmd:"" help:"Close a water, ban keepnets or limit feed there, as a club decided; lift or list such restrictions."`
	Pull       pullCmd       `cmd:"" help:"Fetch the weather."`
	Replay     replayCmd     `cmd:"" help:"Serve recorded feed answers on loopback."`
	Conditions conditionsCmd `cmd:"" help:"Say what the weather means at a water."`
	Import     importCmd     `cmd:"" help:"Import session records."`
	Fit        fitCmd        `cmd:"" help:"Fit the activity model to the records."`
	Advise     adviseCmd     `cmd:"" help:"What to do now, in a session whose events are logged."`
	Score      scoreCmd      `cmd:"" help:"Score issued plans against what came of them."`
	Plan       planCmd       `cmd:"" help:"Plan a session."`
	Choose     chooseCmd     `cmd:"" help:"Hold waters and days against each other."`
	Summary    summaryCmd    `cmd:"" help:"Say what a session that has ended came to, and one thing to try next time."`
	Store      storeCmd      `cmd:"" help:"Copy, back up or restore the whole store."`
	Token      tokenCmd      `cmd:"" help:"Make, list and revoke credentials."`
	Member     memberCmd     `cmd:"" help:"Say who may sign in through the club's sign-in service."`
	Verify     verifyCmd     `cmd:"" help:"Check the computation against published figures."`
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// run is the whole program but for the process it lives in.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	var c cli
	exit := -1
	parser, err := kong.New(&c,
		kong.Name("osier"),
		kong.Description("Plans feeder sessions on stillwaters from public weather and your own records."),
		kong.Vars{"data": defaultData()},
		kong.Writers(stdout, stderr),
		kong.Exit(func(code int) { exit = code }),
		kong.WithHyphenPrefixedParameters(true), // a longitude may be negative
	)
	if err != nil {
		fmt.Fprintln(stderr, "osier:", err)
		return exitFailed
	}
	k, err := parser.Parse(args)
	if exit >= 0 { // help was asked for and printed
		return exit
	}
	a := newApp(ctx, c, stdout, stderr)
	if err != nil {
		// The flag may not have been reached when parsing failed.
		a.json = slices.Contains(args, "--json")
		a.fail(&model.Error{Code: model.Invalid, Field: "command line", Wrong: err.Error(), Right: "see osier --help"})
		return exitUsage
	}
	if err := k.Run(a); err != nil {
		return a.fail(err)
	}
	return exitDone
}

// defaultData is the user's data folder by the XDG base directory
// specification, or beside the program where there is no home.
func defaultData() string {
	if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "osier")
	}
	if home, err := os.UserHomeDir(); err == nil {
		return filepath.Join(home, ".local", "share", "osier")
	}
	return "osier-data"
}

// errSaid is returned by a command that has already printed what failed.
var errSaid = errors.New("the output says what failed")

// fail prints an error for people, and as a document when one was asked for.
func (a *app) fail(err error) int {
	if errors.Is(err, errSaid) {
		return exitFailed
	}
	err = withRight(err)
	if a.json {
		a.writeJSON(map[string]any{"error": problemOf(err)})
	}
	fmt.Fprintln(a.stderr, "osier:", err)
	if model.CodeOf(err) == model.Invalid {
		return exitUsage
	}
	return exitFailed
}

// found says how to see, or make, what was not found.
var found = map[string]string{
	"water":       "osier water list shows the waters, and osier water add registers one",
	"club":        "osier club list shows the clubs, and osier club add registers one",
	"outlook":     "osier outlook list --club ID shows a club's outlooks, and osier outlook build makes a draft",
	"kit":         "record it with: osier kit --angler HANDLE --feeder TYPE:ML:G",
	"session":     "import it with: osier import FILE",
	"token":       "osier token list shows them",
	"member":      "osier member list shows them",
	"restriction": "osier restrict --list --club ID shows those in force",
}

// withRight adds what would be right to an error of the store, which does not
// know the commands.
func withRight(err error) error {
	var e *model.Error
	if errors.As(err, &e) && e.Code == model.NotFound && e.Right == "" && found[e.Field] != "" {
		told := *e
		told.Right = found[e.Field]
		return &told
	}
	return err
}

// problemOf is an error as a document: what it is about, what was wrong, what
// would be right.
func problemOf(err error) map[string]string {
	p := map[string]string{"code": string(model.CodeOf(err)), "detail": err.Error()}
	var e *model.Error
	if errors.As(err, &e) {
		p["field"], p["wrong"], p["right"] = e.Field, e.Wrong, e.Right
	}
	return p
}

func (a *app) writeJSON(v any) {
	b, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		fmt.Fprintln(a.stderr, "osier: write the answer:", err)
		return
	}
	fmt.Fprintf(a.stdout, "%s\n", b)
}

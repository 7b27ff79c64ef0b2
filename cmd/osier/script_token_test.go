package main

import (
	"encoding/json"
	"net/http"
	"strconv"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"osier/model"
)

// madeToken is what token new prints as JSON.
type madeToken struct {
	Token  model.Token
	Secret string
}

func readToken(ts *testscript.TestScript, file string) (t madeToken) {
	ts.Check(json.Unmarshal([]byte(ts.ReadFile(file)), &t))
	return t
}

// fetch STATUS URL [FILE] asks until the status comes, for a server learns within
// a moment what another process wrote; with the token that a file holds.
func fetch(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 || len(args) > 3 {
		ts.Fatalf("usage: fetch STATUS URL [FILE]")
	}
	r, err := http.NewRequest(http.MethodGet, args[1], nil)
	ts.Check(err)
	if len(args) == 3 {
		r.Header.Set("Authorization", "Bearer "+readToken(ts, args[2]).Secret)
	}
	got := ""
	for until := time.Now().Add(5 * time.Second); time.Now().Before(until); time.Sleep(50 * time.Millisecond) {
		resp, err := http.DefaultClient.Do(r)
		ts.Check(err)
		ts.Check(resp.Body.Close())
		if got = strconv.Itoa(resp.StatusCode); got == args[0] {
			return
		}
	}
	ts.Fatalf("%s answers %s, want %s", args[1], got, args[0])
}

// tokenid NAME FILE sets NAME to the identifier of the token that a file holds.
func tokenid(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: tokenid NAME FILE")
	}
	ts.Setenv(args[0], readToken(ts, args[1]).Token.ID)
}

// Package feed asks public weather feeds for their answers, with the manners
// those feeds ask of their users.
//
// One Client serves all feeds. It names the program and somebody to write to,
// makes one call at a time to a host, does not ask again before the answer it
// holds has expired, sends the validators back exactly as they came, takes
// compressed answers, limits how much it reads, and after a failure waits the
// longer the more often it failed. It never asks with HEAD first.
//
// What is remembered about an address between two calls is a State: plain data
// that the caller stores and hands back. The Client itself remembers nothing
// but whose turn it is, so a restart cannot make it forget a promise to wait.
//
//	result, state := client.Get(ctx, feed.Request{URL: address, Want: feed.JSON, MinInterval: 30 * time.Minute}, state)
//	switch result.Kind {
//	case feed.Fresh: // read result.Body, store what it says together with state
//	default: // keep what is stored; result.Err says why, if there is a why
//	}
//
// A new body and the State that came with it belong into one transaction: a
// State stored without its body would later be answered "not modified" about
// something nobody kept. A body that its parser refuses is given back with
// Client.Reject.
//
// The package reads no format; that is the work of the packages below it. It
// does not log: every outcome is in the Result, and State.Note holds it in
// words.
//
// References: RFC 9110 (HTTP semantics: conditional requests, Retry-After),
// RFC 9111 (caching: freshness lifetime, Age); MET Norway, Terms of Service and
// Status Codes (2023); Open-Meteo, rate limits as its server states them
// (2026).
package feed

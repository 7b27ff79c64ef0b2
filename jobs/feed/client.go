package feed

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"strings"
	"time"
)

// Media is the kind of answer a request expects.
type Media string

// The kinds of answer that are told apart before parsing.
const (
	JSON Media = "application/json"
	File Media = "*/*" // a data file of any type but a web page
)

func (m Media) words() string {
	if m == JSON {
		return "JSON"
	}
	return "a data file"
}

// Request is one question to a feed.
type Request struct {
	URL         string        // https, in full
	Want        Media         // File when empty
	MinInterval time.Duration // not asked again sooner after success, whatever the headers say; at least a minute
}

// Options are the settings of a Client.
type Options struct {
	Application string            // name and version, as feeds shall see it
	Contact     string            // an address of whoever runs this program
	Base        string            // scheme and host to ask in place of every feed's own: a replay on loopback
	Transport   http.RoundTripper // the ordinary one when nil
	Now         func() time.Time  // time.Now when nil
	Random      func() float64    // in [0, 1), safe for concurrent use; the ordinary source when nil
	MaxBytes    int64             // of one answer, packed or unpacked; 16 MiB when 0
	Timeout     time.Duration     // of one call, body included; 30 s when 0
	Spacing     time.Duration     // between two calls to one host; 1 s when 0
}

// What applies where Options say nothing; all our choice.
const (
	defaultMaxBytes = 16 << 20 // sixteen times the largest answer recorded
	defaultTimeout  = 30 * time.Second
	defaultSpacing  = time.Second // far below any published limit
	mostRedirects   = 3
	mostErrorText   = 64 << 10
)

// Client asks feeds. It is safe for concurrent use.
type Client struct {
	agent    string
	base     *url.URL // nil when feeds are asked themselves
	http     http.Client
	now      func() time.Time
	random   func() float64
	maxBytes int64
	timeout  time.Duration
	turns    turns
}

// New makes a Client. Feeds themselves are asked only by somebody who can be
// written to, so without a loopback base a contact is required.
func New(o Options) (*Client, error) {
	base, err := parseBase(o.Base)
	if err != nil {
		return nil, err
	}
	if o.Contact == "" && (base == nil || !loopback(base)) {
		return nil, errors.New("a contact is required before any live pull, so that a feed can reach whoever runs this program: give --contact MAIL or set OSIER_CONTACT")
	}
	agent := strings.TrimSpace(o.Application + " " + o.Contact)
	if o.Application == "" || strings.ContainsFunc(agent, func(r rune) bool { return r < ' ' || r > '~' }) {
		return nil, fmt.Errorf("application %q and contact %q: the application must be named, and both written in plain ASCII letters on one line", o.Application, o.Contact)
	}
	c := &Client{
		agent:    agent,
		base:     base,
		http:     http.Client{Transport: o.Transport, CheckRedirect: checkRedirect},
		now:      o.Now,
		random:   o.Random,
		maxBytes: cmp.Or(o.MaxBytes, defaultMaxBytes),
		timeout:  cmp.Or(o.Timeout, defaultTimeout),
		turns:    turns{spacing: cmp.Or(o.Spacing, defaultSpacing), hosts: map[string]*turn{}},
	}
	if c.now == nil {
		c.now = time.Now
	}
	if c.random == nil {
		c.random = rand.Float64
	}
	return c, nil
}

func parseBase(text string) (*url.URL, error) {
	if text == "" {
		return nil, nil
	}
	base, err := url.Parse(text)
	if err != nil || base.Host == "" || strings.Trim(base.Path, "/") != "" {
		return nil, fmt.Errorf("base %q: give scheme and host only, such as http://127.0.0.1:8088", text)
	}
	if base.Scheme != "https" && (base.Scheme != "http" || !loopback(base)) {
		return nil, fmt.Errorf("base %q: only a loopback address may be asked without https", text)
	}
	return base, nil
}

func loopback(u *url.URL) bool {
	ip := net.ParseIP(u.Hostname())
	return u.Hostname() == "localhost" || ip != nil && ip.IsLoopback()
}

// checkRedirect follows a feed that moved within its own host, and nowhere
// else: not to another host, not out of https, not for ever.
func checkRedirect(next *http.Request, via []*http.Request) error {
	first := via[0].URL
	switch {
	case len(via) > mostRedirects:
		return fmt.Errorf("%w: more than %d times in a row", ErrRedirect, mostRedirects)
	case next.URL.Host != first.Host || next.URL.Scheme != first.Scheme:
		return fmt.Errorf("%w: to %s://%s; only %s://%s is trusted", ErrRedirect, next.URL.Scheme, next.URL.Host, first.Scheme, first.Host)
	}
	return nil
}

// Get asks for one address, if it is due, and returns what came of it and what
// to remember. A State of another address counts as none. A call that the
// caller cancelled, or that could not be made at all, leaves the State as it
// was.
func (c *Client) Get(ctx context.Context, req Request, state State) (Result, State) {
	if state.URL != req.URL {
		state = State{URL: req.URL}
	}
	now := c.now()
	state = state.onClock(now)
	if !state.due(now) {
		return Result{Kind: Unchanged}, state
	}
	call, host, err := c.prepare(req, state)
	if err != nil {
		return Result{Kind: Failed, Err: fmt.Errorf("%s: %w", req.URL, err)}, state
	}
	giveBack, err := c.turns.take(ctx, host)
	if err != nil {
		return Result{Kind: Failed, Err: fmt.Errorf("%s: %w: %w", req.URL, ErrCancelled, err)}, state
	}
	defer giveBack()
	reply := c.exchange(ctx, call, cmp.Or(req.Want, File))
	if reply.err != nil && errors.Is(ctx.Err(), context.Canceled) {
		return Result{Kind: Failed, Asked: true, Err: fmt.Errorf("%s: %w: %w", req.URL, ErrCancelled, context.Cause(ctx))}, state
	}
	return c.settle(req, state, reply)
}

// prepare writes the request. host is the feed's own, also when a base stands
// in for it, so that feeds do not wait for each other.
func (c *Client) prepare(req Request, state State) (call *http.Request, host string, err error) {
	address, err := url.Parse(req.URL)
	if err != nil || address.Scheme != "https" || address.Host == "" || address.User != nil {
		return nil, "", fmt.Errorf("%w: give a full https address without a user name", ErrAddress)
	}
	host = address.Host
	if c.base != nil {
		address.Scheme, address.Host = c.base.Scheme, c.base.Host
	}
	call = &http.Request{Method: http.MethodGet, URL: address, Host: address.Host, Header: http.Header{}}
	call.Header.Set("User-Agent", c.agent)
	call.Header.Set("Accept", string(cmp.Or(req.Want, File)))
	call.Header.Set("Accept-Encoding", "gzip")
	if state.ETag != "" {
		call.Header.Set("If-None-Match", state.ETag)
	}
	if state.LastModified != "" {
		call.Header.Set("If-Modified-Since", state.LastModified)
	}
	return call, host, nil
}

// reply is what came back: an answer, or why there is none.
type reply struct {
	status int
	header http.Header
	body   []byte
	err    error
}

// exchange makes the call and reads the answer whole.
func (c *Client) exchange(ctx context.Context, call *http.Request, want Media) reply {
	ctx, cancel := context.WithTimeout(ctx, c.timeout)
	defer cancel()
	resp, err := c.http.Do(call.WithContext(ctx))
	if err != nil {
		return reply{err: nameError(err)}
	}
	defer func() { _ = resp.Body.Close() }() // nothing more is read from it
	r := reply{status: resp.StatusCode, header: resp.Header}
	switch r.status {
	case http.StatusOK, http.StatusNonAuthoritativeInfo:
		if r.body, r.err = readBody(resp, c.maxBytes); r.err == nil {
			r.err = checkContent(want, resp.Header.Get("Content-Type"), r.body)
		}
	case http.StatusTooManyRequests:
		// The text names the limit; without it there is still a default.
		r.body, _ = readBody(resp, mostErrorText)
	}
	return r
}

// nameError sorts an error of the transport.
func nameError(err error) error {
	switch {
	case errors.Is(err, ErrRedirect):
		return err
	case timedOut(err):
		return fmt.Errorf("%w: %w", ErrTimeout, err)
	}
	return fmt.Errorf("%w: %w", ErrUnreachable, err)
}

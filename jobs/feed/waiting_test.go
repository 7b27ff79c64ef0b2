package feed_test

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed"
)

func TestWhenToAskAgainAfterSuccess(t *testing.T) {
	const date = "Date: Fri, 06 Feb 2026 12:10:00 GMT"
	for _, c := range []struct {
		name    string
		headers []string
		expires time.Duration // from now; 0 for none
		next    time.Duration
	}{
		{"nothing promised: the caller's interval", nil, 0, 10 * time.Minute},
		{"Expires", []string{date, "Expires: Fri, 06 Feb 2026 12:30:00 GMT"}, 20 * time.Minute, 20 * time.Minute},
		{"sooner than the caller's interval", []string{date, "Expires: Fri, 06 Feb 2026 12:11:00 GMT"}, time.Minute, 10 * time.Minute},
		{"the feed's clock runs an hour ahead", []string{"Date: Fri, 06 Feb 2026 13:10:00 GMT", "Expires: Fri, 06 Feb 2026 13:30:00 GMT"}, 20 * time.Minute, 20 * time.Minute},
		{"a recording years old", []string{"Date: Mon, 20 Jul 2020 11:44:31 GMT", "Expires: Mon, 20 Jul 2020 12:16:23 GMT"}, 31*time.Minute + 52*time.Second, 31*time.Minute + 52*time.Second},
		{"no Date", []string{"Expires: Fri, 06 Feb 2026 12:30:00 GMT"}, 20 * time.Minute, 20 * time.Minute},
		{"already old in a cache", []string{date, "Age: 300", "Expires: Fri, 06 Feb 2026 12:30:00 GMT"}, 15 * time.Minute, 15 * time.Minute},
		{"max-age before Expires", []string{date, "Cache-Control: public, max-age=1200, s-maxage=5", "Expires: Fri, 06 Feb 2026 12:11:00 GMT"}, 20 * time.Minute, 20 * time.Minute},
		{"no-cache", []string{date, "Cache-Control: no-cache, max-age=1200"}, 0, 10 * time.Minute},
		{"Expires 0", []string{date, "Expires: 0"}, 0, 10 * time.Minute},
		{"Expires in the past", []string{date, "Expires: Fri, 06 Feb 2026 11:00:00 GMT"}, 0, 10 * time.Minute},
		{"ten years", []string{date, "Cache-Control: max-age=315360000"}, 7 * 24 * time.Hour, 7 * 24 * time.Hour},
		{"never within the first minute of an hour", []string{date, "Expires: Fri, 06 Feb 2026 13:00:20 GMT"}, 50*time.Minute + 20*time.Second, 51*time.Minute + 20*time.Second},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			b.answers(200, goodBody, c.headers...)
			_, state := b.get(feed.State{})
			var expires time.Time
			if c.expires != 0 {
				expires = noon.Add(c.expires)
			}
			if !state.Expires.Equal(expires) || !state.NextAttempt.Equal(noon.Add(c.next)) {
				t.Errorf("expires %v, next %v; want %v, %v", state.Expires, state.NextAttempt, expires, noon.Add(c.next))
			}
		})
	}
}

func TestAnswersWithoutUse(t *testing.T) {
	for _, c := range []struct {
		name    string
		status  int
		body    string
		headers []string
		kind    feed.Kind
		wait    time.Duration
		says    string
	}{
		{"no identification", 403, "", nil, feed.Refused, 24 * time.Hour, "names itself"},
		{"bad address", 400, "", nil, feed.Refused, 24 * time.Hour, "address as wrong"},
		{"outside the area", 422, "", nil, feed.Refused, 24 * time.Hour, "outside the area"},
		{"silent station", 404, "", nil, feed.Gone, 6 * time.Hour, "nothing is there"},
		{"no content", 204, "", nil, feed.Gone, 6 * time.Hour, "nothing is there"},
		{"server error", 500, "", nil, feed.Failed, 2 * time.Minute, "status 500"},
		{"busy, with a time", 503, "", []string{"Retry-After: 1800"}, feed.Failed, 30 * time.Minute, "status 503"},
		{"busy, with a time shorter than ours", 503, "", []string{"Retry-After: 1"}, feed.Failed, 2 * time.Minute, "status 503"},
		{"too many, seconds", 429, "", []string{"Retry-After: 90"}, feed.SlowDown, 90 * time.Second, "too many"},
		{"too many, a date", 429, "", []string{"Retry-After: Fri, 06 Feb 2026 12:30:00 GMT"}, feed.SlowDown, 20 * time.Minute, "too many"},
		{"too many, absurd", 429, "", []string{"Retry-After: 99999999"}, feed.SlowDown, 24 * time.Hour, "too many"},
		{"too many, in the past", 429, "", []string{"Retry-After: Fri, 06 Feb 2026 12:00:00 GMT"}, feed.SlowDown, time.Minute, "too many"},
		// Open-Meteo's texts (weather reference, 8d).
		{
			"minute's limit", 429, `{"error":true,"reason":"Minutely API request limit exceeded. Please try again in one minute."}`, nil,
			feed.SlowDown, time.Minute, "too many",
		},
		// Until 13:00 UTC, moved off the full hour by a minute.
		{
			"hour's limit", 429, `{"error":true,"reason":"Hourly API request limit exceeded. Please try again in the next hour."}`, nil,
			feed.SlowDown, 51 * time.Minute, "too many",
		},
		{
			"day's limit", 429, `{"error":true,"reason":"Daily API request limit exceeded. Please try again tomorrow."}`, nil,
			feed.SlowDown, 11*time.Hour + 51*time.Minute, "too many",
		},
		{"too many at a time", 429, `{"error":true,"reason":"Too many concurrent requests"}`, nil, feed.SlowDown, time.Minute, "too many"},
		{"too many, no word", 429, "", nil, feed.SlowDown, 10 * time.Minute, "too many"},
		{"an HTML page for JSON", 200, " <!DOCTYPE html><html>sorry</html>", []string{"Content-Type: text/html; charset=utf-8"}, feed.Failed, 2 * time.Minute, "a web page came where JSON was expected"},
		{"an HTML page that says it is JSON", 200, "<html>sorry</html>", []string{"Content-Type: application/json"}, feed.Failed, 2 * time.Minute, "a web page"},
		{"text for JSON", 200, "sorry", []string{"Content-Type: text/plain"}, feed.Failed, 2 * time.Minute, "text/plain came where JSON"},
		{"an empty body", 200, " \n", []string{"Content-Type: application/json"}, feed.Failed, 2 * time.Minute, "it is empty"},
		{"an encoding nobody offered", 200, goodBody, []string{"Content-Encoding: br"}, feed.Failed, 2 * time.Minute, `packed as "br"`},
		{"not gzip at all", 200, goodBody, []string{"Content-Encoding: gzip"}, feed.Failed, 2 * time.Minute, "gzip header"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			b.answers(c.status, c.body, c.headers...)
			before := feed.State{URL: address, ETag: `"a"`, LastModified: "then", FetchedAt: noon.Add(-time.Hour)}
			result, state := b.get(before)
			if result.Kind != c.kind || result.Body != nil || result.Status != c.status {
				t.Errorf("result %+v, want %s, status %d and no body", result, c.kind, c.status)
			}
			if result.Err == nil || !strings.Contains(result.Err.Error(), c.says) || !strings.HasPrefix(result.Err.Error(), address) {
				t.Errorf("error %v, want one that names the address and says %q", result.Err, c.says)
			}
			want := before
			want.LastStatus, want.AskedAt, want.Failures, want.NextAttempt, want.Note = c.status, noon, 1, noon.Add(c.wait), state.Note
			if diff := cmp.Diff(want, state); diff != "" {
				t.Errorf("state (-want +got):\n%s", diff)
			}
			if !strings.Contains(state.Note, c.says) {
				t.Errorf("note %q, want it to say %q", state.Note, c.says)
			}
		})
	}
}

func TestWaitsDoubleUntilTheFeedRecovers(t *testing.T) {
	b := newBench(t)
	b.answers(500, "")
	state := feed.State{}
	for i, want := range []time.Duration{2, 4, 8, 16, 32, 64, 128, 256, 360, 360} {
		_, state = b.get(state)
		if got := state.NextAttempt.Sub(b.now); got != want*time.Minute && got != want*time.Minute+time.Minute {
			t.Errorf("failure %d: waits %v, want %v (a minute more where that is a full hour)", i+1, got, want*time.Minute)
		}
		b.now = state.NextAttempt
	}
	b.answers(200, goodBody, "Content-Type: application/json")
	result, state := b.get(state)
	if result.Kind != feed.Fresh || state.Failures != 0 || state.Note != "" {
		t.Errorf("after recovery: %+v, %+v", result, state)
	}
}

func TestChanceOnlyMovesCallsLater(t *testing.T) {
	for random, want := range map[float64]time.Duration{0: 2 * time.Minute, 0.5: 150 * time.Second, 1: 3 * time.Minute} {
		b := newBench(t, func(o *feed.Options) { o.Random = func() float64 { return random } })
		b.answers(500, "")
		_, state := b.get(feed.State{})
		if got := state.NextAttempt.Sub(noon); got != want {
			t.Errorf("random %v: waits %v, want %v", random, got, want)
		}
	}
}

// FuzzHeaders: whatever a feed puts into its headers, the next attempt lies
// ahead, and not for ever.
func FuzzHeaders(f *testing.F) {
	f.Add(200, "Fri, 06 Feb 2026 12:10:00 GMT", "Fri, 06 Feb 2026 12:41:52 GMT", "0", "max-age=280", "90", "")
	f.Add(429, "", "", "", "", "Fri, 06 Feb 2026 12:30:00 GMT", "Daily limit")
	f.Add(503, "x", "0", "-1", "no-store, max-age=99999999999999999999", "99999999999999", "")
	f.Fuzz(func(t *testing.T, status int, date, expires, age, control, retry, body string) {
		b := newBench(t)
		b.answers(status, body, "Date: "+date, "Expires: "+expires, "Age: "+age, "Cache-Control: "+control, "Retry-After: "+retry)
		result, state := b.get(feed.State{})
		if !state.NextAttempt.After(noon) || state.NextAttempt.After(noon.Add(8*24*time.Hour)) {
			t.Errorf("next attempt %v", state.NextAttempt)
		}
		if (result.Kind == feed.Fresh) != (result.Body != nil) || (result.Kind == feed.Fresh) == (result.Err != nil) {
			t.Errorf("result %+v", result)
		}
	})
}

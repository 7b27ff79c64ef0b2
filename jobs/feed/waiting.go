package feed

import (
	"net/http"
	"strconv"
	"strings"
	"time"
)

// How long to wait. All of these are our choice; the reasons stand beside them.
const (
	// shortestWait: no feed we use changes faster, and one of them asks for at
	// most a call a minute per path.
	shortestWait = time.Minute
	// failedFirst doubles with each failure in a row: a restart of the feed's
	// server is over by then, and failedMost still finds a feed that was down
	// over night before the morning's session.
	failedFirst = 2 * time.Minute
	failedMost  = 6 * time.Hour
	// slowFirst doubles likewise where a feed asked for patience without
	// saying how much.
	slowFirst = 10 * time.Minute
	// goneWait: a station that is silent now may report again today.
	goneWait = 6 * time.Hour
	// refusedWait: only a person can mend a refusal, and asking on makes it
	// worse.
	refusedWait = 24 * time.Hour
	// mostPatience bounds what a Retry-After may ask for.
	mostPatience = 24 * time.Hour
	// longestFresh bounds an Expires: a slip in one header must not silence a
	// feed for good.
	longestFresh = 7 * 24 * time.Hour
	// spread is how far calls are moved apart at random, so that many copies
	// of this program do not ask in the same second.
	spread = 3 * time.Minute
	// longestWait is the furthest ahead that a moment is ever set.
	longestWait = longestFresh + spread + time.Minute
)

// later is the moment a wait from now, moved later by chance (random in
// [0, 1)) by at most half the wait, and never within the first minute of an
// hour, when everybody else asks.
func later(now time.Time, wait time.Duration, random float64) time.Time {
	wait = max(wait, shortestWait)
	wait += time.Duration(random * float64(min(spread, wait/2)))
	at := now.Add(wait)
	if at.UTC().Minute() == 0 {
		at = at.Add(time.Minute)
	}
	return at
}

// doubled is first, doubled with every failure in a row after the first one,
// at most failedMost.
func doubled(first time.Duration, failures int) time.Duration {
	wait := first
	for range failures - 1 {
		if wait >= failedMost {
			return failedMost
		}
		wait *= 2
	}
	return min(wait, failedMost)
}

// lifetime is how long an answer stays fresh by its own headers (RFC 9111
// 4.2.1 and 4.2.3: max-age, else Expires less Date, less the Age it already
// had). Comparing the feed's own two clock readings keeps a wrong clock on our
// side out of it. ok is false where the headers promise nothing.
func lifetime(h http.Header, now time.Time) (life time.Duration, ok bool) {
	if age, found := maxAge(h.Get("Cache-Control")); found {
		life = age
	} else if expires, err := http.ParseTime(h.Get("Expires")); err == nil {
		date, err := http.ParseTime(h.Get("Date"))
		if err != nil {
			date = now
		}
		life = expires.Sub(date)
	}
	if age, err := seconds(h.Get("Age")); err == nil {
		life -= age
	}
	return min(life, longestFresh), life > 0
}

// maxAge reads the max-age of a Cache-Control header. A header that forbids
// storing promises no freshness at all.
func maxAge(cacheControl string) (time.Duration, bool) {
	var age time.Duration
	found := false
	for directive := range strings.SplitSeq(cacheControl, ",") {
		name, value, _ := strings.Cut(strings.TrimSpace(directive), "=")
		switch strings.ToLower(name) {
		case "no-store", "no-cache":
			return 0, true
		case "max-age":
			if n, err := seconds(strings.Trim(value, `"`)); err == nil {
				age, found = n, true
			}
		}
	}
	return age, found
}

// retryAfter reads a Retry-After header: seconds or a date (RFC 9110 10.2.3).
func retryAfter(h http.Header, now time.Time) (time.Duration, bool) {
	value := h.Get("Retry-After")
	if n, err := seconds(value); err == nil {
		return min(n, mostPatience), true
	}
	if at, err := http.ParseTime(value); err == nil {
		return min(max(at.Sub(now), 0), mostPatience), true
	}
	return 0, false
}

// seconds reads a whole number of seconds; one too large to be meant is cut to
// a year.
func seconds(text string) (time.Duration, error) {
	const year = 365 * 24 * 3600
	n, err := strconv.ParseUint(strings.TrimSpace(text), 10, 31)
	return time.Duration(min(n, year)) * time.Second, err
}

// patience is how long a feed that said "too many requests" wants to be left
// alone: by its Retry-After; else by the limit that the text names, whose
// counters start anew each minute, each full hour and at 00:00 UTC (Open-Meteo,
// server texts of 2026); else longer each time.
func patience(h http.Header, text string, now time.Time, failures int) time.Duration {
	if wait, ok := retryAfter(h, now); ok {
		return wait
	}
	text = strings.ToLower(text)
	untilNext := func(unit time.Duration) time.Duration {
		return now.UTC().Truncate(unit).Add(unit).Sub(now)
	}
	switch {
	case strings.Contains(text, "minutely"):
		return untilNext(time.Minute)
	case strings.Contains(text, "hourly"):
		return untilNext(time.Hour)
	case strings.Contains(text, "daily"):
		return untilNext(24 * time.Hour)
	case strings.Contains(text, "concurrent"):
		return shortestWait
	}
	return doubled(slowFirst, failures)
}

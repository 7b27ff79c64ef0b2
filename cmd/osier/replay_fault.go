package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"osier/model"
)

// faultText is what is wrong with a route, as replay.json and the fault address
// have it; the zero value is nothing. It lasts until another one is set.
//
//	slow            the answer comes after delay_ms
//	cut             the length of the whole is announced, and half of it comes
//	304             not modified, whatever was asked, with the route's headers
//	203             the whole body, marked as on its way out
//	403, 404, 500   that status with a problem document
//	429             likewise; retry_after is sent as it is written, or nothing
//	html            a web page that says all is well (200)
//	wrong_units     the body with each key of replace turned into its value
//	empty_features  a collection of features that holds none
//
// An answer that is wrong but claims to be right carries the route's own
// validators: whoever trusts them has lost the true answer.
type faultText struct {
	Fault      string            `json:"fault,omitempty"`
	DelayMs    int               `json:"delay_ms,omitempty"`
	RetryAfter string            `json:"retry_after,omitempty"`
	Replace    map[string]string `json:"replace,omitempty"`
}

// faultKinds are all faults there are.
var faultKinds = []string{"slow", "cut", "304", "203", "403", "404", "429", "500", "html", "wrong_units", "empty_features"}

// mostDelayMs bounds a delay: ten minutes outlast the patience of any client.
// Our choice.
const mostDelayMs = 600_000

const (
	sorryPage  = "<!doctype html><title>Sorry</title><p>The service is resting.</p>\n"
	noFeatures = `{"type": "FeatureCollection", "features": []}`
)

// check says whether the fault can befall a route, before it does.
func (f faultText) check(r *replayRoute) error {
	switch {
	case f.Fault != "" && !slices.Contains(faultKinds, f.Fault):
		return model.Invalidf("fault", "give one of "+strings.Join(faultKinds, ", ")+", or none", "%q is no fault", f.Fault)
	case f.Fault == "slow" && (f.DelayMs < 1 || f.DelayMs > mostDelayMs):
		return model.Invalidf("delay_ms", "give 1 to "+strconv.Itoa(mostDelayMs)+" milliseconds", "an answer cannot be slow by %d", f.DelayMs)
	case f.Fault != "slow" && f.DelayMs != 0:
		return model.Invalidf("delay_ms", `it goes with the fault "slow"`, "it means nothing here")
	case f.Fault != "429" && f.RetryAfter != "":
		return model.Invalidf("retry_after", `it goes with the fault "429"`, "it means nothing here")
	case f.Fault != "wrong_units" && len(f.Replace) != 0:
		return model.Invalidf("replace", `it goes with the fault "wrong_units"`, "it means nothing here")
	case f.Fault == "wrong_units" && len(f.Replace) == 0:
		return model.Invalidf("replace", `say what is turned into what, such as {"celsius": "K"}`, "it is missing")
	case f.Fault == "cut" && len(r.body) < 2:
		return model.Invalidf("fault", "cut a route that has a file", "there is nothing to cut off")
	}
	for old := range f.Replace {
		if old == "" || !bytes.Contains(r.body, []byte(old)) {
			return model.Invalidf("replace", "name a text that the recorded answer holds", "%q is not in %s", old, cmp.Or(r.file, "an answer without a file"))
		}
	}
	return nil
}

// befall puts a checked fault in place of the one before.
func (r *replayRoute) befall(f faultText) { r.fault, r.now = f, r.under(f) }

// under is what a fault makes of the route's good answer.
func (r *replayRoute) under(f faultText) replayAnswer {
	a := r.good
	a.asIs = a.asIs || f.Fault != ""
	switch f.Fault {
	case "slow":
		a.asIs, a.delay = r.good.asIs, time.Duration(f.DelayMs)*time.Millisecond
	case "cut":
		a.cutHalf = true
	case "304", "203":
		a.status, _ = strconv.Atoi(f.Fault) // one of the two
	case "403", "404", "429", "500":
		return refusal(f)
	case "html":
		return r.inPlace("text/html; charset=utf-8", sorryPage)
	case "empty_features":
		return r.inPlace("application/geo+json", noFeatures)
	case "wrong_units":
		a = r.answerWith(http.StatusOK, r.good.header, f.replaced(r.body))
		a.asIs = true
	}
	return a
}

// inPlace answers with another body under the route's own validators.
func (r *replayRoute) inPlace(contentType, body string) replayAnswer {
	a := replayAnswer{status: http.StatusOK, header: r.good.header.Clone(), plain: []byte(body), packed: gzipped([]byte(body)), asIs: true}
	a.header.Set("Content-Type", contentType)
	return a
}

// replaced makes all replacements at one time: what one of them wrote is not
// read by another, and of two that begin alike the longer goes first.
func (f faultText) replaced(body []byte) []byte {
	var pairs []string
	for _, old := range slices.Backward(slices.Sorted(maps.Keys(f.Replace))) {
		pairs = append(pairs, old, f.Replace[old])
	}
	return []byte(strings.NewReplacer(pairs...).Replace(string(body)))
}

func refusal(f faultText) replayAnswer {
	status, _ := strconv.Atoi(f.Fault) // the kinds that are refused are numbers
	a := replayAnswer{status: status, header: http.Header{"Content-Type": {"application/problem+json"}}, asIs: true}
	if f.RetryAfter != "" {
		a.header.Set("Retry-After", f.RetryAfter)
	}
	a.plain, _ = json.Marshal(map[string]any{"title": http.StatusText(status), "status": status}) // a map of text and number
	return a
}

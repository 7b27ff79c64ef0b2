package feed

import (
	"errors"
	"time"
)

// Kind sorts the outcomes of a Get by what the caller does next.
type Kind string

// The kinds. Only Fresh carries a body; with every other kind the caller keeps
// what it has stored.
const (
	Fresh     Kind = "fresh"     // a new, whole body
	Unchanged Kind = "unchanged" // confirmed by the feed, or not yet due: then no request was made
	Refused   Kind = "refused"   // the feed does not want this request, or this program
	Gone      Kind = "gone"      // nothing is there
	SlowDown  Kind = "slow down" // too many requests
	Failed    Kind = "failed"    // the feed or the way to it is in trouble
)

// Result is the outcome of one Get.
type Result struct {
	Kind       Kind
	Asked      bool      // a request was made
	Status     int       // of the answer, 0 when none came
	Body       []byte    // decompressed; only with Fresh
	Date       time.Time // when the feed says it answered; zero when it did not say
	Deprecated bool      // the feed says that this product or version is beta or on its way out
	Err        error     // why there is no body, for a person; nil with Fresh and Unchanged
}

// The named causes of Failed. Result.Err wraps one of them.
var (
	ErrAddress      = errors.New("the address cannot be asked for")
	ErrCancelled    = errors.New("the call was cancelled")
	ErrUnreachable  = errors.New("the feed could not be reached")
	ErrTimeout      = errors.New("the feed took too long to answer")
	ErrRedirect     = errors.New("the feed sent us elsewhere")
	ErrTooLarge     = errors.New("the answer is too large")
	ErrCutOff       = errors.New("the answer was cut off or damaged on the way")
	ErrWrongContent = errors.New("the answer is not what was asked for")
	ErrStatus       = errors.New("the feed answered with an error")
)

package model

import (
	"errors"
	"fmt"
)

// Code sorts errors by what the caller can do about them. The API has the one
// table from code to status; the command line has the one from code to exit.
type Code string

// The codes. An error that carries none of them is Internal, and its text
// stays in the log.
const (
	Invalid      Code = "invalid"       // the caller can mend the input
	NotFound     Code = "not_found"     // no such thing is known here
	Conflict     Code = "conflict"      // it clashes with what is stored
	TooLarge     Code = "too_large"     // more bytes or rows than are taken
	Unavailable  Code = "unavailable"   // try again later
	NoCredential Code = "no_credential" // it takes a credential, and none that is good was sent
	Forbidden    Code = "forbidden"     // the credential does not reach this far
	TooMany      Code = "too_many"      // more requests than are taken in so short a time
	Internal     Code = "internal"      // a fault of the program or the machine
)

// Error says which field or row was wrong, what was wrong with it and what
// would be right.
type Error struct {
	Code  Code
	Field string // the field, row or thing it is about; may be empty
	Wrong string // what was wrong
	Right string // what would be right; may be empty
	Err   error  // the cause; may be nil
}

// Error gives the whole sentence for a person.
func (e *Error) Error() string {
	s := e.Wrong
	if e.Field != "" {
		s = e.Field + ": " + s
	}
	if e.Right != "" {
		s += "; " + e.Right
	}
	if e.Err != nil {
		s += ": " + e.Err.Error()
	}
	return s
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Err }

// Invalidf makes an Invalid error: the field, what would be right, and what
// was wrong in the words of the format.
func Invalidf(field, right, format string, args ...any) *Error {
	return &Error{Code: Invalid, Field: field, Right: right, Wrong: fmt.Sprintf(format, args...)}
}

// NotFoundf makes a NotFound error about the named thing.
func NotFoundf(field, right, format string, args ...any) *Error {
	return &Error{Code: NotFound, Field: field, Right: right, Wrong: fmt.Sprintf(format, args...)}
}

// CodeOf finds the code an error carries, Internal when it carries none.
func CodeOf(err error) Code {
	var e *Error
	if errors.As(err, &e) {
		return e.Code
	}
	return Internal
}

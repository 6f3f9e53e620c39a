package crop

import (
	"errors"
	"fmt"
	"strings"
)

// Code sorts errors by what the caller can do about them.
type Code string

// The codes; anything without one is internal.
const (
	Invalid          Code = "invalid"           // the record breaks a rule: mend it
	NotFound         Code = "not_found"         // there is no such record
	Conflict         Code = "conflict"          // it clashes with another record or is still referred to
	Stale            Code = "stale"             // it was made from an older version: read again
	Busy             Code = "busy"              // the database is taken: try again
	Full             Code = "full"              // there is no room on the disk: make some
	InsufficientData Code = "insufficient_data" // too little was recorded for an answer
	NoFit            Code = "no_fit"            // the records don't carry the curve
)

// Fault is one thing wrong with one field. Detail goes on from the field's name as a sentence: the value, the rule, then,
// after a semicolon, the next step; such as (counted_at) "is 2026-01-09, before the plant was sown, 2026-01-10; mend …".
type Fault struct {
	// Item is the position in the batch the record came in, from 0.
	Item int `json:"-"`
	// Pointer is the JSON pointer (RFC 6901) of the field, such as /counts/red.
	Pointer string `json:"pointer"`
	Detail  string `json:"detail"`
}

// Error is an error meant for people.
type Error struct {
	Code    Code
	Message string
	Faults  []Fault
}

// Error tells the message and the first ten faults, since a batch may have a thousand.
func (e *Error) Error() string {
	const told = 10
	var b strings.Builder
	b.WriteString(e.Message)
	for i, f := range e.Faults {
		if i == told {
			fmt.Fprintf(&b, "; and %d more", len(e.Faults)-told)
			break
		}
		fmt.Fprintf(&b, "; %s: %s", f.Pointer, f.Detail)
	}
	return b.String()
}

// Errorf makes an Error with a code.
func Errorf(code Code, format string, args ...any) *Error {
	return &Error{Code: code, Message: fmt.Sprintf(format, args...)}
}

// CodeOf returns the code of err, or "" for an internal error.
func CodeOf(err error) Code {
	if e, ok := errors.AsType[*Error](err); ok {
		return e.Code
	}
	return ""
}

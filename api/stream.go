package api

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"
	"github.com/go-json-experiment/json/jsontext"

	"vinetally/analytics/crop"
)

// mostFaults is how many faults of a body with many records are told.
const mostFaults = 50

// bulkBody opens a body that may be long, and gives the connection the time for it.
func (s *server) bulkBody(c *gin.Context) *bulkReader {
	control := http.NewResponseController(c.Writer)
	until := time.Now().Add(s.limits.Bulk)
	// A connection that has no deadlines, as in a test, needs none.
	_ = control.SetReadDeadline(until)
	_ = control.SetWriteDeadline(until)
	return &bulkReader{Reader: http.MaxBytesReader(c.Writer, c.Request.Body, s.limits.BulkBody)}
}

// bulkReader notes why reading failed, since a decoder may wrap that in words of its own.
type bulkReader struct {
	io.Reader
	err error
}

func (r *bulkReader) Read(p []byte) (int, error) {
	n, err := r.Reader.Read(p)
	if err != nil && !errors.Is(err, io.EOF) {
		r.err = err
	}
	return n, err
}

// refuse says why a body could not be read to its end: it didn't arrive, or it isn't JSON.
func (r *bulkReader) refuse(err error, patience time.Duration) *problem {
	if r.err == nil {
		return refuseSyntax(err)
	}
	if p := refuseReading(r.err, patience); p != nil {
		return p
	}
	return refuse(unreadableBody, "the body ended early; send it again")
}

// eachItem reads a list of values without holding more than one: of the form {"items": […]}, or, if bare lists are allowed,
// […]. It calls take with the position of each and the JSON pointer of the list; take must not keep the value, and ends the
// reading by returning false.
func eachItem(dec *jsontext.Decoder, bare bool, take func(i int, list string, v jsontext.Value) bool) error {
	switch kind := dec.PeekKind(); {
	case kind == '[' && bare:
		if more, err := eachValue(dec, "", take); err != nil || !more {
			return err
		}
		return endOf(dec)
	case kind == 0:
		_, err := dec.ReadToken()
		return err
	case kind != '{':
		if _, err := dec.ReadValue(); err != nil {
			return err
		}
		return refuseRecord([]crop.Fault{{Detail: "the body is " + kindName(kind) + `; send an object, {"items": […]}`}})
	}
	if _, err := dec.ReadToken(); err != nil {
		return err
	}
	found := false
	for dec.PeekKind() != '}' {
		name, err := dec.ReadToken()
		if err != nil {
			return err
		}
		if at := name.String(); at != "items" {
			return refuseRecord([]crop.Fault{{Pointer: pointerTo(at), Detail: `is not a field here; send {"items": […]} with the records in the list`}})
		}
		found = true
		if kind := dec.PeekKind(); kind != '[' {
			if _, err := dec.ReadValue(); err != nil {
				return err
			}
			return refuseRecord([]crop.Fault{{Pointer: "/items", Detail: "is " + kindName(kind) + "; it must be a list"}})
		}
		if more, err := eachValue(dec, "/items", take); err != nil || !more {
			return err
		}
	}
	if _, err := dec.ReadToken(); err != nil {
		return err
	}
	if !found {
		return refuseRecord([]crop.Fault{{Pointer: "/items", Detail: "is missing; send the records as a list"}})
	}
	return endOf(dec)
}

func eachValue(dec *jsontext.Decoder, list string, take func(int, string, jsontext.Value) bool) (more bool, err error) {
	if _, err := dec.ReadToken(); err != nil {
		return false, err
	}
	for i := 0; dec.PeekKind() != ']'; i++ {
		value, err := dec.ReadValue()
		if err != nil {
			return false, err
		}
		if !take(i, list, value) {
			return false, nil
		}
	}
	_, err = dec.ReadToken()
	return err == nil, err
}

func endOf(dec *jsontext.Decoder) error {
	switch _, err := dec.ReadToken(); {
	case errors.Is(err, io.EOF):
		return nil
	case err != nil && !isSyntax(err):
		return err
	}
	p := refuse(malformedJSON, "something follows the list at byte %d; send one JSON value alone", dec.InputOffset())
	p.Errors = []fault{{Pointer: new(""), Detail: p.Detail}}
	return p
}

func isSyntax(err error) bool {
	_, ok := errors.AsType[*jsontext.SyntacticError](err)
	return ok
}

// itemFaults collects what is wrong with the items of a body, up to mostFaults.
type itemFaults struct {
	list []fault
	more bool // there are others, or the rest wasn't read
}

func (f *itemFaults) add(faults ...fault) {
	room := mostFaults - len(f.list)
	if len(faults) > room {
		faults, f.more = faults[:room], true
	}
	f.list = append(f.list, faults...)
}

func (f *itemFaults) at(pointer, format string, args ...any) {
	f.add(fault{Pointer: new(shortened(pointer)), Detail: fmt.Sprintf(format, args...)})
}

func (f *itemFaults) full() bool {
	f.more = f.more || len(f.list) >= mostFaults
	return f.more
}

// problem is nil if nothing is wrong.
func (f *itemFaults) problem(kind problemKind) error {
	if len(f.list) == 0 {
		return nil
	}
	p := refuse(kind, "nothing was stored; mend what errors lists and send it all again")
	if f.more {
		p.Detail += "; these are the first, there may be more"
	}
	p.Errors = f.list
	return p
}

package api

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
)

// problem is an RFC 9457 problem, and the error that handlers return for one.
type problem struct {
	Type   string      `json:"type"`
	Title  string      `json:"title"`
	Status int         `json:"status"`
	Detail string      `json:"detail"`
	Errors []fault     `json:"errors,omitempty"`
	accept http.Header // of a 415: what the body may be sent as
	// Reference finds the matching line of the log.
	Reference string `json:"reference,omitempty"`
}

// fault is one thing wrong: at a place of the body, which Pointer (RFC 6901) names or Line and Column of a CSV body, or
// with a parameter or header.
type fault struct {
	Pointer   *string `json:"pointer,omitzero"`
	Parameter string  `json:"parameter,omitempty"`
	Line      int     `json:"line,omitzero"`
	Column    string  `json:"column,omitempty"`
	Detail    string  `json:"detail"`
}

func (p *problem) Error() string { return p.Title + ": " + p.Detail }

func refuse(kind problemKind, format string, args ...any) *problem {
	return &problem{Type: kind.uri(), Title: kind.title, Status: kind.status, Detail: fmt.Sprintf(format, args...)}
}

// refuseParameter says what is wrong with a parameter or header; the words go on from its name.
func refuseParameter(name, format string, args ...any) *problem {
	detail := fmt.Sprintf(format, args...)
	p := refuse(invalidParameter, "%s %s", name, detail)
	p.Errors = []fault{{Parameter: name, Detail: detail}}
	return p
}

// refuseRecord lists what is wrong with a body, up to mostFaults.
func refuseRecord(faults []crop.Fault) *problem {
	message := "nothing was stored; mend what errors lists and send it again"
	if len(faults) > mostFaults {
		faults = faults[:mostFaults]
		message = fmt.Sprintf("nothing was stored; the first %d faults are told under errors, mend them and send it again", mostFaults)
	}
	p := refuse(invalidRecord, "%s", inWords(&crop.Error{Message: message, Faults: faults}))
	p.Errors = atPointers(faults)
	return p
}

func atPointers(faults []crop.Fault) []fault {
	var all []fault
	for _, f := range faults {
		all = append(all, fault{Pointer: new(shortened(f.Pointer)), Detail: f.Detail})
	}
	return all
}

// codes says which problem each code of the domain is. Stale is the body's base_version here; a handler that was given
// If-Match says preconditionWrong itself.
var codes = map[crop.Code]problemKind{
	crop.Invalid: invalidRecord, crop.NotFound: noSuchRecord, crop.Conflict: conflicting, crop.Stale: staleVersion,
	crop.Busy: busy, crop.Full: diskFull, crop.InsufficientData: tooLittleRecorded, crop.NoFit: noFit,
}

// problemOf turns any error into a problem; what isn't meant for people becomes an internal one without its words.
func problemOf(err error) *problem {
	if p, ok := errors.AsType[*problem](err); ok {
		return p
	}
	if e, ok := errors.AsType[*crop.Error](err); ok {
		if kind, ok := codes[e.Code]; ok {
			p := refuse(kind, "%s", inWords(e))
			p.Errors = atPointers(e.Faults)
			return p
		}
	}
	if errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled) {
		return refuse(busy, "the request ended before its answer was ready; try again in a moment")
	}
	return refuse(internalError, "the server could not answer; its log says why under the reference")
}

// inWords puts a single fault into the detail, for whoever reads no further.
func inWords(e *crop.Error) string {
	if len(e.Faults) != 1 {
		return e.Message
	}
	if field := strings.TrimPrefix(shortened(e.Faults[0].Pointer), "/"); field != "" {
		return e.Message + ": " + field + " " + e.Faults[0].Detail
	}
	return e.Message + ": " + e.Faults[0].Detail
}

// answer makes a handler of gin's from one of ours.
func (s *server) answer(h handler) gin.HandlerFunc {
	return func(c *gin.Context) {
		if err := h(c); err != nil {
			s.writeProblem(c.Writer, c.Request, err)
		}
	}
}

func (s *server) writeProblem(w http.ResponseWriter, r *http.Request, err error) {
	p := *problemOf(err)
	if p.Status >= http.StatusInternalServerError {
		p.Reference = traceOf(r).id
		s.log.Log(r.Context(), levelOf(p.Status), "request failed", "request_id", p.Reference, "error", err)
	}
	if p.Status == http.StatusServiceUnavailable {
		w.Header().Set("Retry-After", "2")
	}
	maps.Copy(w.Header(), p.accept)
	w.Header().Del("ETag")
	if wantsPage(r) {
		writeProblemPage(w, &p)
		return
	}
	body, err := marshal(&p)
	if err != nil { // a problem holds only text and numbers
		panic(err)
	}
	write(w, p.Status, "application/problem+json", body)
}

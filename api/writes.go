package api

import (
	"errors"
	"fmt"
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
)

func (s *server) create(kind crop.Kind) handler {
	return func(c *gin.Context) error {
		if err := parseQuery(c).err(); err != nil {
			return err
		}
		in, err := s.readRecord(c, kind)
		if err != nil {
			return err
		}
		if in.base != nil && *in.base != 0 {
			return refuseRecord([]crop.Fault{{Pointer: "/base_version", Detail: fmt.Sprintf("is %d, but POST adds a new record, whose base_version is 0; replace one with PUT", *in.base)}})
		}
		if in.record.Identity().IsZero() {
			in.record.SetIdentity(s.store.NewID())
		}
		return s.keep(c, crop.Change{Record: in.record, Base: new(int64(0))}, false)
	}
}

func (s *server) put(kind crop.Kind) handler {
	return func(c *gin.Context) error {
		id, err := pathID(c)
		if err != nil {
			return err
		}
		in, err := s.readRecord(c, kind)
		if err != nil {
			return err
		}
		if given := in.record.Identity(); !given.IsZero() && given != id {
			return refuseRecord([]crop.Fault{{Pointer: "/id", Detail: fmt.Sprintf("is %s, which is not the id in the address, %s; make them equal, or leave it out", given, id)}})
		}
		in.record.SetIdentity(id)
		base, byHeader, err := s.eitherBase(c, kind, id, in.base)
		if err != nil {
			return err
		}
		return s.keep(c, crop.Change{Record: in.record, Base: base}, byHeader)
	}
}

func (s *server) remove(kind crop.Kind) handler {
	return func(c *gin.Context) error {
		id, err := pathID(c)
		if err != nil {
			return err
		}
		base, err := s.baseOf(c, kind, id)
		if err != nil {
			return err
		}
		record := crop.New(kind)
		record.SetIdentity(id)
		if _, _, err := s.apply(c, crop.Change{Record: record, Delete: true, Base: base}, base != nil); err != nil {
			return err
		}
		c.Status(http.StatusNoContent)
		return nil
	}
}

func (s *server) readRecord(c *gin.Context, kind crop.Kind) (sent, error) {
	body, err := s.readBody(c)
	if err != nil {
		return sent{}, err
	}
	in, faults, err := decodeRecord(kind, body)
	if err == nil && len(faults) > 0 {
		err = refuseRecord(append(faults, s.rulesBeside(c.Request.Context(), in.record, faults)...))
	}
	return in, err
}

// eitherBase is the version that a write was made from by its headers or its body, which must not differ.
func (s *server) eitherBase(c *gin.Context, kind crop.Kind, id crop.ID, inBody *int64) (base *int64, byHeader bool, err error) {
	base, err = s.baseOf(c, kind, id)
	switch {
	case err != nil:
		return nil, false, err
	case base == nil:
		return inBody, false, nil
	case inBody != nil && *base != *inBody:
		return nil, false, refuseRecord([]crop.Fault{{Pointer: "/base_version", Detail: fmt.Sprintf("is %d, but the request's header names version %d; give one of them", *inBody, *base)}})
	}
	return base, true, nil
}

// apply carries out one change. One that was made from another version is a failed precondition if a header named that
// version, a conflict if the body did. It also returns what the record contradicts.
func (s *server) apply(c *gin.Context, change crop.Change, byHeader bool) (out crop.Outcome, contradictions []string, err error) {
	actor, err := actorOf(c)
	if err != nil {
		return out, nil, err
	}
	w := s.witness(c.Request.Context())
	outcomes, err := s.store.Apply(c.Request.Context(), []crop.Change{change}, crop.ApplyOptions{Actor: actor, Witness: w})
	if err == nil {
		return outcomes[0], w.warningsOf(0), nil
	}
	if byHeader && (crop.CodeOf(err) == crop.Stale || existsAlready(err)) {
		return out, nil, refuse(preconditionWrong, "%s", preconditionWords(err))
	}
	return out, nil, err
}

// preconditionWords say why a precondition failed, by the name of the header that stated it.
func preconditionWords(err error) string {
	e, ok := errors.AsType[*crop.Error](err)
	switch {
	case !ok || len(e.Faults) != 1:
		return problemOf(err).Detail
	case e.Faults[0].Pointer == "/base_version":
		return "If-Match " + e.Faults[0].Detail
	}
	return "If-None-Match asks for a new record, but the id " + e.Faults[0].Detail
}

// existsAlready tells whether a change was refused because its id is taken.
func existsAlready(err error) bool {
	e, ok := errors.AsType[*crop.Error](err)
	return ok && e.Code == crop.Conflict && slices.ContainsFunc(e.Faults, func(f crop.Fault) bool { return f.Pointer == "/id" })
}

// keep stores a record and answers it as it stands now.
func (s *server) keep(c *gin.Context, change crop.Change, byHeader bool) error {
	out, contradictions, err := s.apply(c, change, byHeader)
	if err != nil {
		return err
	}
	return answerKept(c, out, contradictions)
}

func answerKept(c *gin.Context, out crop.Outcome, contradictions []string) error {
	warnings := append(supersededWarning(out), contradictions...)
	body, err := marshalStored(out.Stored, struct {
		Warnings []string `json:"warnings"`
	}{warnings})
	if err != nil {
		return err
	}
	status := http.StatusOK
	if out.Effect == crop.Created {
		status = http.StatusCreated
		c.Header("Location", "/v1/"+string(out.Record.RecordKind())+"/"+out.Record.Identity().String())
	}
	c.Header("ETag", entityTag(out.Version))
	write(c.Writer, status, mediaJSON, body)
	return nil
}

// supersededWarning says what a write did that its sender may not expect: a body that was stored before changes nothing,
// though the record has gone on since.
func supersededWarning(out crop.Outcome) []string {
	switch {
	case !out.Superseded:
		return nil
	case out.Deleted:
		return []string{fmt.Sprintf("This was stored before and the record has been deleted since, so it stays deleted. To bring it back, send base_version %d with it.", out.Version)}
	default:
		return []string{fmt.Sprintf("This was stored before and the record has been changed since, so it stays as it is answered here. To put the old one back, send base_version %d with it.", out.Version)}
	}
}

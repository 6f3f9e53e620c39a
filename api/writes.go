package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
)

// actor is who the history names for what comes over HTTP.
const actor = "rest"

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
			return refuseRecord([]crop.Fault{{Pointer: "/base_version", Detail: "POST adds a new record, whose base_version is 0; replace one with PUT"}})
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
			return refuseRecord([]crop.Fault{{Pointer: "/id", Detail: "is not the id in the address; make them equal or leave it out"}})
		}
		in.record.SetIdentity(id)
		base, err := s.baseOf(c, kind, id)
		if err != nil {
			return err
		}
		if base != nil && in.base != nil && *base != *in.base {
			return refuseRecord([]crop.Fault{{Pointer: "/base_version", Detail: "and the request's precondition name different versions; give one of them"}})
		}
		if base == nil {
			return s.keep(c, crop.Change{Record: in.record, Base: in.base}, false)
		}
		return s.keep(c, crop.Change{Record: in.record, Base: base}, true)
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
		if _, err := s.apply(c, crop.Change{Record: record, Delete: true, Base: base}, base != nil); err != nil {
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
	return decodeRecord(kind, body)
}

// apply carries out one change. A stale one is a failed precondition if a header named the version, a conflict if the
// body did.
func (s *server) apply(c *gin.Context, change crop.Change, byHeader bool) (crop.Outcome, error) {
	outcomes, err := s.store.Apply(c.Request.Context(), []crop.Change{change}, crop.ApplyOptions{Actor: actor})
	if err != nil {
		if byHeader && crop.CodeOf(err) == crop.Stale {
			return crop.Outcome{}, refuse(preconditionWrong, "%s", problemOf(err).Detail)
		}
		return crop.Outcome{}, err
	}
	return outcomes[0], nil
}

// keep stores a record and answers it as it stands now.
func (s *server) keep(c *gin.Context, change crop.Change, byHeader bool) error {
	out, err := s.apply(c, change, byHeader)
	if err != nil {
		return err
	}
	body, err := marshalStored(out.Stored, struct {
		Warnings []string `json:"warnings"`
	}{warningsOf(out)})
	if err != nil {
		return err
	}
	status := http.StatusOK
	if out.Effect == crop.Created {
		status = http.StatusCreated
		c.Header("Location", "/v1/"+string(out.Record.RecordKind())+"/"+out.Record.Identity().String())
	}
	c.Header("ETag", entityTag(out.Version))
	write(c.Writer, status, "application/json", body)
	return nil
}

// warningsOf says what a write did that its sender may not expect.
func warningsOf(out crop.Outcome) []string {
	if out.Effect == crop.Unchanged && out.Deleted {
		return []string{"this body was stored before and the record has been deleted since; it stays deleted. Send base_version with the version answered here to bring it back."}
	}
	return nil
}

package api

import (
	"errors"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"
	"github.com/go-json-experiment/json/jsontext"

	"vinetally/analytics/crop"
)

// list is the shape of every list.
type list struct {
	Items []jsontext.Value `json:"items"`
	Next  *string          `json:"next"`
}

func (s *server) list(kind crop.Kind) handler {
	known := append(filtersOf(kind), "cursor", "limit")
	return func(c *gin.Context) error {
		q := parseQuery(c, known...)
		filter := crop.Filter{
			SeasonID: q.id("season_id"), PlaceID: q.id("place_id"), CultivarID: q.id("cultivar_id"), PlantID: q.id("plant_id"),
			Cursor: q.values.Get("cursor"), Limit: q.limit(),
		}
		filter.From, filter.FromDay = q.bound("from")
		filter.To, filter.ToDay = q.bound("to")
		backwards := filter.From != nil && filter.To != nil && filter.To.Before(*filter.From) ||
			filter.FromDay != nil && filter.ToDay != nil && filter.ToDay.Before(*filter.FromDay)
		if backwards {
			q.fault("to", fmt.Sprintf("is %s, before from, %s; give the earlier one as from", q.values.Get("to"), q.values.Get("from")))
		}
		if err := q.err(); err != nil {
			return err
		}
		page, err := s.store.List(c.Request.Context(), kind, filter)
		if e, ok := errors.AsType[*crop.Error](err); ok && e.Code == crop.Invalid && len(e.Faults) > 0 {
			return refuseParameter("cursor", "%s", e.Faults[0].Detail) // everything else was checked above
		}
		if err != nil {
			return err
		}
		answer := list{Items: []jsontext.Value{}}
		if page.Next != "" {
			answer.Next = &page.Next
		}
		return respondList(c, answer, page.Items, func(crop.Stored) any { return struct{}{} })
	}
}

func (s *server) history(kind crop.Kind) handler {
	return func(c *gin.Context) error {
		id, err := pathID(c)
		if err != nil {
			return err
		}
		versions, err := s.store.History(c.Request.Context(), kind, id)
		if err != nil {
			return err
		}
		return respondList(c, list{Items: []jsontext.Value{}}, versions, func(v crop.Stored) any {
			return struct {
				Deleted bool `json:"deleted"`
			}{v.Deleted}
		})
	}
}

func respondList(c *gin.Context, answer list, rows []crop.Stored, extra func(crop.Stored) any) error {
	for _, row := range rows {
		item, err := marshalStored(row, extra(row))
		if err != nil {
			return err
		}
		answer.Items = append(answer.Items, item)
	}
	return respond(c, http.StatusOK, answer)
}

func (s *server) one(kind crop.Kind) handler {
	return func(c *gin.Context) error {
		id, err := pathID(c)
		if err != nil {
			return err
		}
		stored, err := s.store.Get(c.Request.Context(), kind, id)
		if err != nil {
			return err
		}
		c.Header("ETag", entityTag(stored.Version))
		if hasCurrent(c.Request, stored.Version) {
			c.Status(http.StatusNotModified)
			return nil
		}
		body, err := marshalStored(stored, struct{}{})
		if err != nil {
			return err
		}
		write(c.Writer, http.StatusOK, "application/json", body)
		return nil
	}
}

// pathID reads the id of the path; such an address takes no parameters.
func pathID(c *gin.Context) (crop.ID, error) {
	if err := parseQuery(c).err(); err != nil {
		return crop.ID{}, err
	}
	return plainPathID(c)
}

func plainPathID(c *gin.Context) (crop.ID, error) {
	id, err := crop.ParseID(c.Param("id"))
	if err != nil {
		return crop.ID{}, refuseParameter("id", "is %.60q in the address, which is %s", c.Param("id"), err)
	}
	if id.IsZero() {
		return crop.ID{}, refuseParameter("id", "is all zero in the address, which names nothing; take it from the record")
	}
	return id, nil
}

package api

import (
	"errors"
	"fmt"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"vinetally/analytics/crop"
)

// bulkReading is a reading as it is sent: a temperature whose place may be named by its id or by its name.
type bulkReading struct {
	crop.Temperature
	Place string `json:"place"`
}

// readJSON reads {"items": […]} or a list alone.
func (b *bulk) readJSON(body *bulkReader) error {
	base := ""
	b.locate = func(item int, field, detail string) fault {
		return fault{Pointer: new(fmt.Sprintf("%s/%d%s", base, item, field)), Detail: detail}
	}
	err := eachItem(jsontext.NewDecoder(body), true, func(i int, list string, v jsontext.Value) bool {
		base = list
		var r bulkReading
		if v.Kind() != '{' {
			b.fault(i, "", "is %s; it must be an object with place_id or place, measured_at and air_c", kindName(v.Kind()))
			return !b.faults.full()
		}
		if err := json.Unmarshal(v, &r, bodyOptions); err != nil {
			f := faultOf(err, "")
			b.fault(i, f.Pointer, "%s", f.Detail)
			return !b.faults.full()
		}
		switch {
		case r.Place == "":
		case !r.PlaceID.IsZero():
			b.fault(i, "/place", "is given together with place_id; name the place once")
			return !b.faults.full()
		default:
			var ok bool
			if r.PlaceID, ok = b.place(i, r.Place); !ok {
				return !b.faults.full()
			}
		}
		return b.take(i, &r.Temperature)
	})
	if p, ok := errors.AsType[*problem](err); ok {
		return p
	}
	if err != nil {
		return body.refuse(err, b.server.limits.Bulk)
	}
	return nil
}

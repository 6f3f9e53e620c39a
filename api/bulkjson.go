package api

import (
	"errors"
	"fmt"
	"slices"

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
		if v.Kind() != '{' {
			b.fault(i, "", "is %s; it must be an object with place_id or place, measured_at and air_c", kindName(v.Kind()))
			return !b.faults.full()
		}
		var r bulkReading
		var form []crop.Fault
		if json.Unmarshal(v, &r, bodyOptions) != nil {
			r, form = readingOf(v)
		}
		switch {
		case r.Place == "":
		case !r.PlaceID.IsZero():
			form = append(form, crop.Fault{Pointer: "/place", Detail: "is given together with place_id; name the place once"})
		default:
			var f []crop.Fault
			r.PlaceID, f = b.place(r.Place)
			form = append(form, f...)
		}
		return b.take(i, &r.Temperature, form)
	})
	if p, ok := errors.AsType[*problem](err); ok {
		return p
	}
	if err != nil {
		return body.refuse(err, b.server.limits.Bulk)
	}
	return nil
}

// readingOf reads what can be read of a reading that has faults, and tells them.
func readingOf(v jsontext.Value) (r bulkReading, faults []crop.Fault) {
	var fields []member
	for name, value := range parts(v) {
		m := member{name, value}
		if name != "place" {
			fields = append(fields, m)
			continue
		}
		var place *string
		if faults = append(faults, readAside(m, &place)...); place != nil {
			r.Place = *place
		}
	}
	record, more := decodeFields(crop.Temperatures, fields)
	for _, f := range more {
		if !slices.Contains(fieldsOf(crop.Temperatures), fieldOf(f.Pointer)) {
			f.Detail = "is not a field of a reading; its fields are place_id or place, measured_at, air_c"
		}
		faults = append(faults, f)
	}
	r.Temperature = *record.(*crop.Temperature)
	return r, faults
}

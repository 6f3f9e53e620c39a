package api

import (
	"context"
	"errors"
	"strings"

	"vinetally/analytics/crop"
	"vinetally/api/csvfile"
)

// readCSV reads RFC 4180 in UTF-8 with a header line, by the cell readers of an import.
func (b *bulk) readCSV(ctx context.Context, body *bulkReader, places []crop.Place) error {
	b.locate = func(line int, field, detail string) fault {
		return fault{Line: line, Column: strings.TrimPrefix(field, "/"), Detail: detail}
	}
	err := csvfile.Readings(ctx, body, places, b.now, func(r csvfile.Reading) bool {
		form := make([]crop.Fault, len(r.Faults))
		for i, f := range r.Faults {
			form[i] = crop.Fault{Detail: f.What}
			if f.Column == "" { // of the whole row, which wasn't read
				b.fault(r.Line, "", "%s", f.What)
				return !b.faults.full()
			}
			form[i].Pointer = "/" + f.Column
		}
		return b.take(r.Line, &r.Temperature, form)
	})
	if broken, ok := errors.AsType[*csvfile.FaultError](err); ok && body.err == nil {
		return malformed(broken)
	}
	if err != nil && body.err != nil {
		return body.refuse(err, b.server.limits.Bulk)
	}
	return err
}

// malformed is the problem of a file that can't be read as rows.
func malformed(broken *csvfile.FaultError) error {
	var faults []fault
	for _, f := range broken.Faults {
		faults = append(faults, fault{Line: f.Line, Column: f.Column, Detail: f.What})
	}
	what := strings.TrimPrefix(broken.Faults[0].String(), broken.Faults[0].File+":")
	p := refuse(malformedCSV, "line %s", what)
	p.Errors = faults
	return p
}

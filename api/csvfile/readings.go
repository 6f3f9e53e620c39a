package csvfile

import (
	"context"
	"errors"
	"io"
	"slices"
	"time"

	"vinetally/analytics/crop"
)

// readingTable is temperatures.csv as a request sends it: places may be named by their ids, and must be there.
var readingTable = &table[crop.Temperature]{
	file: temperaturesFile, noun: "reading", noID: true,
	columns: append([]column[crop.Temperature]{
		placeColumn(mayMiss, nil, func(t *crop.Temperature, id *crop.ID) { t.PlaceID = orZero(id) }),
		{name: "place_id", read: readPlaceID},
	}, temperatureTable.columns[1:]...),
	lacks: func(has func(string) bool) string {
		if !has("place") && !has("place_id") {
			return "the column place; or give place_id"
		}
		return ""
	},
	complete: func(c *cell, t *crop.Temperature) {
		if t.PlaceID.IsZero() && !slices.Contains(c.bad, "place") && !slices.Contains(c.bad, "place_id") {
			c.faultAt("place", "is missing; name the place")
		}
	},
}

func readPlaceID(c *cell, t *crop.Temperature) {
	id := c.id()
	switch {
	case id.IsZero():
	case c.place != nil:
		c.fault("is given together with place; name the place once")
	default:
		t.PlaceID = id
		c.place = c.im.registry.places[id] // nil is a fault that the rules tell
	}
}

// Reading is one row of readings, as far as its cells can be read, and what is wrong with those that can't.
type Reading struct {
	crop.Temperature
	Line   int
	Faults []Fault
}

var errEnough = errors.New("enough rows")

// Readings reads the rows of a temperatures.csv by the cell readers of an import, and hands each on until take returns false.
// Columns are place or place_id, measured_at and air_c. What makes rows unreadable, the header's faults and a quote that
// isn't closed, comes back as a *FaultError.
func Readings(ctx context.Context, body io.Reader, places []crop.Place, now time.Time, take func(Reading) bool) error {
	im := &importer{ctx: ctx, now: now, onlyStored: true, kept: map[string]string{}, registry: newRegistry(&crop.Catalogue{Places: places}),
		broken: map[string]bool{}, tallies: map[int32]*FileSummary{0: {}},
		sources: []Source{{Name: temperaturesFile, Open: func() (io.ReadCloser, error) { return io.NopCloser(body), nil }}}}
	im.byName.places = byName(im, im.registry.places, "place", func(p *crop.Place) string { return p.Name })
	// hand hands on a row, after what was found wrong since the row before.
	hand := func(r Reading) bool {
		for _, f := range im.faults.list {
			if f.Line == r.Line {
				r.Faults = append(r.Faults, f.Fault)
			} else if !take(Reading{Line: f.Line, Faults: []Fault{f.Fault}}) {
				return false
			}
		}
		im.faults = faultList{}
		return r.Line == 0 || take(r)
	}
	readTable(im, 0, readingTable, false, func(c *cell, h *header, cells []string) {
		if slices.ContainsFunc(im.faults.list, func(f placedFault) bool { return f.rowRef == im.header }) {
			im.err = errEnough
			return
		}
		r := Reading{Line: int(c.at.line)}
		readingTable.fill(c, h, cells, &r.Temperature)
		if !hand(r) {
			im.err = errEnough
		}
	})
	if im.err != nil && !errors.Is(im.err, errEnough) {
		return im.err
	}
	unreadable := im.broken[temperaturesFile] || slices.ContainsFunc(im.faults.list, func(f placedFault) bool { return f.rowRef == im.header })
	if unreadable {
		return im.faults.err()
	}
	if im.err == nil {
		hand(Reading{})
	}
	return nil
}

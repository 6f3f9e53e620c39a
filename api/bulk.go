package api

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
)

const (
	// mostReadings is how many temperatures one request may have.
	mostReadings = 100_000
	// bulkAttempts is how often a bulk is compared with what is stored, should others add readings meanwhile.
	bulkAttempts = 3
	// lookUpGap parts a bulk into spans: stored readings of a longer gap aren't read for it.
	lookUpGap = 30 * 24 * time.Hour
)

// bulkTemperatures stores many readings, all or none. A reading is known by its place and instant: the same value again
// changes nothing, another one is refused unless the request says replace=true.
func (s *server) bulkTemperatures(c *gin.Context) error {
	q := parseQuery(c, "replace")
	replace := q.truth("replace")
	if err := q.err(); err != nil {
		return err
	}
	media, err := mediaOf(c.Request, mediaJSON, mediaCSV)
	if err != nil {
		return err
	}
	by, err := actorOf(c)
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	catalogue, err := s.store.Catalogue(ctx)
	if err != nil {
		return err
	}
	b := newBulk(s, catalogue)
	if media == mediaCSV {
		err = b.readCSV(ctx, s.bulkBody(c), catalogue.Places)
	} else {
		err = b.readJSON(s.bulkBody(c))
	}
	if err == nil {
		err = b.faults.problem(invalidRecord)
	}
	if err != nil {
		return err
	}
	answer, err := b.store(ctx, by, replace)
	if err != nil {
		return err
	}
	return respond(c, http.StatusOK, answer)
}

type bulkAnswer struct {
	Readings  int `json:"readings"`
	Created   int `json:"created"`
	Replaced  int `json:"replaced"`
	Unchanged int `json:"unchanged"`
}

// reading is one temperature of a bulk, and where it stands in the body.
type reading struct {
	place crop.ID
	at    int64 // Unix milliseconds
	airC  float64
	item  int // position in the list, or line of the file
}

// bulk is the temperatures of one request.
type bulk struct {
	server   *server
	now      time.Time
	places   map[crop.ID]*crop.Place
	named    map[string]crop.ID
	readings []reading
	faults   itemFaults
	// locate makes the fault of an item's field: at a JSON pointer, or at a line and column.
	locate func(item int, field, detail string) fault
}

func newBulk(s *server, catalogue *crop.Catalogue) *bulk {
	b := &bulk{server: s, now: s.now(), places: map[crop.ID]*crop.Place{}, named: map[string]crop.ID{}}
	for _, p := range catalogue.Places {
		b.places[p.ID], b.named[p.Name] = &p, p.ID
	}
	return b
}

func (b *bulk) fault(item int, field, format string, args ...any) {
	b.faults.add(b.locate(item, field, fmt.Sprintf(format, args...)))
}

// Place makes the bulk the crop.PlaceRefs that a reading refers to; the others are never asked for.
func (b *bulk) Place(id crop.ID) (*crop.Place, bool)  { p, ok := b.places[id]; return p, ok }
func (*bulk) Season(crop.ID) (*crop.Season, bool)     { return nil, false }
func (*bulk) Plant(crop.ID) (*crop.Plant, bool)       { return nil, false }
func (*bulk) Scale(crop.ID) (*crop.Scale, bool)       { return nil, false }
func (*bulk) Cultivar(crop.ID) (*crop.Cultivar, bool) { return nil, false }

// take adds one reading after the rules of a record, or tells its faults: those of its form, which were found before, and the
// rules that the rest of it breaks. It returns false when there is no use in reading on.
func (b *bulk) take(item int, t *crop.Temperature, form []crop.Fault) bool {
	if len(b.readings) >= mostReadings {
		b.fault(item, "", "is one more than the %d readings that a request may have; send them in several requests", mostReadings)
		b.faults.more = true
		return false
	}
	t.ID = crop.DefaultScaleID // any id: it gets its own if it turns out to be new
	broken := crop.Check(t, b, b.now)
	if len(form) > 0 {
		fields := slices.Clone(form)
		for i := range fields {
			if fields[i].Pointer == "/place" {
				fields[i].Pointer = "/place_id" // which the name stands for
			}
		}
		broken = append(form, besideForm(crop.Temperatures, fields, broken)...)
	}
	for _, f := range broken {
		b.fault(item, f.Pointer, "%s", f.Detail)
	}
	if len(b.faults.list) == 0 {
		b.readings = append(b.readings, reading{t.PlaceID, t.MeasuredAt.UnixMilli(), *t.AirC, item})
	}
	return !b.faults.full()
}

// place finds the place that a reading names.
func (b *bulk) place(name string) (crop.ID, []crop.Fault) {
	id, ok := b.named[crop.Name(name)]
	switch {
	case ok:
		return id, nil
	case name == "":
		return id, []crop.Fault{{Pointer: "/place", Detail: "is missing; name the place"}}
	}
	return id, []crop.Fault{{Pointer: "/place", Detail: fmt.Sprintf("is %.100q, but there is no such place; make it first, or mend the name", name)}}
}

// store compares the readings with those that are there, and stores the new ones.
func (b *bulk) store(ctx context.Context, by string, replace bool) (bulkAnswer, error) {
	for attempt := 1; ; attempt++ {
		answer, err := b.tryStore(ctx, by, replace)
		again := crop.CodeOf(err) == crop.Conflict || crop.CodeOf(err) == crop.Stale
		if !again || ctx.Err() != nil {
			return answer, err
		}
		if attempt == bulkAttempts {
			return bulkAnswer{}, refuse(busy, "others keep adding readings of the same times; try again in a moment")
		}
	}
}

func (b *bulk) tryStore(ctx context.Context, by string, replace bool) (bulkAnswer, error) {
	catalogue, err := b.server.store.Catalogue(ctx)
	if err != nil {
		return bulkAnswer{}, err
	}
	known, err := b.lookUp(ctx)
	if err != nil {
		return bulkAnswer{}, err
	}
	answer := bulkAnswer{Readings: len(b.readings)}
	var changes []crop.Change
	var items []int
	options := crop.ApplyOptions{Actor: by}
	for _, r := range b.readings {
		k := instant{r.place, r.at}
		old, there := known[k]
		if there && old.airC == r.airC {
			answer.Unchanged++
			continue
		}
		change := crop.Change{Record: &crop.Temperature{ID: old.id, PlaceID: r.place, MeasuredAt: time.UnixMilli(r.at).UTC(), AirC: new(r.airC)}}
		switch {
		case !there:
			change.Record.SetIdentity(b.server.store.NewID())
			change.Base = new(int64(0))
			answer.Created++
		case old.here:
			b.fault(r.item, "/air_c", "is %v, but the same place and time stands in this request with %v; keep the one that counts", r.airC, old.airC)
		case !replace:
			b.fault(r.item, "/air_c", "is %v, but %v is stored for this place and time; send replace=true to put this in its place", r.airC, old.airC)
		default:
			options.IfChange = &catalogue.Change // what is replaced must be what was compared
			answer.Replaced++
		}
		if b.faults.full() {
			break
		}
		known[k] = stored{change.Record.Identity(), r.airC, true}
		changes = append(changes, change)
		items = append(items, r.item)
	}
	if err := b.faults.problem(conflicting); err != nil {
		return bulkAnswer{}, err
	}
	if len(changes) == 0 {
		return answer, nil
	}
	_, err = b.server.store.Apply(ctx, changes, options)
	if e, ok := errors.AsType[*crop.Error](err); ok && e.Code == crop.Invalid {
		for _, f := range e.Faults {
			b.fault(items[f.Item], f.Pointer, "%s", f.Detail)
		}
		return bulkAnswer{}, b.faults.problem(invalidRecord)
	}
	return answer, err
}

type instant struct {
	place crop.ID
	at    int64
}

type stored struct {
	id   crop.ID
	airC float64
	here bool // in this request
}

// lookUp returns the stored readings of the times of the bulk.
func (b *bulk) lookUp(ctx context.Context) (map[instant]stored, error) {
	known := make(map[instant]stored, len(b.readings))
	times := map[crop.ID][]int64{}
	for _, r := range b.readings {
		times[r.place] = append(times[r.place], r.at)
	}
	for place, at := range times {
		slices.Sort(at)
		for first := 0; first < len(at); {
			last := first
			for last+1 < len(at) && at[last+1]-at[last] <= lookUpGap.Milliseconds() {
				last++
			}
			found, err := b.server.store.Temperatures(ctx, place, time.UnixMilli(at[first]), time.UnixMilli(at[last]))
			if err != nil {
				return nil, err
			}
			for _, t := range found {
				known[instant{place, t.MeasuredAt.UnixMilli()}] = stored{id: t.ID, airC: *t.AirC}
			}
			first = last + 1
		}
	}
	return known, nil
}

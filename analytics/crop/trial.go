package crop

import (
	"cmp"
	"slices"
	"time"
)

// Trial is one season with all that was recorded of it: what the store loads and the analytics are functions of.
type Trial struct {
	// Change is the site's change number when it was loaded; two trials with the same number hold the same records.
	Change       int64
	Season       Season
	Scales       []Scale
	Cultivars    []Cultivar
	Places       []Place
	Plants       []Plant // by label
	Visits       []Visit
	Pickings     []Picking
	Losses       []Loss
	Diary        []DiaryEntry
	Temperatures []Temperature // only if asked for
	Germination  []Germination

	index index
	asOf  time.Time // what AsOf cut it to; zero if it is whole
}

type index struct {
	scales    map[ID]*Scale
	cultivars map[ID]*Cultivar
	places    map[ID]*Place
	plants    map[ID]*Plant
}

// Arrange puts every list in order, gives every moment the zone of the place where its plant stood, lets a day alone take
// the time of the one timed count of its plant on that day, and makes the look-ups work. Whoever fills a Trial calls it
// once, before anyone reads.
func (t *Trial) Arrange() {
	slices.SortFunc(t.Plants, func(a, b Plant) int {
		return cmp.Or(NaturalCompare(a.Label, b.Label), a.ID.Compare(b.ID))
	})
	slices.SortStableFunc(t.Cultivars, func(a, b Cultivar) int { return NaturalCompare(a.Name, b.Name) })
	t.index = index{byID(t.Scales), byID(t.Cultivars), byID(t.Places), byID(t.Plants)}
	for i := range t.Visits {
		v := &t.Visits[i]
		v.CountedAt = t.zoned(v.CountedAt, &v.PlantID, nil)
	}
	times := t.countTimes()
	for i := range t.Pickings {
		p := &t.Pickings[i]
		p.PickedAt = times.settle(t.zoned(p.PickedAt, p.PlantID, p.PlaceID), p.PlantID)
	}
	for i := range t.Losses {
		l := &t.Losses[i]
		l.LostAt = times.settle(t.zoned(l.LostAt, l.PlantID, l.PlaceID), l.PlantID)
	}
	for i := range t.Diary {
		d := &t.Diary[i]
		d.NotedAt = t.zoned(d.NotedAt, d.PlantID, nil)
	}
	slices.SortFunc(t.Visits, func(a, b Visit) int { return byMoment(a.CountedAt, b.CountedAt, a.ID, b.ID) })
	slices.SortFunc(t.Pickings, func(a, b Picking) int { return byMoment(a.PickedAt, b.PickedAt, a.ID, b.ID) })
	slices.SortFunc(t.Losses, func(a, b Loss) int { return byMoment(a.LostAt, b.LostAt, a.ID, b.ID) })
	slices.SortFunc(t.Diary, func(a, b DiaryEntry) int { return byMoment(a.NotedAt, b.NotedAt, a.ID, b.ID) })
	slices.SortFunc(t.Temperatures, func(a, b Temperature) int {
		return cmp.Or(a.MeasuredAt.Compare(b.MeasuredAt), a.PlaceID.Compare(b.PlaceID))
	})
	slices.SortFunc(t.Germination, func(a, b Germination) int {
		return cmp.Or(dayOrNone(a.CountedOn).Compare(dayOrNone(b.CountedOn)), a.ID.Compare(b.ID))
	})
}

func dayOrNone(d *Date) Date {
	if d == nil {
		return Date{}
	}
	return *d
}

func byMoment(a, b Moment, ida, idb ID) int { return cmp.Or(a.At.Compare(b.At), ida.Compare(idb)) }

func byID[T any, P interface {
	*T
	Record
}](rows []T) map[ID]*T {
	m := make(map[ID]*T, len(rows))
	for i := range rows {
		m[P(&rows[i]).Identity()] = &rows[i]
	}
	return m
}

func (t *Trial) zoned(m Moment, plant, place *ID) Moment {
	if plant != nil {
		if p, ok := t.Plant(*plant); ok {
			return m.In(LocationAt(p, m, t))
		}
	}
	if place != nil {
		if p, ok := t.Place(*place); ok {
			return m.In(p.Location())
		}
	}
	return m
}

// countTimes holds, for the plants and days that something is known of by the day alone, the time of the one timed count of
// that plant on that day; the zero time where there is none, or more than one.
type countTimes map[plantDay]oneTime

type plantDay struct {
	plant ID
	day   Date
}

type oneTime struct {
	at   time.Time
	seen bool
}

func (t *Trial) countTimes() countTimes {
	times := countTimes{}
	ask := func(m Moment, plant *ID) {
		if plant != nil && !m.TimeKnown() {
			times[plantDay{*plant, m.Day}] = oneTime{}
		}
	}
	for i := range t.Pickings {
		ask(t.Pickings[i].PickedAt, t.Pickings[i].PlantID)
	}
	for i := range t.Losses {
		ask(t.Losses[i].LostAt, t.Losses[i].PlantID)
	}
	if len(times) == 0 {
		return nil
	}
	for i := range t.Visits {
		v := &t.Visits[i]
		if !v.CountedAt.TimeKnown() {
			continue
		}
		key := plantDay{v.PlantID, v.CountedAt.LocalDate()}
		switch one, asked := times[key]; {
		case !asked:
		case !one.seen:
			times[key] = oneTime{v.CountedAt.At, true}
		case !one.at.Equal(v.CountedAt.At): // rows of one time, one a truss, are one count
			times[key] = oneTime{time.Time{}, true}
		}
	}
	return times
}

func (c countTimes) settle(m Moment, plant *ID) Moment {
	if m.TimeKnown() || plant == nil {
		return m
	}
	if at := c[plantDay{*plant, m.Day}].at; !at.IsZero() {
		m.At = at
	}
	return m
}

// Plant returns the plant with an id.
func (t *Trial) Plant(id ID) (*Plant, bool) { p, ok := t.index.plants[id]; return p, ok }

// Cultivar returns the cultivar with an id.
func (t *Trial) Cultivar(id ID) (*Cultivar, bool) { v, ok := t.index.cultivars[id]; return v, ok }

// Place returns the place with an id.
func (t *Trial) Place(id ID) (*Place, bool) { p, ok := t.index.places[id]; return p, ok }

// Scale returns the scale with an id.
func (t *Trial) Scale(id ID) (*Scale, bool) { s, ok := t.index.scales[id]; return s, ok }

// CultivarOf returns the cultivar that a picking or loss is of: its plant's or, where there is no plant, that of its unit.
func (t *Trial) CultivarOf(plant *ID, u *Unit) (*Cultivar, bool) {
	if plant != nil {
		p, ok := t.Plant(*plant)
		if !ok {
			return nil, false
		}
		return t.Cultivar(p.CultivarID)
	}
	if u.CultivarID == nil {
		return nil, false
	}
	return t.Cultivar(*u.CultivarID)
}

// LastRecord returns the latest moment of a count, picking, loss or diary entry, or of a plant's sowing, transplanting, move
// or removal, for reports that take the season's last record as their as_of; a day alone counts to its end. It is the zero
// time where nothing was recorded.
func (t *Trial) LastRecord() time.Time {
	var last time.Time
	later := func(m Moment) {
		if at := m.Latest(); at.After(last) {
			last = at
		}
	}
	for i := range t.Visits {
		later(t.Visits[i].CountedAt)
	}
	for i := range t.Pickings {
		later(t.Pickings[i].PickedAt)
	}
	for i := range t.Losses {
		later(t.Losses[i].LostAt)
	}
	for i := range t.Diary {
		later(t.Diary[i].NotedAt)
	}
	for i := range t.Plants {
		p := &t.Plants[i]
		day := func(d Date) {
			m := DayMoment(d, time.UTC)
			later(m.In(LocationAt(p, m, t)))
		}
		for _, d := range []*Date{p.SownOn, p.TransplantedOn, p.RemovedOn} {
			if d != nil {
				day(*d)
			}
		}
		for _, m := range p.Moves {
			day(m.On)
		}
	}
	return last
}

// Only returns the trial narrowed to one plant and what names it; what came from a whole unit is left out.
func (t *Trial) Only(plant ID) *Trial {
	u := *t
	u.Plants = keep(t.Plants, func(p *Plant) bool { return p.ID == plant })
	u.Visits = keep(t.Visits, func(v *Visit) bool { return v.PlantID == plant })
	u.Pickings = keep(t.Pickings, func(p *Picking) bool { return p.PlantID != nil && *p.PlantID == plant })
	u.Losses = keep(t.Losses, func(l *Loss) bool { return l.PlantID != nil && *l.PlantID == plant })
	return &u
}

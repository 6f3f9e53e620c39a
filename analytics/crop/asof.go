package crop

import (
	"slices"
	"time"
)

// AsOf returns the trial with only what was stamped at or before asOf, in the same order: a plant sown later isn't there, and
// one that was moved, transplanted or removed later wasn't yet. The lists of the receiver stay as they are. The trial must be
// arranged.
func (t *Trial) AsOf(asOf time.Time) *Trial {
	u := *t
	u.asOf = asOf
	u.standAsOf(asOf)
	u.Visits = keep(t.Visits, func(v *Visit) bool { return v.CountedAt.Within(asOf) })
	u.Pickings = keep(t.Pickings, func(p *Picking) bool { return p.PickedAt.Within(asOf) })
	u.Losses = keep(t.Losses, func(l *Loss) bool { return l.LostAt.Within(asOf) })
	u.Diary = keep(t.Diary, func(d *DiaryEntry) bool {
		if d.PlantID == nil && !d.NotedAt.TimeKnown() {
			return t.begun(d.NotedAt.Day, asOf)
		}
		return d.NotedAt.Within(asOf)
	})
	u.Temperatures = keep(t.Temperatures, func(r *Temperature) bool { return !r.MeasuredAt.After(asOf) })
	u.Germination = keep(t.Germination, func(g *Germination) bool {
		return g.CountedOn != nil && t.begun(*g.CountedOn, asOf)
	})
	return &u
}

// Over tells whether the season's last day is past, at every place, at the moment that the trial was cut to. A trial that
// was not cut, or whose season has no last day, is not over.
func (t *Trial) Over() bool {
	if t.asOf.IsZero() || t.Season.LastDay == nil {
		return false
	}
	next := t.Season.LastDay.AddDays(1)
	if len(t.Places) == 0 {
		return !next.After(DateOf(t.asOf.UTC()))
	}
	return !slices.ContainsFunc(t.Places, func(p Place) bool { return next.After(DateOf(t.asOf.In(p.Location()))) })
}

// begun tells whether a day has begun at asOf at one of the trial's places: what names no place may be of any of them.
// Without places it goes by UTC.
func (t *Trial) begun(day Date, asOf time.Time) bool {
	if len(t.Places) == 0 {
		return !day.After(DateOf(asOf.UTC()))
	}
	return slices.ContainsFunc(t.Places, func(p Place) bool { return !day.After(DateOf(asOf.In(p.Location()))) })
}

// standAsOf leaves out the plants that are still to come and takes back what is still to happen to the others. Plants are
// copied only if there is any of it.
func (t *Trial) standAsOf(asOf time.Time) {
	if !slices.ContainsFunc(t.Plants, func(p Plant) bool { return t.changesAfter(&p, asOf) }) {
		return
	}
	plants := make([]Plant, 0, len(t.Plants))
	for i := range t.Plants {
		if p, there := t.plantAsOf(t.Plants[i], asOf); there {
			plants = append(plants, p)
		}
	}
	t.Plants = plants
	t.index.plants = byID(plants)
}

// changesAfter tells whether anything of a plant may have a day after asOf, wherever on Earth that day is told.
func (t *Trial) changesAfter(p *Plant, asOf time.Time) bool {
	day := DateOf(asOf.UTC()).AddDays(-1) // the day that it is at least everywhere
	after := func(d *Date) bool { return d != nil && d.After(day) }
	return after(p.Since()) || after(p.TransplantedOn) || after(p.RemovedOn) ||
		slices.ContainsFunc(p.Moves, func(m Move) bool { return m.On.After(day) })
}

// plantAsOf is a plant as it stood, and false if it wasn't there yet. A day is past once it has begun where the plant stood on
// it. A move is past once its day has begun at either place, and a plant that was moved was there, so that whatever was
// recorded of the plant within asOf stays where it was.
func (t *Trial) plantAsOf(p Plant, asOf time.Time) (as Plant, there bool) {
	past := func(d Date) bool {
		m := DayMoment(d, time.UTC)
		return m.In(LocationAt(&p, m, t)).Within(asOf)
	}
	first, _ := t.Place(p.PlaceID)
	moves := keep(p.Moves, func(m *Move) bool {
		place, _ := t.Place(m.PlaceID)
		return !m.On.After(DateOf(asOf.In(place.Location()))) || !m.On.After(DateOf(asOf.In(first.Location())))
	})
	if since := p.Since(); since != nil && !past(*since) && len(moves) == 0 {
		return p, false
	}
	as = p
	as.Moves = moves
	if p.TransplantedOn != nil && !past(*p.TransplantedOn) && p.SownOn != nil {
		as.TransplantedOn = nil
	}
	if p.RemovedOn != nil && !past(*p.RemovedOn) {
		as.RemovedOn = nil
	}
	return as, true
}

func keep[T any](rows []T, within func(*T) bool) []T {
	kept := make([]T, 0, len(rows))
	for i := range rows {
		if within(&rows[i]) {
			kept = append(kept, rows[i])
		}
	}
	return kept
}

// NotYet is the error of asking for a plant before its first day.
func NotYet(p *Plant, asOf time.Time) *Error {
	return Errorf(NotFound, "plant %s wasn't there yet at %s: it was %s on %s; look back from a later moment", quoted(p.Label),
		Stamp(asOf), p.began(), p.Since())
}

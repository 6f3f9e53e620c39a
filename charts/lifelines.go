package charts

import (
	"fmt"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/phenology"
	"vinetally/analytics/report"
	"vinetally/analytics/yield"
)

// lifeEvents are the events of the timeline, in the order of a plant's life; the last three aren't milestones of growth.
var lifeEvents = []string{string(phenology.FirstBud), string(phenology.FirstFlower), string(phenology.FirstFruit), string(phenology.FirstColour),
	string(phenology.FirstRipe), "last count", "moved", string(phenology.Removed)}

const (
	eventLastCount = 5
	eventMoved     = 6
)

// timelineOf is one line for each plant of which a day is on record.
func timelineOf(plants []yield.Plant, r *report.Season) Timeline {
	loc := r.AsOf.Location()
	f := Timeline{Kinds: lifeEvents}
	for i := range plants {
		p := &plants[i]
		row := TimelineRow{Name: p.Records.Plant.Label}
		extend := func(at time.Time) {
			if row.From.IsZero() || at.Before(row.From) {
				row.From = at
			}
			if at.After(row.To) {
				row.To = at
			}
		}
		put := func(kind int, on crop.Date, after *crop.Date, note string) {
			e := TimelineEvent{Kind: kind, At: on.Noon(loc), Note: note}
			if after != nil {
				e.After = after.Noon(loc)
				extend(e.After)
			}
			extend(e.At)
			row.Events = append(row.Events, e)
		}
		for _, m := range p.Milestones {
			extend(m.On.Noon(loc))
			for kind, name := range lifeEvents {
				if string(m.Name) == name {
					put(kind, m.On, m.After, "told by "+m.From)
				}
			}
		}
		if day := lastCount(p); day != nil {
			put(eventLastCount, *day, nil, "")
		}
		for _, m := range p.Records.Plant.Moves {
			put(eventMoved, m.On, nil, "to "+placeNamed(r, m.PlaceID))
		}
		if !row.From.IsZero() {
			f.Rows = append(f.Rows, row)
		}
	}
	f.Basis = count(len(f.Rows), "plant", "plants") + " with a day on record"
	return f
}

// timelineWords is the timeline in a sentence: when the first ripe fruit was seen, and on how many plants.
func timelineWords(plants []yield.Plant) string {
	const what = "Each plant's life on one line, from the first day on record to the last"
	var first, last *yield.Plant
	on := func(p *yield.Plant) *crop.Date {
		for i := range p.Milestones {
			if p.Milestones[i].Name == phenology.FirstRipe {
				return &p.Milestones[i].On
			}
		}
		return nil
	}
	n := 0
	for i := range plants {
		p := &plants[i]
		day := on(p)
		if day == nil {
			continue
		}
		n++
		if first == nil || day.Before(*on(first)) {
			first = p
		}
		if last == nil || on(last).Before(*day) {
			last = p
		}
	}
	switch {
	case len(plants) == 1 && n == 0:
		return "The plant's life on one line, from the first day on record to the last; no ripe fruit was seen yet."
	case len(plants) == 1:
		return fmt.Sprintf("The plant's life on one line, from the first day on record to the last; its first ripe fruit was seen on %s.", on(first).Words())
	case n == 0:
		return what + "; no ripe fruit was seen yet."
	case n == 1 || *on(first) == *on(last):
		return fmt.Sprintf("%s; the first ripe fruit was seen on %s, on %d of %d plants.", what, on(first).Words(), n, len(plants))
	}
	return fmt.Sprintf("%s; the first ripe fruit was seen between %s (%s) and %s (%s), on %d of %d plants.", what,
		on(first).Words(), first.Records.Plant.Label, on(last).Words(), last.Records.Plant.Label, n, len(plants))
}

func lastCount(p *yield.Plant) *crop.Date {
	var last *crop.Date
	for i := range p.Records.Visits {
		if day := p.Records.Visits[i].CountedAt.LocalDate(); last == nil || last.Before(day) {
			last = &day
		}
	}
	return last
}

func placeNamed(r *report.Season, id crop.ID) string {
	if place, ok := r.Trial.Place(id); ok {
		return place.Name
	}
	return "another place"
}

package waste

import (
	"slices"

	"vinetally/analytics/crop"
)

// Week is what was lost in one ISO week.
type Week struct {
	Monday crop.Date
	Picked int
	Lost   []Loss
}

func weekly(t *crop.Trial) []Week {
	byDay := map[crop.Date]*Week{}
	at := func(d crop.Date) *Week {
		monday := d.Monday()
		if byDay[monday] == nil {
			byDay[monday] = &Week{Monday: monday}
		}
		return byDay[monday]
	}
	scaleOf := func(plant *crop.ID, u *crop.Unit) (*crop.Scale, bool) {
		cultivar, ok := t.CultivarOf(plant, u)
		if !ok {
			return nil, false
		}
		return t.Scale(cultivar.Scale())
	}
	for i := range t.Pickings {
		p := &t.Pickings[i]
		if _, ok := scaleOf(p.PlantID, &p.Unit); ok && p.Fruits != nil {
			at(p.PickedAt.LocalDate()).Picked += *p.Fruits
		}
	}
	for i := range t.Losses {
		l := &t.Losses[i]
		scale, ok := scaleOf(l.PlantID, &l.Unit)
		if !ok || l.Fruits == nil {
			continue
		}
		w := at(l.LostAt.LocalDate())
		w.Lost = addLoss(w.Lost, lossOf(l, scale))
	}
	var weeks []Week
	for _, w := range byDay {
		weeks = append(weeks, *w)
	}
	slices.SortFunc(weeks, func(a, b Week) int { return a.Monday.Compare(b.Monday) })
	return weeks
}

package waste

import (
	"slices"

	"vinetally/analytics/crop"
	"vinetally/analytics/yield"
)

// Week is what was lost in one ISO week.
type Week struct {
	Monday crop.Date
	Picked int
	Lost   []Loss
	// PickedG and LostG are masses as in Sum.
	PickedG, LostG yield.Grams
}

func weekly(t *crop.Trial, weights *yield.Weights) []Week {
	byDay := map[crop.Date]*Week{}
	at := func(d crop.Date) *Week {
		monday := d.Monday()
		if byDay[monday] == nil {
			byDay[monday] = &Week{Monday: monday, PickedG: yield.Grams{Sure: true}, LostG: yield.Grams{Sure: true}}
		}
		return byDay[monday]
	}
	scaleOf := func(plant *crop.ID, u *crop.Unit) (*crop.Scale, crop.ID, bool) {
		cultivar, ok := t.CultivarOf(plant, u)
		if !ok {
			return nil, crop.ID{}, false
		}
		scale, ok := t.Scale(cultivar.Scale())
		return scale, cultivar.ID, ok
	}
	for i := range t.Pickings {
		p := &t.Pickings[i]
		_, cultivar, ok := scaleOf(p.PlantID, &p.Unit)
		if !ok {
			continue
		}
		w := at(p.PickedAt.LocalDate())
		w.PickedG = w.PickedG.Plus(weights.Picked(cultivar, p))
		if p.Fruits != nil {
			w.Picked += *p.Fruits
		}
	}
	for i := range t.Losses {
		l := &t.Losses[i]
		scale, cultivar, ok := scaleOf(l.PlantID, &l.Unit)
		if !ok || l.Fruits == nil {
			continue
		}
		w := at(l.LostAt.LocalDate())
		one := lossOf(l, scale)
		w.Lost = addLoss(w.Lost, one)
		if one.Ripe > 0 && wasteful(l.Cause) {
			w.LostG = w.LostG.Plus(lostG(l, cultivar, one.Ripe, weights))
		}
	}
	var weeks []Week
	for _, w := range byDay {
		weeks = append(weeks, *w)
	}
	slices.SortFunc(weeks, func(a, b Week) int { return a.Monday.Compare(b.Monday) })
	return weeks
}

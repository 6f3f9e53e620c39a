package waste

import (
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/yield"
)

// Cultivar is that of a cultivar, its whole units included.
type Cultivar struct {
	Cultivar *crop.Cultivar
	Plants   int
	Sum
	Share *Share
}

// Season is the waste of a season.
type Season struct {
	Plants    []Plant
	Cultivars []Cultivar
	Sum
	Share *Share
	Weeks []Week
}

// Of sums up a season as of a moment, which the trial was cut to. holdDays is as in pastripe.Of.
func Of(t *crop.Trial, asOf time.Time, holdDays float64) Season {
	var s Season
	weights := yield.NewWeights(t)
	records := t.ByPlant()
	byCultivar := map[crop.ID][]*Plant{}
	s.Plants = make([]Plant, 0, len(records))
	for i := range records {
		r := &records[i]
		if r.Cultivar == nil || r.Scale == nil {
			continue
		}
		s.Plants = append(s.Plants, Plant{r, ofPlant(*r, asOf, holdDays, weights)})
	}
	for i := range s.Plants {
		id := s.Plants[i].Records.Cultivar.ID
		byCultivar[id] = append(byCultivar[id], &s.Plants[i])
	}
	var all []*Plant
	for i := range t.Cultivars {
		own := byCultivar[t.Cultivars[i].ID]
		c := Cultivar{Cultivar: &t.Cultivars[i], Plants: len(own), Sum: none()}
		for _, p := range own {
			c.add(&p.Sum)
		}
		c.units(t, t.Cultivars[i].ID, weights)
		if len(own) == 0 && c.Picked == 0 && len(c.Lost) == 0 {
			continue
		}
		c.Share = shareOf(own, &c.Sum)
		s.Cultivars = append(s.Cultivars, c)
		all = append(all, own...)
	}
	s.Sum = none()
	for i := range s.Cultivars {
		s.add(&s.Cultivars[i].Sum)
	}
	s.Share = shareOf(all, &s.Sum)
	s.Weeks = weekly(t, weights)
	return s
}

// units adds what was picked or lost of a cultivar's whole units. That of a unit of one plant is in the plant's sum already.
func (c *Cultivar) units(t *crop.Trial, id crop.ID, w *yield.Weights) {
	scale, ok := crop.ScaleOf(t, id)
	if !ok {
		return
	}
	of := func(plant *crop.ID, u *crop.Unit, at crop.Moment) bool {
		_, sure := t.PlantOf(plant, u, at)
		return !sure && u.CultivarID != nil && *u.CultivarID == id
	}
	for i := range t.Pickings {
		if p := &t.Pickings[i]; of(p.PlantID, &p.Unit, p.PickedAt) {
			c.pick(p, scale, id, w)
		}
	}
	for i := range t.Losses {
		if l := &t.Losses[i]; of(l.PlantID, &l.Unit, l.LostAt) {
			c.lose(l, scale, id, w)
		}
	}
}

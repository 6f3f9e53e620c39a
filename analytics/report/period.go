package report

import (
	"fmt"

	"vinetally/analytics/crop"
	"vinetally/analytics/yield"
)

// Period is what happened from one day to the day that the report speaks of, both in it. All else in a report is as of its end; a period
// adds what came within.
type Period struct {
	From, To crop.Date
	Groups   []PeriodGroup // by cultivar, those with anything picked or lost
	All      PeriodGroup
}

// PeriodGroup is what was picked and lost of a cultivar, or of all.
type PeriodGroup struct {
	Name          string
	Picked, Culls int
	MassG         float64 // of what was weighed
	Weighed       int     // fruit that it is of
	Ripe, Unripe  int     // lost or cleared
}

// period sums up a trial that holds nothing after the report's moment. A day is that of the place.
func (s *Season) period(from crop.Date) *Period {
	t := *s.Trial
	p := &Period{From: from, To: crop.DateOf(s.AsOf), All: PeriodGroup{Name: "All"}}
	t.Pickings = nil
	for _, pick := range s.Trial.Pickings {
		if !pick.PickedAt.LocalDate().Before(from) {
			t.Pickings = append(t.Pickings, pick)
		}
	}
	groups := map[crop.ID]*PeriodGroup{}
	of := func(id crop.ID) *PeriodGroup {
		if groups[id] == nil {
			groups[id] = &PeriodGroup{}
		}
		return groups[id]
	}
	for _, g := range yield.Of(&t).Cultivars {
		if g.Fruits > 0 || g.Uncounted > 0 {
			x := of(g.Cultivar.ID)
			x.Picked, x.Culls, x.MassG, x.Weighed = g.Fruits, g.Culls, g.MassG, g.Weighed
		}
	}
	for i := range s.Trial.Losses {
		l := &s.Trial.Losses[i]
		if l.LostAt.LocalDate().Before(from) || l.Fruits == nil {
			continue
		}
		cultivar := l.CultivarID
		if l.PlantID != nil {
			if plant, ok := s.Trial.Plant(*l.PlantID); ok {
				cultivar = &plant.CultivarID
			}
		}
		if cultivar == nil {
			continue
		}
		scale, ok := crop.ScaleOf(s.Trial, *cultivar)
		if ok && scale.Index(l.Stage) >= scale.Ripe() {
			of(*cultivar).Ripe += *l.Fruits
		} else {
			of(*cultivar).Unripe += *l.Fruits
		}
	}
	for i := range s.Trial.Cultivars {
		g := groups[s.Trial.Cultivars[i].ID]
		if g == nil {
			continue
		}
		g.Name = s.Trial.Cultivars[i].Name
		p.Groups = append(p.Groups, *g)
		p.All.Picked += g.Picked
		p.All.Culls += g.Culls
		p.All.MassG += g.MassG
		p.All.Weighed += g.Weighed
		p.All.Ripe += g.Ripe
		p.All.Unripe += g.Unripe
	}
	return p
}

// words is the period in a sentence.
func (p *Period) words() Statement {
	lost := p.All.Ripe + p.All.Unripe
	return Statement{fmt.Sprintf("%s: %s and %s.", crop.RangeWords(p.From, p.To), fruit(p.All.Picked, "was picked", "were picked"), fmt.Sprintf("%d lost or cleared", lost)), Plain}
}

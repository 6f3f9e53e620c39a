package yield

import (
	"vinetally/analytics/crop"
)

// Tally adds up pickings.
type Tally struct {
	Fruits     int // counted fruit picked, marketable and cull
	Marketable int
	Culls      int
	// Unripe is the fruit picked at a stage before the ripe one; it never reached ripe.
	Unripe int
	// MassG is the mass weighed, grams; MassEstimated tells that part of it is a share of a common weighing.
	MassG         float64
	MassEstimated bool
	// Weighed is how many of Fruits the mass belongs to; the rest was never weighed, or only together with fruit that
	// nobody counted.
	Weighed int
	// Uncounted is the number of pickings whose fruit were weighed without counting them.
	Uncounted int

	all, ripe meanMass
}

// meanMass is what a mean fruit mass is formed from: the mass and number of fruit that were weighed with no others, and
// when they were picked.
type meanMass struct {
	massG       float64
	fruits      int
	first, last crop.Date
}

func (m *meanMass) add(massG float64, fruits int, on crop.Date) {
	m.massG += massG
	m.fruits += fruits
	if m.first.IsZero() || on.Before(m.first) {
		m.first = on
	}
	if on.After(m.last) {
		m.last = on
	}
}

func (m meanMass) mean() (float64, bool) {
	if m.fruits == 0 {
		return 0, false
	}
	return m.massG / float64(m.fruits), true
}

// MeanFruitMassG returns the mean mass in grams of the fruit that were weighed and counted, of whatever stage and grade,
// and false where none were. Fruit that were weighed together with those of another cultivar (in the tally of a plant, of
// another plant) or with fruit that nobody counted don't enter.
func (t Tally) MeanFruitMassG() (float64, bool) { return t.all.mean() }

// RipeFruitMassG is the mean mass in grams of marketable fruit picked ripe, the one that cultivars may be compared by, and
// how many fruit it rests on: Σ mass ÷ Σ fruit over weighings of such fruit alone. Fruit that were weighed together with
// unripe ones or culls don't enter. It describes the fruit that were weighed and carries no interval; RipeFruitDays tells
// when those were picked, since the mass of a fruit falls through a season.
func (t Tally) RipeFruitMassG() (massG float64, fruits int, ok bool) {
	massG, ok = t.ripe.mean()
	return massG, t.ripe.fruits, ok
}

// RipeFruitDays returns the first and the last day on which fruit of the mean RipeFruitMassG were picked; without such
// fruit both are zero.
func (t Tally) RipeFruitDays() (first, last crop.Date) { return t.ripe.first, t.ripe.last }

// Add takes one picking of a plant into the tally. scale is that of its cultivar; a stage that isn't on it counts neither
// as ripe nor as unripe.
func (t *Tally) Add(p *crop.Picking, m Mass, scale *crop.Scale) { t.add(p, m, scale, m.OnePlant) }

// add takes one picking in; alone tells whether its mass is of fruit that the tally may form a mean of.
func (t *Tally) add(p *crop.Picking, m Mass, scale *crop.Scale, alone bool) {
	if m.Known {
		t.MassG += m.G
		t.MassEstimated = t.MassEstimated || m.Estimated
	}
	if p.Fruits == nil {
		t.Uncounted++
		return
	}
	n := *p.Fruits
	t.Fruits += n
	if p.Grade == crop.Cull {
		t.Culls += n
	} else {
		t.Marketable += n
	}
	stage := scale.Index(p.Stage)
	if stage >= 0 && stage < scale.Ripe() {
		t.Unripe += n
	}
	if !m.Known || m.Unshared {
		return
	}
	t.Weighed += n
	if alone {
		on := p.PickedAt.LocalDate()
		t.all.add(m.G, n, on)
		if !m.Mixed && stage >= scale.Ripe() && p.Grade != crop.Cull {
			t.ripe.add(m.G, n, on)
		}
	}
}

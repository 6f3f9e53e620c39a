package demotrial

import (
	"slices"

	"vinetally/analytics/simulate"
)

// bush is one plant as the season goes on: its fruit, what the grower did to
// it, and what the records have of it.
type bush struct {
	plan        plantPlan
	cultivar    cultivarPlan
	fruit       []*fruit
	firstFlower hours
	firstBud    hours

	lastVisit  hours // of the plant, for finding what went since
	lastPicked hours
	visits     int
	empty      int // visits in a row that found nothing
	bore       bool
	removedOn  string
	milestones map[string]bool

	truth PlantTruth
}

func newBush(s seasonPlan, p plantPlan, air map[string][]float64) *bush {
	b := &bush{plan: p, cultivar: cultivarNamed(p.cultivar), milestones: map[string]bool{}}
	b.truth = PlantTruth{Season: s.name, Plant: p.label, Cultivar: p.cultivar, LostByCause: map[string]int{}}
	if p.discarded {
		b.removedOn = p.removed
		return b
	}
	b.fruit, b.firstFlower = growFruit(s, p, air)
	b.firstBud = b.firstFlower - 24*10
	b.lastPicked = b.firstBud
	return b
}

// standing counts the fruit an observer finds, by stage.
func (b *bush) standing(h hours) (counts [4]int) {
	for _, f := range b.fruit {
		if f.countable(h) {
			counts[f.stageAt(h)]++
		}
	}
	return counts
}

// trussesOn returns how many trusses have borne countable fruit so far.
func (b *bush) trussesOn(h hours) int {
	seen := map[int]bool{}
	for _, f := range b.fruit {
		if f.seen <= h {
			seen[f.Truss] = true
		}
	}
	return len(seen)
}

// standingOn counts only the fruit of the lowest n trusses.
func (b *bush) standingOn(n int, h hours) (counts [4]int) {
	for _, f := range b.fruit {
		if f.Truss < n && f.countable(h) {
			counts[f.stageAt(h)]++
		}
	}
	return counts
}

// stageCause is what a loss is written down as.
type stageCause struct {
	stage int
	cause string
}

// fallen takes away what went by itself since the last visit and returns it.
// A fruit that nobody had noticed yet goes unnoticed.
func (b *bush) fallen(h hours) map[stageCause]int {
	found := map[stageCause]int{}
	for _, f := range b.fruit {
		if f.gone() || f.falls > h {
			continue
		}
		stage := f.stageAt(f.falls)
		b.take(f, f.falls)
		if f.seen > b.lastVisit || f.seen > f.falls {
			b.truth.NeverSeen++
			continue
		}
		found[stageCause{stage, f.cause}]++
		b.truth.LostByCause[f.cause]++
		b.truth.Lost++
	}
	return found
}

// take removes one fruit, whoever did it.
func (b *bush) take(f *fruit, h hours) { f.Gone = h }

// finished reports whether the plant has neither fruit nor fruit to come.
func (b *bush) finished(h hours) bool {
	for _, f := range b.fruit {
		if !f.gone() {
			return false
		}
	}
	return b.bore
}

// forget drops the fruit that the plant had no time left to set.
func (b *bush) forget(h hours) {
	b.fruit = slices.DeleteFunc(b.fruit, func(f *fruit) bool { return f.Enters[simulate.Green] > h })
}

// close fills in what is left when the records end.
func (b *bush) close(h hours) {
	hold := 24.0 * 7
	b.forget(h)
	b.truth.Set = len(b.fruit)
	for _, f := range b.fruit {
		if f.gone() {
			continue
		}
		b.truth.Left++
		if f.Enters[ripe] <= h {
			b.truth.LeftRipe++
		}
		if f.Enters[ripe] <= h-hold {
			b.truth.LeftPastRipe++
		}
	}
}

package report

import (
	"slices"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// Standing is the standing fruit of all plants that share a scale, day by day.
type Standing struct {
	Scale *crop.Scale
	Days  []StandingDay // days on which something was counted, picked or lost, in order
}

// StandingDay is the state at the end of a day.
type StandingDay struct {
	On crop.Date
	// ByStage is the standing fruit of each stage as last counted, less what was taken since, by the plants' ledgers; nil
	// where no plant had been counted, and where some plant's isn't known: its last count left the stage out, was of a part or given up, or fruit was taken since
	// without counting it or without saying from which plant.
	ByStage []*int
	// AtLeast is the same as a lower bound, known always; Open is how many plants leave the number of the stage open.
	AtLeast, Open []int
	// Counted is the number of plants that had been counted by then, Visited those counted on the day itself.
	Counted, Visited int
	// Picked and Lost are the fruit taken and lost on that day.
	Picked, Lost int
}

// calendar gathers the days of a scale.
type calendar struct {
	days   map[crop.Date]*StandingDay
	booked map[crop.ID]bool // a unit's pickings and losses, which stand in the ledger of every plant of it
}

func (c *calendar) at(on crop.Date) *StandingDay {
	d := c.days[on]
	if d == nil {
		d = &StandingDay{On: on}
		c.days[on] = d
	}
	return d
}

// BoundShown tells whether the lower bound of a stage is near what stands: no more than a fifth of the plants counted leave it open. Of
// fewer plants it would look like fruit that went and came back.
func (d *StandingDay) BoundShown(stage int) bool {
	return d.Counted > 0 && 5*d.Open[stage] <= d.Counted
}

// state is what stands on a plant by stage, nil where it isn't known, and at least.
type state struct {
	exact []*int
	least []int
}

// change is what stands on a plant from a day on.
type change struct {
	on    crop.Date
	plant int
	state state
}

// standing adds the ledgers of the plants up at the end of each day. What was taken of a unit is among Picked and Lost where
// units tells so; of a single plant it is not known to be.
func standing(scale *crop.Scale, plants []*Plant, units bool) Standing {
	c := &calendar{days: map[crop.Date]*StandingDay{}, booked: map[crop.ID]bool{}}
	var changes []change
	for i, p := range plants {
		c.taken(&p.Book, units)
		changes = append(changes, c.follow(i, p)...)
	}
	slices.SortStableFunc(changes, func(a, b change) int { return a.on.Compare(b.on) })
	s := Standing{Scale: scale}
	current := make([]state, len(plants))
	next := 0
	for _, d := range c.sorted() {
		for next < len(changes) && !changes[next].on.After(d.On) {
			current[changes[next].plant] = changes[next].state
			next++
		}
		d.addUp(current, len(scale.Stages))
		s.Days = append(s.Days, *d)
	}
	return s
}

// taken marks what was picked and lost of a plant, and of the units that it belongs to, on each day.
func (c *calendar) taken(b *ledger.Book, units bool) {
	for i := range b.Removals {
		r := &b.Removals[i]
		if !r.Sure {
			if !units || c.booked[r.ID] {
				continue
			}
			c.booked[r.ID] = true
		}
		if d := c.at(r.At.LocalDate()); r.Picked {
			d.Picked += r.Fruits
		} else {
			d.Lost += r.Fruits
		}
	}
}

// follow goes through a plant's ledger and tells what stands on it from each day on. Until its first count nothing is known
// of a plant, and it is in no sum.
func (c *calendar) follow(plant int, p *Plant) []change {
	b := &p.Book
	var changes []change
	var visited crop.Date
	next := 0
	for i := range b.Visits {
		on := b.Visits[i].CountedAt.LocalDate()
		if visited != on {
			c.at(on).Visited++
		}
		visited = on
		changes = append(changes, change{on, plant, stateAfter(b, i, 0)})
		for next < len(b.Removals) && b.Removals[next].Interval <= i {
			next++
		}
		for n := 1; next < len(b.Removals) && b.Removals[next].Interval == i+1; n++ {
			day := b.Removals[next].At.LocalDate()
			next++
			if next == len(b.Removals) || b.Removals[next].Interval != i+1 || b.Removals[next].At.LocalDate() != day {
				changes = append(changes, change{day, plant, stateAfter(b, i, n)})
			}
		}
	}
	if b.Removed && len(b.Visits) > 0 {
		on := *p.Records.Plant.RemovedOn
		c.at(on)
		changes = slices.DeleteFunc(changes, func(x change) bool { return x.on.After(on) })
		none := state{make([]*int, len(b.Scale)), make([]int, len(b.Scale))}
		for s := range none.exact {
			none.exact[s] = new(0)
		}
		changes = append(changes, change{on, plant, none})
	}
	return changes
}

func stateAfter(b *ledger.Book, visit, n int) state {
	return state{b.StandingAfter(visit, n), b.StandingAtLeastAfter(visit, n)}
}

// addUp sums the plants that were counted; a stage that isn't known of one of them isn't known of all, and without any nothing is known.
func (d *StandingDay) addUp(current []state, stages int) {
	d.ByStage, d.AtLeast, d.Open, d.Counted = make([]*int, stages), make([]int, stages), make([]int, stages), 0
	for _, of := range current {
		if of.exact == nil {
			continue
		}
		d.Counted++
		for s, n := range of.exact {
			d.AtLeast[s] += of.least[s]
			if n == nil {
				d.Open[s]++
			}
		}
	}
	for s := range d.ByStage {
		if d.Counted > 0 && d.Open[s] == 0 {
			d.ByStage[s] = new(d.AtLeast[s])
		}
	}
}

func (c *calendar) sorted() []*StandingDay {
	all := make([]*StandingDay, 0, len(c.days))
	for _, d := range c.days {
		all = append(all, d)
	}
	slices.SortFunc(all, func(a, b *StandingDay) int { return a.On.Compare(b.On) })
	return all
}

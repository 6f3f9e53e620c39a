package report

import (
	"cmp"
	"slices"

	"vinetally/analytics/crop"
)

// Standing is the standing fruit of all plants that share a scale, day by day.
type Standing struct {
	Scale *crop.Scale
	Days  []StandingDay // days on which something was counted, picked or lost, in order
}

// StandingDay is the state at the end of a day.
type StandingDay struct {
	On crop.Date
	// ByStage is the standing fruit of each stage as last counted, less what was taken since; nil where some plant's isn't
	// known: its last count left the stage out, was of a part or given up, or fruit was taken since without counting it.
	ByStage []*int
	// Counted is the number of plants that had been counted by then, Visited those counted on the day itself.
	Counted, Visited int
	// Picked and Lost are the fruit taken and lost on that day.
	Picked, Lost int
}

// action is one thing that happened to a plant, in the order in which it changed what stood there.
type action struct {
	moment  crop.Moment
	phase   int // found losses, counts, then the grower's own acts
	visit   *crop.Visit
	stage   int
	fruits  int
	picking bool
	weighed bool // taken by mass, in unknown number
	removal bool // of the whole plant
}

// standing follows every plant through its records and adds the plants up at the end of each day.
func standing(scale *crop.Scale, plants []crop.PlantRecords) Standing {
	days := map[crop.Date]*StandingDay{}
	at := func(on crop.Date) *StandingDay {
		d := days[on]
		if d == nil {
			d = &StandingDay{On: on}
			days[on] = d
		}
		return d
	}
	type change struct {
		on    crop.Date
		plant int
		state []*int
	}
	var changes []change
	for i := range plants {
		state := make([]*int, len(scale.Stages))
		var visited crop.Date
		for _, a := range actions(scale, &plants[i]) {
			on := a.moment.LocalDate()
			d := at(on)
			switch {
			case a.visit != nil:
				count(scale, a.visit, state)
				if visited != on {
					d.Visited++
				}
				visited = on
			case a.removal:
				for stage := range state {
					state[stage] = new(0)
				}
			case a.picking:
				d.Picked += a.fruits
				take(state, a)
			default:
				d.Lost += a.fruits
				take(state, a)
			}
			if !visited.IsZero() { // until its first count nothing is known of a plant, and it is in no sum
				changes = append(changes, change{on, i, slices.Clone(state)})
			}
		}
	}
	slices.SortStableFunc(changes, func(a, b change) int { return a.on.Compare(b.on) })
	s := Standing{Scale: scale}
	current := make([][]*int, len(plants))
	next := 0
	for _, d := range sortedDays(days) {
		for next < len(changes) && !changes[next].on.After(d.On) {
			current[changes[next].plant] = changes[next].state
			next++
		}
		d.ByStage, d.Counted = addUp(current, len(scale.Stages))
		s.Days = append(s.Days, *d)
	}
	return s
}

func actions(scale *crop.Scale, r *crop.PlantRecords) []action {
	var all []action
	for i := range r.Visits {
		all = append(all, action{moment: r.Visits[i].CountedAt, phase: 1, visit: &r.Visits[i]})
	}
	for i := range r.Pickings {
		p := &r.Pickings[i]
		a := action{moment: p.PickedAt, phase: phase(p.BeforeCount), stage: scale.Index(p.Stage), picking: true, weighed: p.Fruits == nil}
		if p.Fruits != nil {
			a.fruits = *p.Fruits
		}
		all = append(all, a)
	}
	for i := range r.Losses {
		l := &r.Losses[i]
		all = append(all, action{moment: l.LostAt, phase: phase(l.BeforeCount || l.Cause.Found()), stage: scale.Index(l.Stage), fruits: *l.Fruits})
	}
	if r.Plant.RemovedOn != nil && len(r.Visits) > 0 {
		removed := crop.DayMoment(*r.Plant.RemovedOn, r.Visits[0].CountedAt.At.Location())
		removed.At = removed.Latest()
		all = append(all, action{moment: removed, phase: 3, removal: true})
	}
	slices.SortStableFunc(all, func(a, b action) int {
		return cmp.Or(a.moment.At.Compare(b.moment.At), cmp.Compare(a.phase, b.phase))
	})
	return all
}

func phase(before bool) int {
	if before {
		return 0
	}
	return 2
}

// count sets the stages that were counted on the whole plant and forgets the others: a part of a plant, a count that was
// given up or a glance tells no stage.
func count(scale *crop.Scale, v *crop.Visit, state []*int) {
	partial := v.TrussesCounted != nil && (v.TrussesTotal == nil || *v.TrussesCounted < *v.TrussesTotal)
	for i, stage := range scale.Stages {
		n, counted := v.Counts[stage.Name]
		if state[i] = nil; counted && !partial && !v.AtLeast && !v.About && v.Truss == nil {
			state[i] = new(n)
		}
	}
}

func take(state []*int, a action) {
	if a.stage < 0 || state[a.stage] == nil {
		return
	}
	if a.weighed {
		state[a.stage] = nil
	} else {
		state[a.stage] = new(max(0, *state[a.stage]-a.fruits))
	}
}

// addUp sums the plants that were counted; a stage that isn't known of one of them isn't known of all.
func addUp(current [][]*int, stages int) (sum []*int, counted int) {
	sum = make([]*int, stages)
	for i := range sum {
		total, known := 0, true
		for _, state := range current {
			if state != nil {
				known = known && state[i] != nil
				if state[i] != nil {
					total += *state[i]
				}
			}
		}
		if known {
			sum[i] = &total
		}
	}
	for _, state := range current {
		if state != nil {
			counted++
		}
	}
	return sum, counted
}

func sortedDays(days map[crop.Date]*StandingDay) []*StandingDay {
	all := make([]*StandingDay, 0, len(days))
	for _, d := range days {
		all = append(all, d)
	}
	slices.SortFunc(all, func(a, b *StandingDay) int { return a.On.Compare(b.On) })
	return all
}

package simulate

import "vinetally/analytics/crop"

// count writes what an observer sees of a plant: whole, or unfinished in one of the ways in which counts are left.
func (k *keeper) count(p int, hour float64) {
	v := crop.Visit{ID: k.id(), PlantID: k.w.Plants[p].ID, CountedAt: k.moment(hour), Counts: map[string]int{}}
	part := 1 // of the plant: every fruit, or those of some trusses
	unfinished := k.rng.Float64() < k.c.Unfinished
	way := k.rng.IntN(3)
	trusses := map[int]bool{}
	for i := range k.w.Plants[p].Fruits {
		if _, ok := k.w.Plants[p].Fruits[i].Stage(hour); ok {
			trusses[k.w.Plants[p].Fruits[i].Truss] = true
		}
	}
	if unfinished && way == 0 && len(trusses) > 2 {
		part = 2
	}
	chosen := map[int]bool{}
	for truss := range sorted(trusses) {
		chosen[truss] = part == 1 || k.rng.IntN(part) == 0
	}
	var seen [stages]int
	for i := range k.w.Plants[p].Fruits {
		f := &k.w.Plants[p].Fruits[i]
		stage, ok := f.Stage(hour)
		if !ok || !chosen[f.Truss] || stage == Green && k.rng.Float64() >= k.c.SeenGreen {
			continue
		}
		seen[k.called(stage)]++
	}
	for s, n := range seen {
		v.Counts[k.scale.Stages[s].Name] = n
	}
	switch {
	case part > 1:
		counted, total := 0, len(trusses)
		for _, in := range chosen {
			if in {
				counted++
			}
		}
		v.TrussesCounted, v.TrussesTotal = &counted, &total
	case unfinished && way == 1: // only the coloured ones
		delete(v.Counts, k.scale.Stages[Green].Name)
	case unfinished && way == 2: // the green given up
		v.AtLeast = true
		v.Counts[k.scale.Stages[Green].Name] = seen[Green] * 2 / 3
	}
	k.trial.Visits = append(k.trial.Visits, v)
}

// sorted goes through a set in order, so that the same seed draws the same trial.
func sorted(set map[int]bool) func(yield func(int) bool) {
	highest := -1
	for n := range set {
		highest = max(highest, n)
	}
	return func(yield func(int) bool) {
		for n := 0; n <= highest; n++ {
			if set[n] && !yield(n) {
				return
			}
		}
	}
}

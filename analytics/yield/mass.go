// Package yield tallies what was picked: fruit and grams, by plant, cultivar and day.
package yield

import (
	"vinetally/analytics/crop"
)

// Mass is the mass of one picking in grams, and how it is known.
type Mass struct {
	G float64
	// Known is false for a picking that was never weighed; G is then 0.
	Known bool
	// Estimated marks a share of a weighing that held several pickings: the mass was split by their numbers of fruit.
	Estimated bool
}

// Masses returns the mass of each picking of a season, in the order given.
//
// Pickings that carry the same weighing label were weighed together: the mass stands on one of them (if it stands on
// several, they add up) and is shared out by fruits, each share marked estimated. A label with one picking is an ordinary
// weighing. Where one picking of a label has no number of fruit, the mass can't be shared and stays, whole and marked, on
// the picking that carries it.
func Masses(pickings []crop.Picking) []Mass {
	masses := make([]Mass, len(pickings))
	groups := map[string][]int{}
	for i := range pickings {
		p := &pickings[i]
		if p.MassG != nil {
			masses[i] = Mass{G: *p.MassG, Known: true}
		}
		if p.Weighing != "" {
			groups[p.Weighing] = append(groups[p.Weighing], i)
		}
	}
	for _, members := range groups {
		share(pickings, members, masses)
	}
	return masses
}

func share(pickings []crop.Picking, members []int, masses []Mass) {
	if len(members) < 2 {
		return
	}
	total, fruits, weighed, counted := 0.0, 0, false, true
	for _, i := range members {
		if masses[i].Known {
			total += masses[i].G
			weighed = true
		}
		if pickings[i].Fruits == nil {
			counted = false
		} else {
			fruits += *pickings[i].Fruits
		}
	}
	if !weighed {
		return
	}
	if !counted || fruits == 0 {
		for _, i := range members {
			masses[i].Estimated = masses[i].Known
		}
		return
	}
	for _, i := range members {
		masses[i] = Mass{G: total * float64(*pickings[i].Fruits) / float64(fruits), Known: true, Estimated: true}
	}
}

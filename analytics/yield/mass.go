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
	// Unshared marks a mass of more fruit than this picking's, which couldn't be shared out.
	Unshared bool
	// Elsewhere marks a picking without a mass of its own that was weighed together with another: its mass is in that one's, unshared.
	Elsewhere bool
	// OnePlant and OneCultivar tell whose fruit was weighed together: that of one plant (or one unit), of one cultivar. A
	// share of a weighing over several is by number alone and tells nothing of their difference, so no mean fruit mass of
	// one of them may be formed from it.
	OnePlant, OneCultivar bool
	// Mixed marks a share of a weighing of several stages or grades: red fruit weighed with green say nothing of what a red
	// one weighs.
	Mixed bool
	// Together is how many fruit a share was taken of, 0 of what was weighed by itself.
	Together int
}

// Masses returns the mass of each picking of a season, in the order given.
//
// Pickings that carry the same weighing label were weighed together: the mass stands on one of them (if it stands on
// several, they add up) and is shared out by fruits, each share marked estimated. A label with one picking is an ordinary
// weighing. Where one picking of a label has no number of fruit, the mass can't be shared and stays, whole and marked, on
// the picking that carries it.
//
// What cultivar a plant is of can't be seen from the pickings, so OneCultivar is OnePlant here; Of knows better.
func Masses(pickings []crop.Picking) []Mass {
	return masses(pickings, func(p *crop.Picking) (crop.ID, bool) {
		if p.PlantID == nil && p.CultivarID != nil {
			return *p.CultivarID, true
		}
		return source(p), true
	})
}

// source is the plant that a picking is from, or the place of its unit: units of one cultivar at one place are one.
func source(p *crop.Picking) crop.ID {
	switch {
	case p.PlantID != nil:
		return *p.PlantID
	case p.PlaceID != nil:
		return *p.PlaceID
	}
	return crop.ID{}
}

// massesOf is Masses of a season whose plants are known.
func massesOf(t *crop.Trial) []Mass {
	return masses(t.Pickings, func(p *crop.Picking) (crop.ID, bool) { return cultivarOf(t, p) })
}

func masses(pickings []crop.Picking, cultivar func(*crop.Picking) (crop.ID, bool)) []Mass {
	masses := make([]Mass, len(pickings))
	groups := map[string][]int{}
	for i := range pickings {
		p := &pickings[i]
		if p.MassG != nil {
			masses[i] = Mass{G: *p.MassG, Known: true, OnePlant: true, OneCultivar: true}
		}
		if p.Weighing != "" {
			groups[p.Weighing] = append(groups[p.Weighing], i)
		}
	}
	for _, members := range groups {
		share(pickings, members, masses, cultivar)
	}
	return masses
}

// share works out the masses of the pickings of one label.
func share(pickings []crop.Picking, members []int, masses []Mass, cultivar func(*crop.Picking) (crop.ID, bool)) {
	if len(members) < 2 {
		return
	}
	total, fruits, weighed, counted := 0.0, 0, false, true
	onePlant, oneCultivar, mixed := true, true, false
	first := &pickings[members[0]]
	firstCultivar, known := cultivar(first)
	for _, i := range members {
		p := &pickings[i]
		if masses[i].Known {
			total += masses[i].G
			weighed = true
		}
		if p.Fruits == nil {
			counted = false
		} else {
			fruits += *p.Fruits
		}
		c, ok := cultivar(p)
		oneCultivar = oneCultivar && known && ok && c == firstCultivar
		onePlant = onePlant && source(p) == source(first)
		mixed = mixed || p.Stage != first.Stage || (p.Grade == crop.Cull) != (first.Grade == crop.Cull)
	}
	if !weighed {
		return
	}
	for _, i := range members {
		m := &masses[i]
		if !counted || fruits == 0 {
			m.Estimated, m.Unshared, m.Elsewhere = m.Known, m.Known, !m.Known
		} else {
			*m = Mass{G: total * float64(*pickings[i].Fruits) / float64(fruits), Known: true, Estimated: true, Together: fruits}
		}
		m.OneCultivar = m.Known && oneCultivar
		m.OnePlant = m.Known && onePlant && oneCultivar
		m.Mixed = m.Known && mixed
	}
}

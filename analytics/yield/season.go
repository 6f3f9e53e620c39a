package yield

import (
	"slices"

	"vinetally/analytics/crop"
)

// Day is what was picked on one local day.
type Day struct {
	On crop.Date
	Tally
}

// Group is the pickings of one cultivar.
type Group struct {
	Cultivar *crop.Cultivar
	Plants   int // plants of the cultivar in the season, picked or not
	Tally
	Days []Day // in order; each holds that day alone
}

// Season is the tally of a season.
type Season struct {
	Tally
	Cultivars []Group // in the trial's order of cultivars, those with plants in the season or fruit picked
	Plants    map[crop.ID]Tally
	// Unattributed is what came from a whole unit of several plants, of none in particular; it is within Tally and Cultivars.
	Unattributed Tally
}

// Of tallies a season. The trial must be arranged, and hold only records within the as_of wanted.
//
// A picking whose plant, cultivar or scale isn't in the trial is left out of everything. A common weighing of which some
// pickings lie after the as_of is shared among the others.
func Of(t *crop.Trial) Season {
	s := Season{Plants: map[crop.ID]Tally{}}
	groups := map[crop.ID]*Group{}
	for i := range t.Cultivars {
		groups[t.Cultivars[i].ID] = &Group{Cultivar: &t.Cultivars[i]}
	}
	for i := range t.Plants {
		if g := groups[t.Plants[i].CultivarID]; g != nil {
			g.Plants++
		}
	}
	masses := massesOf(t)
	for i := range t.Pickings {
		p, m := &t.Pickings[i], masses[i]
		cultivar, ok := cultivarOf(t, p)
		if !ok {
			continue
		}
		scale, ok := crop.ScaleOf(t, cultivar)
		if !ok {
			continue
		}
		s.add(p, m, scale, m.OneCultivar)
		groups[cultivar].addDay(p, m, scale)
		id, ok := t.PlantOf(p.PlantID, &p.Unit, p.PickedAt)
		if !ok {
			s.Unattributed.add(p, m, scale, m.OneCultivar)
			continue
		}
		plant := s.Plants[id]
		plant.Add(p, m, scale)
		s.Plants[id] = plant
	}
	for i := range t.Cultivars {
		if g := groups[t.Cultivars[i].ID]; g.Plants > 0 || len(g.Days) > 0 {
			s.Cultivars = append(s.Cultivars, *g)
		}
	}
	return s
}

func (g *Group) addDay(p *crop.Picking, m Mass, scale *crop.Scale) {
	g.add(p, m, scale, m.OneCultivar)
	day := p.PickedAt.LocalDate()
	at := len(g.Days)
	for at > 0 && g.Days[at-1].On.After(day) { // zones may put a later instant on an earlier day
		at--
	}
	if at > 0 && g.Days[at-1].On == day {
		g.Days[at-1].add(p, m, scale, m.OneCultivar)
		return
	}
	d := Day{On: day}
	d.add(p, m, scale, m.OneCultivar)
	g.Days = slices.Insert(g.Days, at, d)
}

func cultivarOf(t *crop.Trial, p *crop.Picking) (crop.ID, bool) {
	c, ok := t.CultivarOf(p.PlantID, &p.Unit)
	if !ok {
		return crop.ID{}, false
	}
	return c.ID, true
}

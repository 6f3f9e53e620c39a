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
	// Weighed is how many of Fruits the mass belongs to; the rest was never weighed.
	Weighed int
	// Uncounted is the number of pickings that were weighed without counting the fruit.
	Uncounted int
}

// MeanFruitMassG returns the mean mass of a weighed and counted fruit in grams, and false where none was.
func (t Tally) MeanFruitMassG() (float64, bool) {
	if t.Weighed == 0 || t.Uncounted > 0 {
		return 0, false
	}
	return t.MassG / float64(t.Weighed), true
}

// Add takes one picking into the tally. ripe is the position of the ripe stage on scale.
func (t *Tally) Add(p *crop.Picking, m Mass, scale *crop.Scale) {
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
	if scale.Index(p.Stage) < scale.Ripe() {
		t.Unripe += n
	}
	if m.Known {
		t.Weighed += n
	}
}

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
	Cultivars []Group // in the trial's order of cultivars, those with plants in the season only
	Plants    map[crop.ID]Tally
	// Unattributed is what came from a whole unit, of no plant in particular; it is within Tally and Cultivars.
	Unattributed Tally
}

// Of tallies a season. The trial must be arranged, and hold only records within the as_of wanted.
func Of(t *crop.Trial) Season {
	s := Season{Plants: map[crop.ID]Tally{}}
	position := map[crop.ID]int{}
	plants := map[crop.ID]int{}
	for i := range t.Plants {
		plants[t.Plants[i].CultivarID]++
	}
	for i := range t.Cultivars {
		v := &t.Cultivars[i]
		if plants[v.ID] > 0 {
			position[v.ID] = len(s.Cultivars)
			s.Cultivars = append(s.Cultivars, Group{Cultivar: v, Plants: plants[v.ID]})
		}
	}
	masses := Masses(t.Pickings)
	for i := range t.Pickings {
		p := &t.Pickings[i]
		cultivar, ok := cultivarOf(t, p)
		if !ok {
			continue
		}
		scale, ok := crop.ScaleOf(t, cultivar)
		if !ok {
			continue
		}
		s.Add(p, masses[i], scale)
		if p.PlantID == nil {
			s.Unattributed.Add(p, masses[i], scale)
		} else {
			plant := s.Plants[*p.PlantID]
			plant.Add(p, masses[i], scale)
			s.Plants[*p.PlantID] = plant
		}
		if at, ok := position[cultivar]; ok {
			s.Cultivars[at].add(p, masses[i], scale)
		}
	}
	return s
}

func (g *Group) add(p *crop.Picking, m Mass, scale *crop.Scale) {
	g.Add(p, m, scale)
	day := p.PickedAt.LocalDate()
	at := len(g.Days)
	for at > 0 && g.Days[at-1].On.After(day) { // zones may put a later instant on an earlier day
		at--
	}
	if at > 0 && g.Days[at-1].On == day {
		g.Days[at-1].Add(p, m, scale)
		return
	}
	d := Day{On: day}
	d.Add(p, m, scale)
	g.Days = append(g.Days[:at], append([]Day{d}, g.Days[at:]...)...)
}

func cultivarOf(t *crop.Trial, p *crop.Picking) (crop.ID, bool) {
	if p.PlantID == nil {
		return *p.CultivarID, true
	}
	plant, ok := t.Plant(*p.PlantID)
	if !ok {
		return crop.ID{}, false
	}
	return plant.CultivarID, true
}

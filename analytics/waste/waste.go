package waste

import (
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/pastripe"
	"vinetally/analytics/yield"
)

// Level is the level of the interval of a share.
const Level = 0.90

// Sum is what became of the fruit of one plant, of a cultivar or of a season.
type Sum struct {
	Picked       int
	RipeCulls    int
	PickedUnripe int
	// Lost is fruit lost by cause, ripe (at the ripe stage or beyond) and unripe.
	Lost []Loss
	// Wasted is ripe fruit lost to no use and ripe culls, Ripened all fruit that ripened: ripe fruit picked, lost and standing.
	Wasted, Ripened int
	Unaccounted     int
	// PastRipe is what certainly hangs past its hold time, StandingRipe at least the ripe fruit that hangs.
	PastRipe, StandingRipe int
	UnripeAtEnd            *int // left unripe at a removal; nil where not known
	// LostG is the mass of the ripe fruit among Lost that is waste, estimated from the mean fruit mass of its cultivar and stage.
	LostG yield.Grams
	// Uncounted is pickings that were weighed and not counted.
	Uncounted int
}

// Loss is fruit lost by one cause.
type Loss struct {
	Cause        crop.Cause
	Ripe, Unripe int
}

// Plant is the waste of a plant.
type Plant struct {
	Records *crop.PlantRecords
	Sum
}

// Cultivar is that of a cultivar, its whole units included.
type Cultivar struct {
	Cultivar *crop.Cultivar
	Plants   int
	Sum
	Share *Share
}

// Share is the wasted share of the fruit that ripened. The interval is that of a ratio of sums with plants as clusters (Cochran 1977, section 6.4):
// se² = n/(n − 1)·Σ (w_i − r·x_i)²/(Σ x_i)² over n plants, with Student's t on n − 1 degrees of freedom, kept within 0 and 1. Low and High are
// nil of fewer than four plants, and where none or all of it was wasted.
type Share struct {
	Value     float64
	Low, High *float64
	Plants    int
}

// Week is what was lost in one ISO week.
type Week struct {
	Monday crop.Date
	Picked int
	Lost   []Loss
}

// Season is the waste of a season.
type Season struct {
	Plants    []Plant
	Cultivars []Cultivar
	Sum
	Share *Share
	Weeks []Week
}

// fewPlants is how many plants an interval wants.
const fewPlants = 4

// lost to no use: thinned and cleared fruit are the grower's own doing.
func wasteful(c crop.Cause) bool { return c.Found() }

// Of sums up a season as of a moment, which the trial was cut to. holdDays is as in pastripe.Of.
func Of(t *crop.Trial, asOf time.Time, holdDays float64) Season {
	var s Season
	weights := yield.NewWeights(t)
	records := t.ByPlant()
	byCultivar := map[crop.ID][]*Plant{}
	s.Plants = make([]Plant, 0, len(records))
	for i := range records {
		r := &records[i]
		if r.Cultivar == nil || r.Scale == nil {
			continue
		}
		s.Plants = append(s.Plants, Plant{r, ofPlant(*r, asOf, holdDays, weights)})
	}
	for i := range s.Plants {
		id := s.Plants[i].Records.Cultivar.ID
		byCultivar[id] = append(byCultivar[id], &s.Plants[i])
	}
	var all []*Plant
	for i := range t.Cultivars {
		own := byCultivar[t.Cultivars[i].ID]
		c := Cultivar{Cultivar: &t.Cultivars[i], Plants: len(own), Sum: none()}
		for _, p := range own {
			c.add(&p.Sum)
		}
		c.units(t, t.Cultivars[i].ID, weights)
		if len(own) == 0 && c.Picked == 0 && len(c.Lost) == 0 {
			continue
		}
		c.Share = shareOf(own, &c.Sum)
		s.Cultivars = append(s.Cultivars, c)
		all = append(all, own...)
	}
	s.Sum = none()
	for i := range s.Cultivars {
		s.add(&s.Cultivars[i].Sum)
	}
	s.Share = shareOf(all, &s.Sum)
	s.Weeks = weekly(t)
	return s
}

// none is the sum of nothing.
func none() Sum { return Sum{UnripeAtEnd: new(0), LostG: yield.Grams{Sure: true}} }

func ofPlant(r crop.PlantRecords, asOf time.Time, holdDays float64, w *yield.Weights) Sum {
	book := ledger.Of(r)
	s := none()
	for i := range r.Pickings {
		s.pick(&r.Pickings[i], r.Scale)
	}
	for i := range r.Losses {
		s.lose(&r.Losses[i], r.Scale, r.Cultivar.ID, w)
	}
	past := pastripe.Of(r, book, asOf, holdDays)
	s.PastRipe, s.StandingRipe = past.Certain, past.StandingRipeAtLeast
	s.Ripened += s.StandingRipe
	s.Unaccounted = book.Totals.Unaccounted
	if book.Removed {
		s.UnripeAtEnd = unripeLeft(&book)
	}
	return s
}

// unripeLeft is what was left unripe when a plant was removed: all that was left less what of it was ripe; nil where not known.
func unripeLeft(b *ledger.Book) *int {
	if b.Ripe < 0 || len(b.Totals.Balance) <= b.Ripe {
		return nil
	}
	all, ripe := b.Totals.Balance[0], b.Totals.Balance[b.Ripe]
	if all == nil || ripe == nil {
		return nil
	}
	return new(max(all.LeftAtRemoval-ripe.LeftAtRemoval, 0))
}

func (s *Sum) pick(p *crop.Picking, scale *crop.Scale) {
	if p.Fruits == nil {
		s.Uncounted++
		return
	}
	n, stage := *p.Fruits, scale.Index(p.Stage)
	s.Picked += n
	switch {
	case stage < 0:
	case stage < scale.Ripe():
		s.PickedUnripe += n
	default:
		s.Ripened += n
		if p.Grade == crop.Cull {
			s.RipeCulls += n
			s.Wasted += n
		}
	}
}

func (s *Sum) lose(l *crop.Loss, scale *crop.Scale, cultivar crop.ID, w *yield.Weights) {
	if l.Fruits == nil {
		return
	}
	n := *l.Fruits
	ripe := scale.Index(l.Stage) >= scale.Ripe()
	one := Loss{Cause: l.Cause, Unripe: n}
	if ripe {
		one = Loss{Cause: l.Cause, Ripe: n}
		s.Ripened += n
		if wasteful(l.Cause) {
			s.Wasted += n
		}
	}
	s.Lost = addLoss(s.Lost, one)
	if ripe && wasteful(l.Cause) {
		g, _ := w.Of(cultivar, l.Stage, l.LostAt.LocalDate(), n)
		s.LostG = s.LostG.Plus(g)
	}
}

// addLoss keeps the causes in the contract's order.
func addLoss(all []Loss, one Loss) []Loss {
	rank := func(c crop.Cause) int { return slices.Index(crop.Causes(), c) }
	for i := range all {
		if all[i].Cause == one.Cause {
			all[i].Ripe += one.Ripe
			all[i].Unripe += one.Unripe
			return all
		}
		if rank(all[i].Cause) > rank(one.Cause) {
			return slices.Insert(all, i, one)
		}
	}
	return append(all, one)
}

func (s *Sum) add(o *Sum) {
	s.Picked += o.Picked
	s.RipeCulls += o.RipeCulls
	s.PickedUnripe += o.PickedUnripe
	for _, l := range o.Lost {
		s.Lost = addLoss(s.Lost, l)
	}
	s.Wasted += o.Wasted
	s.Ripened += o.Ripened
	s.Unaccounted += o.Unaccounted
	s.PastRipe += o.PastRipe
	s.StandingRipe += o.StandingRipe
	s.LostG = s.LostG.Plus(o.LostG)
	s.Uncounted += o.Uncounted
	if s.UnripeAtEnd == nil || o.UnripeAtEnd == nil {
		s.UnripeAtEnd = nil
		return
	}
	s.UnripeAtEnd = new(*s.UnripeAtEnd + *o.UnripeAtEnd)
}

// units adds what was picked or lost of a cultivar's whole units.
func (c *Cultivar) units(t *crop.Trial, id crop.ID, w *yield.Weights) {
	scale, ok := crop.ScaleOf(t, id)
	if !ok {
		return
	}
	for i := range t.Pickings {
		if p := &t.Pickings[i]; p.PlantID == nil && p.CultivarID != nil && *p.CultivarID == id {
			c.pick(p, scale)
		}
	}
	for i := range t.Losses {
		if l := &t.Losses[i]; l.PlantID == nil && l.CultivarID != nil && *l.CultivarID == id {
			c.lose(l, scale, id, w)
		}
	}
}

func shareOf(plants []*Plant, s *Sum) *Share {
	if s.Ripened == 0 {
		return nil
	}
	out := &Share{Value: float64(s.Wasted) / float64(s.Ripened), Plants: len(plants)}
	n := float64(len(plants))
	wasted, ripened := 0.0, 0.0
	for _, p := range plants {
		wasted, ripened = wasted+float64(p.Wasted), ripened+float64(p.Ripened)
	}
	if len(plants) < fewPlants || wasted == 0 || wasted == ripened {
		return out
	}
	r, squares := wasted/ripened, 0.0
	for _, p := range plants {
		d := float64(p.Wasted) - r*float64(p.Ripened)
		squares += d * d
	}
	half := math.Sqrt(n/(n-1)*squares) / ripened * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 1}.Quantile(0.5+Level/2)
	out.Low, out.High = new(max(0, out.Value-half)), new(min(1, out.Value+half))
	return out
}

func weekly(t *crop.Trial) []Week {
	byDay := map[crop.Date]*Week{}
	at := func(d crop.Date) *Week {
		monday := yield.Monday(d)
		if byDay[monday] == nil {
			byDay[monday] = &Week{Monday: monday}
		}
		return byDay[monday]
	}
	scaleOf := func(plant, cultivar *crop.ID) (*crop.Scale, bool) {
		if plant != nil {
			p, ok := t.Plant(*plant)
			if !ok {
				return nil, false
			}
			cultivar = &p.CultivarID
		}
		if cultivar == nil {
			return nil, false
		}
		return crop.ScaleOf(t, *cultivar)
	}
	for i := range t.Pickings {
		p := &t.Pickings[i]
		if _, ok := scaleOf(p.PlantID, p.CultivarID); ok && p.Fruits != nil {
			at(p.PickedAt.LocalDate()).Picked += *p.Fruits
		}
	}
	for i := range t.Losses {
		l := &t.Losses[i]
		scale, ok := scaleOf(l.PlantID, l.CultivarID)
		if !ok || l.Fruits == nil {
			continue
		}
		one := Loss{Cause: l.Cause, Unripe: *l.Fruits}
		if scale.Index(l.Stage) >= scale.Ripe() {
			one = Loss{Cause: l.Cause, Ripe: *l.Fruits}
		}
		w := at(l.LostAt.LocalDate())
		w.Lost = addLoss(w.Lost, one)
	}
	var weeks []Week
	for _, w := range byDay {
		weeks = append(weeks, *w)
	}
	slices.SortFunc(weeks, func(a, b Week) int { return a.Monday.Compare(b.Monday) })
	return weeks
}

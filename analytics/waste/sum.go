package waste

import (
	"vinetally/analytics/crop"
	"vinetally/analytics/yield"
)

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
	// LostG is the mass of the ripe fruit among Lost that is waste, PastRipeG of PastRipe, both estimated from the mean fruit mass of its cultivar and
	// stage; PickedG of all pickings, estimated where they weren't weighed.
	LostG, PastRipeG, PickedG yield.Grams
	// Uncounted is pickings that were weighed and not counted.
	Uncounted int
}

// LostRipe is the ripe fruit lost by a cause other than thinning and clearing: what is wasted but for culls.
func (s *Sum) LostRipe() int { return s.Wasted - s.RipeCulls }

// none is the sum of nothing.
func none() Sum {
	return Sum{UnripeAtEnd: new(0), LostG: yield.Grams{Sure: true}, PastRipeG: yield.Grams{Sure: true}, PickedG: yield.Grams{Sure: true}}
}

func (s *Sum) pick(p *crop.Picking, scale *crop.Scale, cultivar crop.ID, w *yield.Weights) {
	s.PickedG = s.PickedG.Plus(w.Picked(cultivar, p))
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
	one := lossOf(l, scale)
	s.Lost = addLoss(s.Lost, one)
	s.Ripened += one.Ripe
	if one.Ripe > 0 && wasteful(l.Cause) {
		s.Wasted += one.Ripe
		s.LostG = s.LostG.Plus(lostG(l, cultivar, one.Ripe, w))
	}
}

func lostG(l *crop.Loss, cultivar crop.ID, ripe int, w *yield.Weights) yield.Grams {
	g, _ := w.Of(cultivar, l.Stage, l.LostAt.LocalDate(), ripe)
	return g
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
	s.LostG, s.PastRipeG, s.PickedG = s.LostG.Plus(o.LostG), s.PastRipeG.Plus(o.PastRipeG), s.PickedG.Plus(o.PickedG)
	s.Uncounted += o.Uncounted
	if s.UnripeAtEnd == nil || o.UnripeAtEnd == nil {
		s.UnripeAtEnd = nil
		return
	}
	s.UnripeAtEnd = new(*s.UnripeAtEnd + *o.UnripeAtEnd)
}

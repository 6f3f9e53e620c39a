package forecast

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
)

// Intervals is what picking at other intervals would have lost of a season's ripe fruit.
type Intervals struct {
	// By is empty where too few losses are dated; then Refusal says why.
	By      []Interval
	Refusal string
	// Losses is the dated losses of ripe fruit that it rests on, Unwritten how many more are thought to have gone unwritten.
	Losses    int
	Unwritten float64
	// Ripe is how many fruit had become ripe, by the ledgers at least and with those that went unwritten.
	Ripe      float64
	Costliest *Costliest // nil if nothing passed its hold time
	Warnings  []string
}

// Interval is one picking interval.
type Interval struct {
	EveryDays int
	LostShare Range // of the fruit that ripens, with a 90 % interval
	// Saved is how many fewer fruit would have been lost than were; below 0 it is how many more.
	Saved Range
}

// EveryDays are the intervals that are looked at.
var EveryDays = []int{1, 2, 3, 4, 7}

// fewestLosses is how many dated losses of ripe fruit there have to be: below that a share says nothing (see statistics of waste).
const fewestLosses = 10

// IntervalsOf looks back. Ripe fruit is taken to fall with a hazard λ·(age/10 days)^1.5, λ being the dated losses over the exposure of all
// ripe fruit (Gamma(n + ½) over it, Jeffreys) and what the model thinks went unwritten. Picked clean every n days, a fruit that
// ripens at any time between two pickings is lost with chance
//
//	1/n ∫₀ⁿ 1 − exp(−λ·F(t)) dt,  F(t) = ∫₀ᵗ (a/10)^1.5 da.
//
// What is saved is λ times the exposure, which is what was lost, less that share of all ripe fruit. The ends of the intervals follow from those of the two parts of λ
// added up, so they are rather too far apart.
func IntervalsOf(m *ripening.Model, o Options) Intervals {
	h := m.Hanging(func(p *ripening.Plant) float64 { return o.hold(p) })
	r := Intervals{Losses: ripeLosses(m), Unwritten: h.Unwritten * h.Exposure, Costliest: costliest(h.Gaps)}
	if r.Losses < fewestLosses || h.Exposure <= 0 {
		r.Refusal = fmt.Sprintf("What picking more often would have saved isn't given: it takes at least %d dated losses of ripe fruit, and there are %d.", fewestLosses, r.Losses)
		return r
	}
	written := distuv.Gamma{Alpha: float64(r.Losses) + 0.5, Beta: h.Exposure}
	rate := float64(r.Losses)/h.Exposure + h.Unwritten
	z := distuv.UnitNormal.Quantile((1 + Level) / 2)
	fewest, most := h.Unwritten*math.Exp(-z*h.UnwrittenSD), h.Unwritten*math.Exp(z*h.UnwrittenSD)
	low, high := written.Quantile((1-Level)/2)+fewest, written.Quantile((1+Level)/2)+most
	ripe := ripened(m)
	r.Ripe = ripe + r.Unwritten
	for _, every := range EveryDays {
		saved := func(rate, unwritten float64) float64 {
			return rate*h.Exposure - lostShare(rate, every)*(ripe+unwritten*h.Exposure)
		}
		x := Interval{every, Range{lostShare(rate, every), lostShare(low, every), lostShare(high, every)}, Range{saved(rate, h.Unwritten), saved(low, fewest), saved(high, most)}}
		if x.Saved.Low > x.Saved.High {
			x.Saved.Low, x.Saved.High = x.Saved.High, x.Saved.Low
		}
		x.Saved.Low, x.Saved.High = math.Min(x.Saved.Low, x.Saved.Mean), math.Max(x.Saved.High, x.Saved.Mean)
		r.By = append(r.By, x)
	}
	r.Warnings = []string{"It supposes that every picking takes all ripe fruit, and that fruit falls as it did this season."}
	if r.Unwritten > float64(r.Losses) {
		r.Warnings = append(r.Warnings, "More ripe fruit seems to have gone unwritten than was written down, so the shares rest more on the model than on records.")
	}
	return r
}

func lostShare(rate float64, every int) float64 {
	n := float64(every)
	return quad.Fixed(func(t float64) float64 { return -math.Expm1(-rate * ripening.Falling(0, t)) }, 0, n, 24, nil, 0) / n
}

// ripened is how many fruit had become ripe by the ledgers at the last counts, and were taken ripe since.
func ripened(m *ripening.Model) float64 {
	n := 0
	for _, p := range m.Plants {
		b := &p.Book
		if len(b.Visits) == 0 || b.Ripe < 1 {
			continue
		}
		n += b.Visits[len(b.Visits)-1].EverReachedAtLeast[b.Ripe]
		for i := range b.Removals {
			if r := &b.Removals[i]; r.Interval >= len(b.Visits) && r.Counted && r.Stage >= b.Ripe {
				n += r.Fruits
			}
		}
	}
	return float64(n)
}

// ripeLosses is how many ripe fruit were lost by themselves, on record.
func ripeLosses(m *ripening.Model) int {
	n := 0
	for _, p := range m.Plants {
		for i := range p.Book.Removals {
			r := &p.Book.Removals[i]
			if !r.Picked && r.Sure && r.Counted && p.Book.Ripe > 0 && r.Stage >= p.Book.Ripe && crop.Cause(r.Cause).Found() {
				n += r.Fruits
			}
		}
	}
	return n
}

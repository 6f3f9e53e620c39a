package curve

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"vinetally/analytics/crop"
	"vinetally/analytics/isotonic"
	"vinetally/analytics/ledger"
	"vinetally/analytics/survival"
)

// The other way to a curve: each fruit reached the stage at a time that is known between two counts, or not yet by the last one, or
// was taken before it could. The numbers of new fruit between counts then are multinomial, with the shares that the family gives to
// the times between (Turnbull 1976 has the same likelihood without a family; with one and equal intervals for all it is the grouped
// logit of the shares). All fruit have to be known: those that don't ripen yet count as well, so the shares are of the fruit
// set and not of a level that the curve guesses. The interval of a time t is that of the profile likelihood, scaled for how much more than
// multinomial the numbers scatter (eventspread.go).

// EventTimes fits every curve of Season by the times at which fruit reached each stage.
func (k Clocks) EventTimes(plants []crop.PlantRecords, books []ledger.Book, places crop.PlaceRefs) Result {
	r := Result{Clock: k.Kind(), Method: EventTimes}
	all := byLabel(plants, books, places)
	r.addCultivars(k, all, byEvents)
	r.addPlants(k, all, byEvents)
	return r
}

// came is fruit of one plant that reached the stage in (from, to].
type came struct {
	plant    int
	from, to float64 // ±∞ for before the first count and after the last
	fruit    float64
	early    bool // was taken in between, before it reached the stage
}

// times are the fruit of all plants by when they reached the stage, plant by plant in the order of time. A plant's running total is
// first made to rise by isotonic regression, since a count that missed fruit has fewer than the one before. ok is false where the last
// count of a plant doesn't tell all its fruit.
func (s series) times() (all []came, ok bool) {
	day := make([]float64, len(s.obs))
	kept := make([]bool, len(s.obs))
	for _, m := range s.means() {
		for _, i := range m.obs {
			day[i], kept[i] = m.x, true
		}
	}
	for plant, of := range s.byPlant() {
		of = slices.DeleteFunc(of, func(i int) bool { return !kept[i] })
		last := s.obs[of[len(of)-1]]
		if last.rest == nil {
			return nil, false
		}
		reached := make([]float64, len(of))
		for k, i := range of {
			reached[k] = s.obs[i].reached
		}
		rising, err := isotonic.Rising(reached, nil)
		if err != nil {
			return nil, false
		}
		from, before, taken := math.Inf(-1), 0.0, 0.0
		for k, i := range of {
			if n := rising.Values[k] - before; n > 0 {
				all = append(all, came{plant: plant, from: from, to: day[i], fruit: n})
			}
			if r := s.obs[i].rest; r != nil && r.early > taken {
				if k > 0 { // what was taken before the first count says nothing
					all = append(all, came{plant: plant, from: from, to: math.Inf(1), fruit: r.early - taken, early: true})
				}
				taken = r.early
			}
			from, before = day[i], rising.Values[k]
		}
		if last.rest.below > 0 {
			all = append(all, came{plant: plant, from: from, to: math.Inf(1), fruit: last.rest.below})
		}
	}
	return all, true
}

// intervals adds up the fruit of the plants that aren't left out, in the order of time.
func intervals(all []came, left func(plant int) bool) []survival.Interval {
	type stretch struct{ from, to float64 }
	sums := map[stretch]float64{}
	for _, c := range all {
		if !left(c.plant) {
			sums[stretch{c.from, c.to}] += c.fruit
		}
	}
	out := make([]survival.Interval, 0, len(sums))
	for _, at := range slices.SortedFunc(maps.Keys(sums), func(a, b stretch) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to))
	}) {
		out = append(out, survival.Interval{Left: at.from, Right: at.to, Weight: sums[at]})
	}
	return out
}

func none(int) bool { return false }

// shape is a family of times whose distribution function is a family of curves.
type shape struct {
	name     string
	of       survival.Family
	mirrored bool
}

// shapes are the families of least squares, seen as times.
func shapes() []shape {
	return []shape{{"logistic", survival.LogLogistic, false}, {"gompertz", survival.Weibull, true}}
}

// Fruit go on being set: the numbers of the last settledDays may hold a share of mostNew new ones, as long as more than mostUnripe of all
// haven't reached the stage.
const (
	settledDays = 14
	mostNew     = 0.05
	mostUnripe  = 0.05
)

// setting tells whether the plants still set so much fruit that all of it isn't known.
func (s series) setting(stage int) bool {
	now, before, unripe := 0.0, 0.0, 0.0
	for _, of := range s.byPlant() {
		last := s.obs[of[len(of)-1]]
		if last.rest == nil {
			continue
		}
		now += last.reached + last.rest.below + last.rest.early
		unripe += last.rest.below
		for _, i := range slices.Backward(of) {
			if o := s.obs[i]; o.rest != nil && o.x <= last.x-settledDays {
				before += o.reached + o.rest.below + o.rest.early
				break
			}
		}
	}
	return (stage == 0 || unripe > mostUnripe*now) && now-before > mostNew*now
}

// byEvents fits one stage by event times.
func byEvents(s Subject, members []plantBook, origin plantBook, stage int, clock timeline) (*Curve, *Refusal) {
	observed, refusal := screened(s, members, origin, stage, clock)
	if refusal != nil {
		return nil, refusal
	}
	all, known := observed.times()
	switch {
	case !known:
		return nil, &Refusal{s, crop.InsufficientData, fmt.Sprintf(
			"The last count doesn't tell all fruit of each plant, so which share had reached %s isn't known; count every stage once more, or ask for the curve by least squares.", s.Stage)}
	case observed.setting(stage):
		return nil, &Refusal{s, crop.InsufficientData, fmt.Sprintf(
			"The plants still set fruit in the last %d days that were counted, so which share of all fruit had reached %s isn't known yet.", settledDays, s.Stage)}
	}
	if f, _, err := observed.fitBalancing(); err == nil {
		if words, two := flushWords(f, s, origin); two {
			return nil, &Refusal{s, crop.NoFit, words}
		}
	}
	e, err := fitEvents(observed, all)
	if err != nil {
		points := observed.means()
		if from, to, sudden := leap(points); sudden {
			return nil, &Refusal{s, crop.InsufficientData, leapWords(s.Stage, from, to)}
		}
		if netRise(points) < leastRise {
			return nil, &Refusal{s, crop.NoFit, hardlyRises(s.Stage)}
		}
		return nil, &Refusal{s, crop.NoFit, fmt.Sprintf("No curve of %s could be fitted: %s.", s.Stage, err)}
	}
	c := e.curve(s, origin)
	c.Warnings = append(c.Warnings, observed.remarks(origin, e.last(), unusedBounds)...)
	return c, nil
}

// unusedBounds says how many counts leave the number open. To leave such a count out widens the stretch between counts and makes nothing
// wrong. Its sure fruit as fruit that came before it, and the others as fruit that came before or after, would make t50 early,
// since why the others weren't counted isn't known; least squares can use it, as a bound of the sum (bounds.go).
func unusedBounds(n int) string {
	if n == 1 {
		return "One count leaves the number open (unfinished, of a part, or after fruit was taken from the whole unit) and isn't used: fruit reached the stage between the counts before and after it."
	}
	return fmt.Sprintf("%d counts leave the number open (unfinished, of a part, or after fruit was taken from the whole unit) and aren't used: fruit reached the stage between the counts before and after them.", n)
}

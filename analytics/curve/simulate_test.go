package curve

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat/distuv"
)

// conduct is how a simulated trial is run: the truth about its fruit, and how it is visited. Fruit reach the stage at
// independent times around their plant's middle unless they hang in trusses.
type conduct struct {
	name    string
	by      Method // least squares if empty
	plants  int
	fruit   int     // a plant
	plantSD float64 // days, of the plants' middles about day 90
	skewed  bool    // gamma times in place of logistic ones: neither family is right
	truss   int     // fruit a truss that ripen together; 0: every fruit for itself
	// A second flush holds laterShare of the fruit, laterDays after the first.
	laterShare, laterDays float64

	every  float64 // days between visits
	offset bool    // plants are visited on different days
	uneven bool    // gaps of one day to twice every, and a fortnight in the middle that nobody came
	seen   float64 // chance that a standing fruit is seen at a count
	seenSD float64 // standard deviation of that chance between counts: a hurried count misses much
	cropCV float64 // coefficient of variation of the plants' numbers of fruit (gamma)
	until  float64 // last day; 0 is day 135
}

const (
	simulatedMiddle = 90.0
	logisticScale   = 5.0 // days; a tenth to nine tenths in 22 days
	gammaShape      = 6.0
	gammaScale      = 4.5
	betweenTrusses  = 7.0 // days, standard deviation of the trusses' middles
	withinTruss     = 2.5
)

// simulate draws one trial. Fruit leave the plant (picked) five days after they reach the stage, and what was picked is
// known, so miscounts touch standing fruit only.
func simulate(c conduct, rng *rand.Rand) series {
	s, _ := simulateFruit(c, rng)
	return s
}

// simulateFruit also returns when the fruit reached the stage.
func simulateFruit(c conduct, rng *rand.Rand) (s series, all []float64) {
	s.plants = c.plants
	common := c.visits(rng)
	for g := range c.plants {
		times := c.times(rng)
		all = append(all, times...)
		days := common
		if c.offset {
			days = c.visits(rng)
		}
		for _, x := range days {
			gone, standing, unripe := 0, 0, 0
			seen := c.seen
			if c.seenSD > 0 {
				seen = math.Min(1, c.seen+c.seenSD*rng.NormFloat64())
			}
			for _, at := range times {
				switch {
				case at+5 <= x:
					gone++
				case at <= x && (seen >= 1 || rng.Float64() < seen):
					standing++
				case at > x:
					unripe++
				}
			}
			s.obs = append(s.obs, observation{plant: g, x: x, reached: float64(gone + standing), at: simulatedAt(x),
				rest: &notReached{below: math.Round(seen * float64(unripe))}})
		}
	}
	sortObservations(s.obs)
	return s, all
}

func median(times []float64) float64 {
	slices.Sort(times)
	n := len(times)
	return (times[(n-1)/2] + times[n/2]) / 2
}

func simulatedAt(x float64) time.Time {
	return time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(x * float64(day)))
}

// times draws when each fruit of one plant reaches the stage.
func (c conduct) times(rng *rand.Rand) []float64 {
	middle := simulatedMiddle + c.plantSD*rng.NormFloat64()
	fruit := c.fruit
	if c.cropCV > 0 {
		shape := 1 / (c.cropCV * c.cropCV)
		size := distuv.Gamma{Alpha: shape, Beta: shape, Src: rng}.Rand()
		fruit = max(1, int(math.Round(size*float64(fruit))))
	}
	times := make([]float64, fruit)
	truss := 0.0
	for i := range times {
		switch {
		case c.truss > 0 && i%c.truss == 0: // most of the spread is between trusses
			truss = middle + betweenTrusses*rng.NormFloat64()
			fallthrough
		case c.truss > 0:
			times[i] = truss + withinTruss*rng.NormFloat64()
		case c.skewed:
			sum := 0.0
			for range int(gammaShape) {
				sum += rng.ExpFloat64()
			}
			times[i] = middle + (sum-gammaShape)*gammaScale
		default:
			u := rng.Float64()
			times[i] = middle + logisticScale*math.Log(u/(1-u))
		}
		if float64(i) >= (1-c.laterShare)*float64(fruit) {
			times[i] += c.laterDays
		}
	}
	return times
}

// visits draws the days of counting.
func (c conduct) visits(rng *rand.Rand) []float64 {
	until := c.until
	if until == 0 {
		until = 135 + c.laterDays
	}
	x := 60.0
	if c.offset {
		x += rng.Float64() * c.every
	}
	missed := simulatedMiddle - 15 + 20*rng.Float64() // when the fortnight begins
	var days []float64
	for x <= until {
		if !c.uneven || x < missed || x > missed+14 {
			days = append(days, x)
		}
		if c.uneven {
			x += 1 + rng.Float64()*(2*c.every-2)
		} else {
			x += c.every
		}
	}
	return days
}

// reached is the share of the fruit of such plants that has reached the stage by a day: the mixture over plants.
func (c conduct) reached(x float64) float64 {
	cdf := func(z float64) float64 { return 1 / (1 + math.Exp(-z/logisticScale)) }
	switch {
	case c.truss > 0:
		cdf = distuv.Normal{Mu: 0, Sigma: math.Hypot(betweenTrusses, withinTruss)}.CDF
	case c.skewed:
		gamma := distuv.Gamma{Alpha: gammaShape, Beta: 1 / gammaScale}
		cdf = func(z float64) float64 { return gamma.CDF(z + gammaShape*gammaScale) }
	}
	if c.plantSD == 0 {
		return cdf(x - simulatedMiddle)
	}
	sum, weights := 0.0, 0.0
	for i := -30; i <= 30; i++ { // the normal density in steps of a fifth, out to six deviations
		z := float64(i) / 5
		w := math.Exp(-z * z / 2)
		sum, weights = sum+w*cdf(x-simulatedMiddle-c.plantSD*z), weights+w
	}
	return sum / weights
}

// truth is the day by which a share of the fruit of such plants has reached the stage.
func (c conduct) truth(share float64) float64 {
	lo, hi := 0.0, 250.0
	for range 40 {
		if mid := (lo + hi) / 2; c.reached(mid) < share {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

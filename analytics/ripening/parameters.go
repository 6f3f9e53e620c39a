package ripening

import "math"

// layout says where each parameter of a cultivar stands in the vector. All are on a scale on which they can take any value.
type layout struct{ unripe int }

func (l layout) mean(s int) int { return s }            // log of the mean residence time in unripe stage s, standard days
func (l layout) cv(s int) int   { return l.unripe + s } // log of its coefficient of variation
func (l layout) detect() int    { return 2 * l.unripe } // logit of the chance that a standing fruit of the first stage is counted
func (l layout) confuse() int   { return 2*l.unripe + 1 }
func (l layout) loss() int      { return 2*l.unripe + 2 } // log of the hazard at which ripe fruit goes unwritten
func (l layout) growing() int   { return 2*l.unripe + 3 } // exponents of the two rates, less one
func (l layout) colouring() int { return 2*l.unripe + 4 }
func (l layout) size() int      { return 2*l.unripe + 5 }

// Prior is what is known of a cultivar before its records: means and standard deviations of the parameters, independent.
type Prior struct {
	Mean, SD []float64
	// PlantSD is the standard deviation of the plants' log residence times about the cultivar's.
	PlantSD float64
}

func logit(p float64) float64    { return math.Log(p / (1 - p)) }
func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// PublishedPrior is the prior of a cultivar of which nothing is known, for a scale with so many stages before the ripe one: PublishedDays, give or take
// 15 % for the time in green and 25 % for the others, and for all else what hobby growers' counts let expect (judgements).
func PublishedPrior(unripe int) Prior {
	l := layout{unripe}
	p := Prior{Mean: make([]float64, l.size()), SD: make([]float64, l.size()), PlantSD: 0.06}
	set := func(i int, mean, sd float64) { p.Mean[i], p.SD[i] = mean, sd }
	for s, days := range PublishedDays(unripe) {
		mean, cv := 0.25, 0.3
		if s == 0 {
			mean, cv = 0.15, 0.09
		}
		set(l.mean(s), math.Log(days), mean)
		set(l.cv(s), math.Log(cv), 0.2)
	}
	set(l.detect(), logit(0.96), 0.6)
	set(l.confuse(), logit(0.05), 0.6)
	set(l.loss(), math.Log(0.03), 1.5)
	set(l.growing(), 0, 0.15)
	set(l.colouring(), 0, 0.65)
	return p
}

// PublishedDays are the days at 20 °C in each unripe stage: 50 days from flower to ripe fruit (Adams, Cockshull and Cave 2001, between 18 and 22 °C), of which 8
// from breaker to red (the table of package thermal); how these 8 are shared out is a judgement.
func PublishedDays(unripe int) []float64 {
	const green, colouring = 42, 8
	switch unripe {
	case 1:
		return []float64{green + colouring}
	case 3:
		return []float64{green, 2.5, 5.5}
	case 5:
		return []float64{green, 2, 2, 2, 2}
	}
	days := []float64{green}
	for range unripe - 1 {
		days = append(days, colouring/float64(unripe-1))
	}
	return days
}

// chain is what the parameters say about one plant.
type chain struct {
	unripe    int
	mean      []float64 // residence times, standard days
	survival  []*survival
	detect    float64
	confuse   float64
	loss      float64   // hazard a day at which fruit that has hung ripe for ten days goes unwritten
	found     float64   // the same of fruit that is found fallen
	open      bool      // nobody looks at the end of the stretch
	taken     []float64 // hazard a day at which fruit of each unripe stage is picked or goes by itself
	growing   float64
	colouring float64
}

// tables are the survival functions of a vector of parameters, shared by all plants of a cultivar.
func (l layout) tables(theta []float64) []*survival {
	t := make([]*survival, l.unripe)
	for s := range t {
		t[s] = newSurvival(math.Exp(theta[l.cv(s)]))
	}
	return t
}

func (l layout) chain(theta []float64, tables []*survival, effect float64) chain {
	c := chain{unripe: l.unripe, survival: tables, mean: make([]float64, l.unripe)}
	for s := range c.mean {
		c.mean[s] = math.Exp(theta[l.mean(s)] + effect)
	}
	c.detect = logistic(theta[l.detect()])
	c.confuse = logistic(theta[l.confuse()])
	c.loss = math.Exp(theta[l.loss()])
	c.growing, c.colouring = theta[l.growing()], theta[l.colouring()]
	return c
}

// lasts is the chance that fruit stay in stage s longer than age standard days.
func (c *chain) lasts(s int, age float64) float64 { return c.survival[s].at(age / c.mean[s]) }

func (p *Prior) unripe() int { return (len(p.Mean) - 5) / 2 }

// next is the prior of a season after the one that was fitted. What find added to the expected unwritten loss because of what was found is taken off
// again: the next season adds its own.
func (f *fit) next() Prior {
	p := Prior{Mean: append([]float64(nil), f.theta...), SD: append([]float64(nil), f.prior.SD...), PlantSD: f.prior.PlantSD}
	l := f.layout.loss()
	p.Mean[l] += f.prior.Mean[l] - f.expected[l]
	for j := range p.SD {
		v := f.covariance.At(j, j) + seasonSD*seasonSD
		p.SD[j] = math.Min(p.SD[j], math.Sqrt(v))
	}
	return p
}

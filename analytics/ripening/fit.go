package ripening

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// fit is what the records of a cultivar's plants say of its ripening: the mode of the posterior, and how sure it is.
type fit struct {
	layout   layout
	prior    Prior
	expected []float64 // the prior's means, after what was found fallen
	theta    []float64
	effects  []float64 // by plant: log of its residence times over the cultivar's
	tables   []*survival

	covariance *mat.SymDense // of theta
	// Given theta, the effect of a plant is normal about effect − slope·(theta − mode) with a variance.
	slope    [][]float64
	variance []float64

	iterations int
	converged  bool
	// Hazards a day by unripe stage: at which fruit is picked, at which it goes by itself, and at which it goes either way.
	early, gone, taken []float64
	lost               float64 // unripe fruit that was picked or went, from which those follow
	found              float64 // hazard a day at which fruit that has hung ripe for ten days is found fallen
	surprises          []surprise
}

const (
	mostIterations = 14
	// nearEnough ends the search: no parameter moves by more of its posterior standard deviations.
	nearEnough = 0.15
	// near is the same from which on the derivatives are kept.
	near = 1
	// difference is the step of the numerical derivatives with respect to each parameter.
	difference = 0.02
	// boldest is the longest step, in prior standard deviations.
	boldest = 1.5
	// clockShape is the standard deviation of the log time in green that its posterior leaves out: the response to temperature isn't quite the published one, and the
	// youngest fruit are overlooked more often than older ones (judged on simulated trials in which that is so).
	clockShape = 0.015
	// mostTogether is how many plants of a cultivar its parameters are fitted from. More add little; their own effects follow after.
	mostTogether = 32
)

// fitPlants finds the mode of the posterior of a cultivar's parameters and its plants' effects by Fisher scoring. An iteration runs each
// plant's filter once with its covariances and, for the derivatives of the innovations, once more for each parameter with the gains
// held: derivatives of the gains are left out, whose products with the innovations have mean zero at the truth.
func fitPlants(unripe int, prior Prior, histories []*History) *fit {
	l := layout{unripe}
	f := &fit{layout: l, prior: prior, expected: append([]float64(nil), prior.Mean...), theta: append([]float64(nil), prior.Mean...), effects: make([]float64, len(histories))}
	f.slope, f.variance = make([][]float64, len(histories)), make([]float64, len(histories))
	p := l.size()
	f.covariance = mat.NewSymDense(p, nil)
	for j := range p {
		f.covariance.SetSym(j, j, prior.SD[j]*prior.SD[j])
	}
	for i := range histories {
		f.slope[i], f.variance[i] = make([]float64, p), prior.PlantSD*prior.PlantSD
	}
	together := spread(len(histories), mostTogether)
	f.begin(histories, together)
	var theta, effects []float64
	var known []term // with derivatives that still hold
	last, halved := math.Inf(1), 0
	for f.iterations = 1; f.iterations <= mostIterations; f.iterations++ {
		f.tables = l.tables(f.theta)
		terms := f.terms(histories, together, known)
		deviance := f.deviance(terms, together)
		if !(deviance <= last+5) && halved < 2 { // too far: half way back
			halved++
			for i := range f.theta {
				f.theta[i] = (f.theta[i] + theta[i]) / 2
			}
			for i := range f.effects {
				f.effects[i] = (f.effects[i] + effects[i]) / 2
			}
			continue
		}
		last, halved = deviance, 0
		theta, effects = append(theta[:0], f.theta...), append(effects[:0], f.effects...)
		f.find(terms)
		moved, ok := f.step(terms, together)
		if !ok {
			f.theta, f.effects = theta, effects
			break
		}
		known = nil
		if moved < near {
			known = terms
		}
		if moved < nearEnough {
			f.converged = true
			break
		}
	}
	green := l.mean(0)
	f.covariance.SetSym(green, green, math.Min(prior.SD[green]*prior.SD[green], f.covariance.At(green, green)+clockShape*clockShape))
	f.tables = l.tables(f.theta)
	f.follow(histories, together)
	f.habits(histories)
	return f
}

// find works out how much of the fallen ripe fruit is found, as a hazard: found fruit over what all ripe fruit was exposed to. Where much is
// found, as much more is expected to go unwritten.
func (f *fit) find(terms []term) {
	fallen, exposed := 0.0, exposedBefore
	for i := range terms {
		fallen, exposed = fallen+terms[i].fallen, exposed+terms[i].exposed
	}
	f.found = fallen / exposed
	f.expected = append(f.expected[:0], f.prior.Mean...)
	l := f.layout.loss()
	f.expected[l] = math.Log(math.Exp(f.prior.Mean[l]) + f.found)
}

// exposedBefore is an exposure without fallen fruit that is added to what was seen, so that a single fallen fruit says little.
const exposedBefore = 5.0

// spread picks at most so many of n, evenly.
func spread(n, most int) []int {
	m := min(n, most)
	picked := make([]int, m)
	for i := range picked {
		picked[i] = i * n / m
	}
	return picked
}

// deviance is −2 log posterior, but for a constant.
func (f *fit) deviance(terms []term, together []int) float64 {
	sum := 0.0
	for k, i := range together {
		sum += terms[k].deviance
		d := f.effects[i] / f.prior.PlantSD
		sum += d * d
	}
	for j := range f.theta {
		d := (f.theta[j] - f.expected[j]) / f.prior.SD[j]
		sum += d * d
	}
	return sum
}

// step solves the scoring equations, whose matrix has the shape of an arrow: the parameters, and one more row for each plant. It returns the
// largest change in posterior standard deviations.
func (f *fit) step(terms []term, together []int) (largest float64, ok bool) {
	p := f.layout.size()
	a, b := mat.NewSymDense(p, nil), make([]float64, p)
	for j := range p {
		precision := 1 / (f.prior.SD[j] * f.prior.SD[j])
		b[j] = (f.expected[j] - f.theta[j]) * precision
		for k := 0; k <= j; k++ {
			v := 0.0
			if j == k {
				v = precision
			}
			for i := range terms {
				t := &terms[i]
				v += t.info[j*p+k] - t.cross[j]*t.cross[k]/t.own
			}
			a.SetSym(j, k, v)
		}
		for i := range terms {
			t := &terms[i]
			b[j] += t.score[j] - t.cross[j]*t.ownScore/t.own
		}
	}
	var factor mat.Cholesky
	cov, step := mat.NewSymDense(p, nil), mat.NewVecDense(p, nil)
	if !factor.Factorize(a) || factor.InverseTo(cov) != nil || factor.SolveVecTo(step, mat.NewVecDense(p, b)) != nil {
		return 0, false
	}
	f.covariance = cov
	shrink := 1.0
	for j := range p {
		if s := math.Abs(step.AtVec(j)) / f.prior.SD[j]; s > boldest {
			shrink = math.Min(shrink, boldest/s)
		}
	}
	for k, i := range together {
		t := &terms[k]
		own := t.ownScore
		f.slope[i] = make([]float64, p)
		for j := range p {
			own -= t.cross[j] * step.AtVec(j)
			f.slope[i][j] = t.cross[j] / t.own
		}
		own /= t.own
		f.effects[i] += shrink * own
		f.variance[i] = 1 / t.own
		largest = math.Max(largest, math.Abs(own)*math.Sqrt(t.own))
	}
	for j := range p {
		f.theta[j] += shrink * step.AtVec(j)
		largest = math.Max(largest, math.Abs(step.AtVec(j))/math.Sqrt(cov.At(j, j)))
	}
	return largest, true
}

// chain is the plant's at the mode.
func (f *fit) chain(i int) chain { return f.chainAt(f.theta, f.tables, f.effects[i]) }

// chainAt is a plant's at other parameters, with what was found of fruit that goes early and of fallen fruit.
func (f *fit) chainAt(theta []float64, tables []*survival, effect float64) chain {
	c := f.layout.chain(theta, tables, effect)
	c.taken, c.found = f.taken, f.found
	return c
}

// variation calls see with each parameter moved by difference, and with the chain that makes.
func (f *fit) variation(i int, moved [][]*survival, see func(j int, c *chain)) {
	theta := append([]float64(nil), f.theta...)
	for j := range theta {
		theta[j] += difference
		c := f.chainAt(theta, moved[j], f.effects[i])
		theta[j] = f.theta[j]
		see(j, &c)
	}
}

// movedTables are the survival functions with each parameter moved.
func (f *fit) movedTables() [][]*survival {
	moved := make([][]*survival, f.layout.size())
	for j := range moved {
		moved[j] = f.tables
		if s := j - f.layout.cv(0); s >= 0 && s < f.layout.unripe {
			moved[j] = append([]*survival(nil), f.tables...)
			moved[j][s] = newSurvival(math.Exp(f.theta[j] + difference))
		}
	}
	return moved
}

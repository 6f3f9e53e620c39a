package ripening

import "math"

// confusion is the chance that a fruit of stage j is counted as stage s: those in the middle are taken for either neighbour, ripe ones
// for the stage before, and green ones, the easiest to tell, seldom for breakers.
func (c *chain) confusion(s, j int) float64 {
	e := c.confuse
	up, down := e/2, e/2 // to the next stage, to the one before
	switch j {
	case 0:
		up, down = e/4, 0
	case c.unripe:
		up, down = 0, ripeConfused*e
	}
	switch s - j {
	case 0:
		return 1 - up - down
	case 1:
		return up
	case -1:
		return down
	}
	return 0
}

// sees is the chance that a fruit of stage j is among the number seen.
func (c *chain) sees(x *seen, j int) float64 {
	d := 1.0
	if j == 0 {
		d = c.detect
	}
	if x.stage < 0 {
		return d * x.share
	}
	return d * c.confusion(x.stage, j) * x.share
}

const (
	ripeConfused  = 0.8  // of the confusion in the middle, that of ripe fruit
	leastVariance = 0.03 // of a count, for what no model of it knows
	clustering    = 5.0  // fruit of a truss: by so much more the numbers on some trusses vary than those of single fruit
	surprising    = 16   // squared deviation in standard deviations, for each number of a visit, from which a count is thought a slip
)

// weighed is what a pass learns at one event, and what a replay of it with other parameters needs.
type weighed struct {
	gain    []float64 // by cohort and number seen: n × m
	lower   []float64 // Cholesky factor of the innovation's covariance, m × m
	taken   []float64 // of a removal: share of each cohort
	tooMany bool      // of a removal: more than can have hung
	buried  [][2]int  // cohorts as good as empty, and into which they were put
	numbers int
	skip    []bool // numbers that say nothing: a lower bound that is exceeded
	scale   float64
}

// observer keeps slices between calls.
type observer struct {
	// plain lets lower bounds say nothing and takes none of a stage for a number like others, so that innovations are linear in the numbers.
	plain    bool
	byStage  []float64 // n × stages: covariance of each cohort with each stage's sum
	design   []float64 // m × stages
	stage    []int     // by cohort
	e        []float64
	pd       []float64 // n × m
	s        []float64
	z        []float64
	whole    []float64
	wholeZ   []float64
	distance float64 // of the last count, squared, in standard deviations
	evidence float64 // −2 log chance of the last count, but for a constant: see weighWhole
	stood    float64 // of the last removal: fruit expected in its stage and beside it
	stoodSD  float64
}

func sized(x []float64, n int) []float64 {
	if cap(x) < n {
		x = make([]float64, n, 2*n)
	}
	x = x[:n]
	clear(x)
	return x
}

// innovation is what was seen less what was expected.
func (o *observer) innovation(s *state, c *chain, k *count) {
	m, stages := len(k.seen), c.unripe+1
	o.design, o.e = sized(o.design, m*stages), sized(o.e, m)
	for a := range k.seen {
		x := &k.seen[a]
		o.e[a] = x.fruits
		for j := range stages {
			o.design[a*stages+j] = c.sees(x, j)
		}
	}
	for i := range s.cohorts {
		x := &s.cohorts[i]
		for a := range k.seen {
			o.e[a] -= o.design[a*stages+x.stage] * x.mean
		}
	}
}

// observe learns from a count: the Kalman update with the multinomial variance of what is overlooked and confused. A lower bound that the
// expected number exceeds says nothing; one that it doesn't is taken as the number.
func (o *observer) observe(s *state, c *chain, k *count, w *weighed) {
	m, n := len(k.seen), len(s.cohorts)
	o.innovation(s, c, k)
	w.numbers = m
	w.skip = w.skip[:0]
	for a := range k.seen {
		w.skip = append(w.skip, k.seen[a].least && (o.plain || o.e[a] <= 0))
	}
	d2 := o.weigh(s, k, w)
	w.scale = 1
	if most := mostBelieved(m); d2 > most && k.first {
		o.open(s, k, math.Sqrt(1/most-1/d2))
		d2 = o.weigh(s, k, w)
	} else if d2 > most {
		w.scale = most / d2
	}
	o.evidence = o.weighWhole(k)
	// gain = pd · S⁻¹, held back where the count is surprising
	w.gain = sized(w.gain, n*m)
	for i := range n {
		g := w.gain[i*m : i*m+m]
		copy(g, o.pd[i*m:i*m+m])
		forward(w.lower, g, m)
		backward(w.lower, g, m)
		for a := range g {
			g[a] *= w.scale
		}
	}
	for i := range n {
		g := w.gain[i*m : i*m+m]
		row := s.row(i)
		for j := range i + 1 {
			pd := o.pd[j*m : j*m+m]
			sum := 0.0
			for a, v := range g {
				sum += v * pd[a]
			}
			row[j] -= sum
			s.cov[j*s.stride+i] = row[j]
		}
	}
	o.waver(s, k, w)
	o.learn(s, w)
	for a := range o.z {
		o.z[a] *= math.Sqrt(w.scale)
	}
	o.distance = d2
}

// mostBelieved is the squared deviation of a count of so many numbers up to which it is believed.
func mostBelieved(numbers int) float64 { return surprising + 2*float64(numbers) }

// weigh leaves in o.pd the covariance of each cohort with the numbers of a count, in o.s that of the numbers as they are expected to be seen, in w.lower
// the Cholesky factor of it and in o.z the whitened innovation; d2 is its squared length, which is the squared deviation in standard deviations.
func (o *observer) weigh(s *state, k *count, w *weighed) (d2 float64) {
	m, n := len(k.seen), len(s.cohorts)
	stages := len(o.design) / m
	// covariance of each cohort with the numbers seen
	o.byStage, o.stage = sized(o.byStage, n*stages), o.stage[:0]
	for i := range s.cohorts {
		o.stage = append(o.stage, s.cohorts[i].stage)
	}
	for i := range n {
		by := o.byStage[i*stages : i*stages+stages]
		for j, p := range s.row(i) {
			by[o.stage[j]] += p
		}
	}
	o.pd = sized(o.pd, n*m)
	for i := range n {
		for a := range m {
			sum := 0.0
			for j := range stages {
				sum += o.design[a*stages+j] * o.byStage[i*stages+j]
			}
			o.pd[i*m+a] = sum
		}
	}
	o.s = sized(o.s, m*m)
	for i := range n {
		st := o.stage[i]
		mean := max(s.cohorts[i].mean, 0)
		for a := range m {
			da := o.design[a*stages+st]
			for b := 0; b <= a; b++ {
				db := o.design[b*stages+st]
				o.s[a*m+b] += da*o.pd[i*m+b] - mean*da*db
				if a == b {
					o.s[a*m+b] += mean * da
				} else if k.seen[a].stage < 0 || k.seen[b].stage < 0 { // one number is part of the other
					o.s[a*m+b] += mean * min(da, db)
				}
			}
			if f := k.seen[a].share; f < 1 {
				o.s[a*m+a] += mean * da * (1 - f) * (clustering - 1)
			}
		}
	}
	for a := range m {
		o.s[a*m+a] += leastVariance
		if w.skip[a] {
			for b := range m {
				o.s[a*m+b], o.s[b*m+a] = 0, 0
			}
			o.s[a*m+a] = 1
			o.e[a] = 0
			for i := range n {
				o.pd[i*m+a] = 0
			}
		}
	}
	w.lower = append(w.lower[:0], o.s...)
	cholesky(w.lower, m)
	o.z = append(o.z[:0], o.e...)
	forward(w.lower, o.z, m)
	for _, z := range o.z {
		d2 += z * z
	}
	return d2
}

// learn moves the expected numbers by the gain.
func (o *observer) learn(s *state, w *weighed) {
	m := w.numbers
	for i := range s.cohorts {
		for a := range m {
			s.cohorts[i].mean += w.gain[i*m+a] * o.e[a]
		}
	}
}

// again is observe with the gains of an earlier pass, as if one of the numbers had been a fruit more; z is the whitened innovation.
func (o *observer) again(s *state, c *chain, k *count, w *weighed, more int) {
	o.innovation(s, c, k)
	if more != nothing {
		o.e[more]++
	}
	for a, skip := range w.skip {
		if skip {
			o.e[a] = 0
		}
	}
	o.z = append(o.z[:0], o.e...)
	forward(w.lower, o.z, w.numbers)
	for a := range o.z {
		o.z[a] *= math.Sqrt(w.scale)
	}
	o.learn(s, w)
}

// cholesky replaces the lower triangle of a by its factor and returns the log determinant. Variances below a trillionth are taken
// for that.
func cholesky(a []float64, n int) (logDet float64) {
	for i := range n {
		for j := 0; j <= i; j++ {
			sum := a[i*n+j]
			for k := range j {
				sum -= a[i*n+k] * a[j*n+k]
			}
			if i == j {
				a[i*n+i] = math.Sqrt(math.Max(sum, 1e-12))
				logDet += 2 * math.Log(a[i*n+i])
			} else {
				a[i*n+j] = sum / a[j*n+j]
			}
		}
	}
	return logDet
}

func forward(l, x []float64, n int) {
	for i := range n {
		for k := range i {
			x[i] -= l[i*n+k] * x[k]
		}
		x[i] /= l[i*n+i]
	}
}

func backward(l, x []float64, n int) {
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			x[i] -= l[k*n+i] * x[k]
		}
		x[i] /= l[i*n+i]
	}
}

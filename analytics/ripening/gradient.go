package ripening

import "math"

// gradient works out what the parameters leave open.
func (k *outlooker) gradient(o *Outlook, f *fit, w *Weather, long *ahead, out *outlet, ripe []float64, hold float64) {
	p, i := f.layout.size(), o.Plant.index
	moved := k.moved[o.Plant.Cultivar]
	if moved == nil {
		moved = f.movedTables()
	}
	by := make([][]float64, p+1)
	past := make([]float64, p+1)
	f.variation(i, moved, func(j int, c *chain) {
		k.z = k.pass.replay(o.Plant.history, c, &k.tape, k.z[:0])
		s := k.pass.state
		s.settle(c.unripe)
		by[j] = s.expectedRipe(out.like(c, long))
		for d, n := range by[j] {
			by[j][d] = (n - ripe[d]) / difference
		}
		past[j] = (s.number(s.pastRipe(c, hold)) - o.PastRipe.Mean) / difference
	})
	by[p] = make([]float64, len(ripe))
	for s := range f.layout.unripe { // as of the counts: see jacobian
		for d, v := range by[f.layout.mean(s)] {
			by[p][d] += v
		}
		past[p] += past[f.layout.mean(s)]
	}
	steps := len(ripe)
	o.shared, o.own = make([][]float64, steps), make([]float64, steps)
	sd := math.Sqrt(f.variance[i])
	for d := range steps {
		o.shared[d] = make([]float64, p)
		for j := range p {
			o.shared[d][j] = by[j][d] - by[p][d]*f.slope[i][j]
		}
		o.own[d] = by[p][d] * sd
	}
	for d, x := range o.own {
		o.run.effect.own[d], o.run.effect.last[d] = x*x, x*o.own[steps-1]
		if d > 0 {
			o.run.effect.before[d] = x * o.own[d-1]
		}
	}
	k.bend(o, f, w.ahead(0), by[p][min(Fortnight, len(w.Growing))-1])
	shared := make([]float64, p)
	for j := range p {
		shared[j] = past[j] - past[p]*f.slope[i][j]
	}
	model := HangSpread * o.PastRipe.Mean
	o.PastRipe.Variance += f.quadratic(shared) + past[p]*past[p]*f.variance[i] + model*model
}

// HangSpread is how far off, as a share, the expected number past ripe was in simulated trials beyond what the filter and the parameters leave
// open: which of the ripe fruit was picked and which fell isn't seen.
const HangSpread = 0.2

func (f *fit) quadratic(g []float64) float64 {
	v := 0.0
	for j, a := range g {
		for k, b := range g {
			v += a * b * f.covariance.At(j, k)
		}
	}
	return v
}

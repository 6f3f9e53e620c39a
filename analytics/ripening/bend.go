package ripening

import "math"

// Fortnight is the day ahead, from 1, whose number decides in which direction the parameters are moved together: a Weather of fewer days makes the
// expected numbers of its days differ a little.
const Fortnight = 14

// bend adds to the expected numbers what they gain because they don't grow in proportion to the parameters: with parameters that aren't
// known, E n(θ) = n(θ̂) + ½ tr(n″ Σ). The second derivative is taken along the direction in which the parameters move the number most, by one
// standard deviation of it either way: θ̂ ± Σg/√(g'Σg) with g the gradient. Before the first fruit ripen this is a tenth of the number and more.
// A normal x along it gives n + ax + bx² a variance of a² + 2b² and a mean of n + b; 2b² is left to Uncertainty.
func (k *outlooker) bend(o *Outlook, f *fit, to *ahead, effect float64) {
	days, i := len(o.Weathers[0].Mean), o.Plant.index
	d := min(Fortnight, days) - 1
	g := o.shared[d]
	total := math.Sqrt(f.quadratic(g) + o.own[d]*o.own[d])
	if total < 1e-6 {
		return
	}
	shift := make([]float64, len(g))
	own := f.variance[i] * effect / total
	for j := range g {
		for m := range g {
			shift[j] += f.covariance.At(j, m) * g[m] / total
		}
		own -= f.slope[i][j] * shift[j]
	}
	gained := make([]float64, days)
	theta := make([]float64, len(g))
	for _, sign := range []float64{-1, 1} {
		for j := range theta {
			theta[j] = f.theta[j] + sign*shift[j]
		}
		c := f.chainAt(theta, f.tables, f.effects[i]+sign*own)
		k.z = k.pass.replay(o.Plant.history, &c, &k.tape, k.z[:0])
		k.pass.state.settle(c.unripe)
		for e, n := range k.pass.state.expectedRipe(c.outlet(to)) {
			gained[e] += (n - o.Weathers[0].Mean[e]) / 2
		}
	}
	common := f.quadratic(g) / (total * total)
	o.bent, o.bentOwn = make([]float64, days), make([]float64, days)
	for w := range o.Weathers {
		mean, before := o.Weathers[w].Mean, 0.0
		for e := range mean {
			bent := max(mean[e]+min(gained[e], max(0, o.Ripening-mean[e])), leastBent*mean[e], before)
			o.bent[e] += o.Weathers[w].Weight * common * (bent - mean[e])
			o.bentOwn[e] += o.Weathers[w].Weight * (1 - common) * (bent - mean[e])
			mean[e], before = bent, bent
		}
	}
}

// leastBent is what bending leaves of an expected number at least.
const leastBent = 0.7

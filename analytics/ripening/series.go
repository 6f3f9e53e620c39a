package ripening

import "math"

// autoregress forecasts each day ahead, the first of which is day 0, and the relative standard deviation of the sums. day is when each of the
// past was. Series with φ from 0.5 to 0.95 are weighted by their likelihood and a prior, φ about 0.8; the result has the mixture's mean and variance.
func autoregress(past []advance, day []float64, of func(advance) float64, days int) (mean, spread []float64) {
	x := make([]float64, len(past))
	level := 0.0
	for i, a := range past {
		x[i] = of(a)
		level += x[i] / float64(len(past))
	}
	mean, spread = make([]float64, days), make([]float64, days)
	second := make([]float64, days)
	total, best := 0.0, math.Inf(-1)
	var all []series
	for phi := 0.5; phi < 0.96; phi += 0.05 {
		o := fitSeries(x, day, phi, level)
		best = math.Max(best, o.log)
		all = append(all, o)
	}
	last, lastDay := x[len(x)-1], day[len(day)-1]
	since := -lastDay - 1
	for _, o := range all {
		w := math.Exp(o.log - best)
		total += w
		sum, v := 0.0, 0.0
		off := last - o.level - o.drift*lastDay
		f := math.Pow(o.phi, since)
		missed := o.variance * (1 - f*f) / (1 - o.phi*o.phi)
		first := f
		var l, d float64 // of the sum to a day: derivatives with respect to level and drift
		for k := range days {
			f *= o.phi
			here := o.level + o.drift*float64(k) + f*off
			mean[k] += w * here
			sum += here
			// an innovation k days ahead moves the sum to day d by (1−φ^(d−k+1))/(1−φ)
			gain := (1 - f/first) / (1 - o.phi)
			v += gain * gain * o.variance
			// those of the days without readings before day 0 have grown to missed, which goes on through the sum
			through := o.phi * gain
			l += 1 - f
			d += float64(k) - f*lastDay
			second[k] += w * (v + through*through*missed + l*l*o.cov[0] + 2*l*d*o.cov[1] + d*d*o.cov[2] + sum*sum)
		}
	}
	sum := 0.0
	for d := range days {
		mean[d] /= total
		sum += mean[d]
		spread[d] = math.Sqrt(math.Max(0, second[d]/total-sum*sum)) / math.Max(sum, 1e-9)
		spread[d] = math.Hypot(spread[d], clockSpread)
	}
	return mean, spread
}

// series is what a clock counts on day t, level + drift·t + u_t with u_t = φ u_{t−1} + e_t. Level and drift follow by generalised least squares,
// the drift with a normal prior about none; after days without readings φ and the variance are those of so many steps.
type series struct {
	phi, level, drift float64
	variance          float64    // of e
	cov               [3]float64 // of level and drift: variance of the one, covariance, variance of the other
	log               float64    // of the likelihood and the prior of φ, but for a constant
}

// driftSD is the prior standard deviation of the drift, as a share of what is counted a day: a spring's warming by 0.06 °C a day (a judgement).
const driftSD = 0.005

func fitSeries(x, day []float64, phi, typical float64) series {
	n := float64(len(x))
	least := 0.005 * math.Max(typical, 0.01) // a clock's own error in a day; also where it is too cold for anything to ripen
	o := series{phi: phi, variance: math.Pow(0.08*math.Max(typical, 0.01), 2)}
	for range 3 {
		var a, b, c, p, q, logs float64
		prior := o.variance / math.Pow(driftSD*math.Max(typical, 0.01), 2)
		each := func(see func(y, one, t, sd float64)) {
			sd := 1 / math.Sqrt(1-phi*phi)
			see(x[0]/sd, 1/sd, day[0]/sd, sd)
			for i := 1; i < len(x); i++ {
				f := math.Pow(phi, day[i]-day[i-1])
				sd := math.Sqrt((1 - f*f) / (1 - phi*phi))
				see((x[i]-f*x[i-1])/sd, (1-f)/sd, (day[i]-f*day[i-1])/sd, sd)
			}
		}
		each(func(y, one, t, sd float64) {
			a, b, c = a+one*one, b+one*t, c+t*t
			p, q = p+one*y, q+t*y
			logs += math.Log(sd)
		})
		det := a*(c+prior) - b*b
		o.level, o.drift = ((c+prior)*p-b*q)/det, (a*q-b*p)/det
		rss := prior * o.drift * o.drift
		each(func(y, one, t, _ float64) {
			e := y - one*o.level - t*o.drift
			rss += e * e
		})
		o.variance = (rss + 3*least*least) / (n + 2)
		o.cov = [3]float64{o.variance * (c + prior) / det, -o.variance * b / det, o.variance * a / det}
		o.log = -n/2*math.Log(o.variance) - logs - (phi-0.8)*(phi-0.8)/(2*0.1*0.1) - math.Log(det)/2
	}
	return o
}

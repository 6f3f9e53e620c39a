package ripening

import "math"

// weighWhole is −2 log chance of the whole numbers of a count, but for a constant, from the innovation and its covariance. A normal density isn't that where little
// varies: it grows without bound the surer a number is, while a chance is 1 at most. With 1/2π − leastVariance more variance in each number that is what it
// is of a sure one. A surprising count is thought a slip, whose numbers vary as much as they are large, at least.
func (o *observer) weighWhole(k *count) float64 {
	m := len(k.seen)
	o.whole = append(o.whole[:0], o.s...)
	own := 0.0
	for a := range m {
		o.whole[a*m+a] += 1/(2*math.Pi) - leastVariance
		own += math.Log1p(k.seen[a].fruits)
	}
	logDet := cholesky(o.whole, m)
	o.wholeZ = append(o.wholeZ[:0], o.e...)
	forward(o.whole, o.wholeZ, m)
	d2 := 0.0
	for _, z := range o.wholeZ {
		d2 += z * z
	}
	if most := mostBelieved(m); d2 > most {
		return most + math.Max(own, logDet)
	}
	return d2 + logDet
}

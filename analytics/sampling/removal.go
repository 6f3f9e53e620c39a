package sampling

import "math"

// Removals are fruit taken in passes over the same plants on one day, each pass as thorough as the others and nothing ripening in
// between: what later passes still find tells what is left. Every fruit has the same chance p of being found in a pass; where
// some are harder to see than others, all of these estimates are too low.
type Removals struct {
	passes   []int
	k, taken float64
	x        float64 // Σ (k − i)·cᵢ
}

// Passes takes the numbers of fruit found in each pass, two passes at least.
func Passes(found []int) (Removals, error) {
	r := Removals{passes: found, k: float64(len(found))}
	if len(found) < 2 {
		return r, refuse("%d passes; what is left shows from the second on", len(found))
	}
	for i, c := range found {
		if c < 0 {
			return r, refuse("pass %d found %d", i+1, c)
		}
		r.taken += float64(c)
		r.x += (r.k - 1 - float64(i)) * float64(c)
	}
	if r.taken == 0 {
		return r, refuse("no pass found anything")
	}
	return r, nil
}

// Taken is all that was found.
func (r Removals) Taken() int { return int(r.taken) }

// X is Σ (k − i)·cᵢ, on which the estimates rest beside Taken.
func (r Removals) X() int { return int(r.x) }

// Depleted is a number of fruit estimated from passes, with the chance that one is found in a pass.
type Depleted struct {
	N, P float64
	// SE and SEP are the standard errors of N and P for large numbers; Known is false where all came in the first pass, which
	// leaves them unknown.
	SE, SEP float64
	Known   bool
}

// at completes an estimate with the standard errors of Seber (2002, The Estimation of Animal Abundance, 2nd ed., equation 7.23):
//
//	se(N)² = N·(1 − qᵏ)·qᵏ / ((1 − qᵏ)² − k²p²·qᵏ⁻¹),  se(p)² = p²q²·(1 − qᵏ) / (N·(q·(1 − qᵏ)² − k²p²·qᵏ)),  q = 1 − p.
func (r Removals) at(n, p float64) Depleted {
	d := Depleted{N: n, P: p}
	q := 1 - p
	qk := math.Pow(q, r.k)
	seen := 1 - qk
	d.SE = math.Sqrt(n * seen * qk / (seen*seen - r.k*r.k*p*p*math.Pow(q, r.k-1)))
	d.SEP = math.Sqrt(q * q * p * p * seen / (n * (q*seen*seen - r.k*r.k*p*p*qk)))
	if d.Known = q > 0 && !math.IsNaN(d.SE) && !math.IsNaN(d.SEP); !d.Known {
		d.SE, d.SEP = 0, 0
	}
	return d
}

// chance is the p that is likeliest if there are n.
func (r Removals) chance(n float64) float64 { return r.taken / (r.k*n - r.x) }

// declines tells whether later passes found enough fewer for a finite estimate, and not nothing at all: as n grows, the likelihood
// comes down towards its limit if and only if X > (k(T − 1) − T)/2, T being what was taken.
func (r Removals) declines() bool {
	return r.x > (r.k*(r.taken-1)-r.taken)/2 && r.passes[0] < int(r.taken)
}

// errDecline is the refusal where they don't.
func (r Removals) errDecline() error {
	return refuse("later passes didn't find fewer, or found nothing: the passes tell no end of the fruit")
}

// Two are the estimates from two passes, N = c₁²/(c₁ − c₂) (Seber 2002, section 7.2.2), with the less biased one of Robson and Regier
// (1968), (c₁² − c₂)/(c₁ − c₂).
type Two struct {
	Depleted
	RobsonRegier float64
}

// TwoPasses estimates from the first two passes alone.
func (r Removals) TwoPasses() (Two, error) {
	c1, c2 := float64(r.passes[0]), float64(r.passes[1])
	if c1 <= c2 {
		return Two{}, r.errDecline()
	}
	t := Two{RobsonRegier: (c1*c1 - c2) / (c1 - c2)}
	t.N, t.P = c1*c1/(c1-c2), (c1-c2)/c1
	t.SE = c1 * c2 * math.Sqrt(c1+c2) / ((c1 - c2) * (c1 - c2))
	t.SEP = math.Sqrt(c2 * (c1 + c2) / (c1 * c1 * c1))
	if t.Known = c2 > 0; !t.Known {
		t.SE, t.SEP = 0, 0
	}
	return t, nil
}

// ThreePasses is the closed form for three passes (Seber 2002, section 7.2.3; Junge and Libosvárský 1965). Refused: another number of
// passes, or none that declines.
func (r Removals) ThreePasses() (Depleted, error) {
	if len(r.passes) != 3 {
		return Depleted{}, refuse("%d passes; this is for three", len(r.passes))
	}
	x, y := r.x, r.taken
	root := math.Sqrt(y*y + 6*x*y - 3*x*x)
	n, p := (6*x*x-3*x*y-y*y+y*root)/(18*(x-y)), (3*x-y-root)/(2*x)
	if x <= y || math.IsNaN(root) {
		return Depleted{}, r.errDecline()
	}
	return r.at(n, p), nil
}

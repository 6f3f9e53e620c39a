package ripening

// stretch is R at the ends of steps of the time to come, the last of which is the end of it all.
type stretch struct {
	ends   []float64 // days
	chance []float64 // Σ m π over cohorts of m fruit with a chance of π each to be ripe by then
	left   forms     // of π'(P − diag m)π
	effect forms     // of the plants' effects: their derivatives in standard deviations
}

// forms are a quadratic form of what belongs to the ends of steps: of each with itself, with the one before (from nothing) and with the last.
type forms struct{ own, before, last []float64 }

func newForms(steps int) forms {
	return forms{make([]float64, steps), make([]float64, steps), make([]float64, steps)}
}

func (f *forms) add(g *forms) {
	for k := range f.own {
		f.own[k] += g.own[k]
		f.before[k] += g.before[k]
		f.last[k] += g.last[k]
	}
}

// at is the form of x − share·last, where x lies a part of the way from the end of the step before step k to its own.
func (f *forms) at(k int, part, share float64) float64 {
	end := len(f.own) - 1
	x := part*part*f.own[k] + 2*part*(1-part)*f.before[k]
	last := part * f.last[k]
	if k > 0 {
		x += (1 - part) * (1 - part) * f.own[k-1]
		last += (1 - part) * f.last[k-1]
	}
	return x - 2*share*last + share*share*f.own[end]
}

func newStretch(ends []float64) stretch {
	return stretch{ends, make([]float64, len(ends)), newForms(len(ends)), newForms(len(ends))}
}

// stretch is that of a state whose cohorts have the chances π to be ripe by the end of each step.
func (s *state) stretch(pi [][]float64, ends []float64) stretch {
	steps := len(ends)
	r := newStretch(ends)
	final := s.withCovariance(pi, steps-1)
	for k := range steps {
		own := final
		if k < steps-1 {
			own = s.withCovariance(pi, k)
		}
		for i := range pi {
			p := pi[i][k]
			r.chance[k] += max(s.cohorts[i].mean, 0) * p
			r.left.own[k] += p * own[i]
			r.left.last[k] += p * final[i]
			if k > 0 {
				r.left.before[k] += pi[i][k-1] * own[i]
			}
		}
	}
	return r
}

// withCovariance is (P − diag m)π at the end of a step.
func (s *state) withCovariance(pi [][]float64, step int) []float64 {
	v := make([]float64, len(pi))
	for i := range v {
		if pi[i][step] == 0 && pi[i][len(pi[i])-1] == 0 {
			continue // it is asked for where a cohort has a chance
		}
		for j, p := range s.row(i) {
			v[i] += p * pi[j][step]
		}
		v[i] -= max(s.cohorts[i].mean, 0) * pi[i][step]
	}
	return v
}

// stepOf is the step in which a day ends, and how far into it.
func stepOf(ends []float64, day float64) (k int, part float64) {
	before := 0.0
	for k, end := range ends {
		if day <= end {
			return k, (day - before) / (end - before)
		}
		before = end
	}
	return len(ends) - 1, 1
}

// between is Σ m π a part of the way through a step.
func (r *stretch) between(k int, part float64) float64 { return between(r.chance, k, part) }

func between(by []float64, k int, part float64) float64 {
	before := 0.0
	if k > 0 {
		before = by[k-1]
	}
	return before + part*(by[k]-before)
}

// variances are those of R at the ends of the first steps.
func (r *stretch) variances(steps int) []float64 {
	all := make([]float64, steps)
	for k := range all {
		all[k] = r.variance(k, 1, 0)
	}
	return all
}

// variance is that of R − share·N a part of the way through a step, given the parameters.
func (r *stretch) variance(k int, part, share float64) float64 {
	return max(0, (1-2*share)*r.between(k, part)+share*share*r.chance[len(r.chance)-1]+r.left.at(k, part, share))
}

package ripening

import "vinetally/analytics/internal/parallel"

// term is what one plant adds to the scoring equations.
type term struct {
	info, score, cross []float64 // of the parameters, and with the plant's effect
	own, ownScore      float64
	deviance           float64
	fallen, exposed    float64
	jac                []float64 // derivatives of what was expected, in standard deviations: by parameter, the effect last, and number
}

// terms works out the terms of some plants, in parallel; each is the same however many processors there are. The derivatives of known
// terms, if there are any, are taken as they are.
func (f *fit) terms(histories []*History, of []int, known []term) []term {
	all := make([]term, len(of))
	moved := f.movedTables()
	parallel.With(len(of), func() func(k int) {
		w := &worker{pass: newPasser()}
		return func(k int) {
			var jac []float64
			if known != nil {
				jac = known[k].jac
			}
			all[k] = w.term(f, of[k], histories[of[k]], moved, jac)
		}
	})
	return all
}

// worker holds what is used again from plant to plant.
type worker struct {
	pass *passer
	tape tape
	z    []float64
}

func (w *worker) term(f *fit, i int, h *History, moved [][]*survival, jac []float64) term {
	p := f.layout.size()
	precision := 1 / (f.prior.PlantSD * f.prior.PlantSD)
	t := term{info: make([]float64, p*p), score: make([]float64, p), cross: make([]float64, p), own: precision, ownScore: -f.effects[i] * precision}
	c := f.chain(i)
	w.pass.run(h, &c, &w.tape)
	t.deviance = w.tape.evidence
	t.fallen, t.exposed = w.tape.fallen, w.tape.exposed
	m := len(w.tape.z)
	if m == 0 {
		return t
	}
	if len(jac) != (p+1)*m {
		jac = w.jacobian(f, i, h, moved)
	}
	t.jac = jac
	own := jac[p*m : p*m+m]
	for a, v := range own {
		t.own += v * v
		t.ownScore += v * w.tape.z[a]
	}
	for j := range p {
		row := jac[j*m : j*m+m]
		for a, v := range row {
			t.score[j] += v * w.tape.z[a]
			t.cross[j] += v * own[a]
		}
		for k := 0; k <= j; k++ {
			sum := 0.0
			for a, v := range jac[k*m : k*m+m] {
				sum += v * row[a]
			}
			t.info[j*p+k] = sum
		}
	}
	return t
}

// jacobian are the derivatives of what was expected at the counts of the last run, in standard deviations, with the gains held. A plant's effect is
// added to the logarithms of all its mean times, so that its derivative is the sum of theirs.
func (w *worker) jacobian(f *fit, i int, h *History, moved [][]*survival) []float64 {
	p, m := f.layout.size(), len(w.tape.z)
	jac := make([]float64, (p+1)*m)
	f.variation(i, moved, func(j int, c *chain) { w.difference(h, c, jac[j*m:j*m+m]) })
	own := jac[p*m:]
	for s := range f.layout.unripe {
		mean := f.layout.mean(s)
		for a, v := range jac[mean*m : mean*m+m] {
			own[a] += v
		}
	}
	return jac
}

func (w *worker) difference(h *History, c *chain, row []float64) {
	w.z = w.pass.replay(h, c, &w.tape, w.z[:0])
	for a := range row {
		row[a] = (w.tape.z[a] - w.z[a]) / difference
	}
}

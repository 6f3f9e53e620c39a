package ripening

import (
	"math"

	"vinetally/analytics/internal/parallel"
)

// follow works out the effects of the plants that the parameters weren't fitted from.
func (f *fit) follow(histories []*History, together []int) {
	in := make([]bool, len(histories))
	for _, i := range together {
		in[i] = true
	}
	var others []int
	for i := range histories {
		if !in[i] {
			others = append(others, i)
		}
	}
	parallel.With(len(others), func() func(int) {
		w := &worker{pass: newPasser()}
		return func(k int) { w.follow(f, others[k], histories[others[k]]) }
	})
}

// follow takes two scoring steps towards the effect of one plant, the second with the gains of the first.
func (w *worker) follow(f *fit, i int, h *History) {
	precision := 1 / (f.prior.PlantSD * f.prior.PlantSD)
	c := f.chain(i)
	w.pass.run(h, &c, &w.tape)
	own, info := w.byEffect(f, i, h), precision
	for _, v := range own {
		info += v * v
	}
	w.z = append(w.z[:0], w.tape.z...)
	for step := range 2 {
		if step > 0 {
			c = f.chain(i)
			w.z = w.pass.replay(h, &c, &w.tape, w.z[:0])
		}
		score := -f.effects[i] * precision
		for a, v := range own {
			score += v * w.z[a]
		}
		f.effects[i] += math.Max(-boldest, math.Min(boldest, score/info/f.prior.PlantSD)) * f.prior.PlantSD
	}
	f.slope[i], f.variance[i] = make([]float64, f.layout.size()), 1/info
}

// byEffect are the derivatives with respect to the plant's effect alone.
func (w *worker) byEffect(f *fit, i int, h *History) []float64 {
	c := f.chainAt(f.theta, f.tables, f.effects[i]+difference)
	own := make([]float64, len(w.tape.z))
	w.difference(h, &c, own)
	return own
}

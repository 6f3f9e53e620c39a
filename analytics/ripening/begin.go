package ripening

import (
	"math"

	"vinetally/analytics/internal/parallel"
)

// begins are the times in green, as parts of the expected one, from which a search may begin. Where fruit colour far sooner or later than expected the counts are
// surprising, and from surprising counts a search doesn't find its way: near the truth they aren't.
var begins = [...]float64{1, 0.85, 0.75, 0.66}

// likelier is by how much −2 log posterior must be lower for a search not to begin at what is expected.
const likelier = 10.0

// begin puts the mean time in green where the records are likeliest, all else as expected.
func (f *fit) begin(histories []*History, together []int) {
	green := f.layout.mean(0)
	f.tables = f.layout.tables(f.theta)
	evidence := make([]float64, len(begins)*len(together))
	parallel.With(len(evidence), func() func(int) {
		w := &worker{pass: newPasser()}
		return func(n int) {
			theta := append([]float64(nil), f.theta...)
			theta[green] += math.Log(begins[n%len(begins)])
			c := f.chainAt(theta, f.tables, 0)
			w.pass.run(histories[together[n/len(begins)]], &c, &w.tape)
			evidence[n] = w.tape.evidence
		}
	})
	best, least := 0, math.Inf(1)
	for b, part := range begins {
		d := math.Log(part) / f.prior.SD[green]
		sum := d * d
		for k := range together {
			sum += evidence[k*len(begins)+b]
		}
		if b > 0 {
			sum += likelier
		}
		if sum < least {
			best, least = b, sum
		}
	}
	f.theta[green] += math.Log(begins[best])
}

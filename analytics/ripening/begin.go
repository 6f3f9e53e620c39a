package ripening

import (
	"math"

	"vinetally/analytics/internal/parallel"
)

// begins are the times in green, as parts of the expected one, from which a search may begin where fruit colour far sooner than expected. Such counts are
// surprising, and from surprising counts a search doesn't find its way: near the truth they aren't.
var begins = [...]float64{0.85, 0.75, 0.66}

// likelier is by how much −2 log posterior must be lower for a search not to begin at what is expected.
const likelier = 10.0

// begin puts the mean time in green where the records are likeliest, all else as expected. It stays as it is where no coloured fruit comes as a surprise.
func (f *fit) begin(histories []*History, together []int) {
	f.tables = f.layout.tables(f.theta)
	expected, sooner := f.evidence(histories, together, 1)
	if !sooner {
		return
	}
	best := 1.0
	least := expected - likelier
	for _, part := range begins {
		if sum, _ := f.evidence(histories, together, part); sum < least {
			best, least = part, sum
		}
	}
	f.theta[f.layout.mean(0)] += math.Log(best)
}

// evidence is −2 log posterior with so large a part of the mean time in green (see weighWhole), and whether more coloured fruit was seen than that lets expect.
func (f *fit) evidence(histories []*History, together []int, part float64) (sum float64, sooner bool) {
	green := f.layout.mean(0)
	theta := append([]float64(nil), f.theta...)
	theta[green] += math.Log(part)
	type one struct {
		evidence float64
		sooner   bool
	}
	all := make([]one, len(together))
	parallel.With(len(together), func() func(int) {
		w := &worker{pass: newPasser()}
		return func(k int) {
			c := f.chainAt(theta, f.tables, 0)
			w.pass.run(histories[together[k]], &c, &w.tape)
			all[k].evidence = w.tape.evidence
			for i := range w.tape.surprises {
				x := &w.tape.surprises[i]
				all[k].sooner = all[k].sooner || x.removal == nil && x.stage > 0 && x.seen > x.expected
			}
		}
	})
	d := math.Log(part) / f.prior.SD[green]
	sum = d * d
	for i := range all {
		sum, sooner = sum+all[i].evidence, sooner || all[i].sooner
	}
	return sum, sooner
}

package curve

import "vinetally/analytics/ledger"

// mostLeft is the share of the counts that may contradict the others before there is nothing to fit.
const mostLeft = 0.25

// consistent leaves out the counts that contradict the rest of their plant's: fruit never goes back a stage, so a number that is lower
// than an earlier one by more than a miscount explains says that one of the two is wrong, or that fruit went unwritten. Of each plant
// the most counts are kept of which no two contradict each other; of equally many the later ones. One mistyped count goes, whichever
// way it is wrong, and doesn't bend the curve.
func (s series) consistent() series {
	kept := make([]bool, len(s.obs))
	for _, of := range s.byPlant() {
		for _, i := range s.chain(of) {
			kept[i] = true
		}
	}
	out := series{plants: s.plants, shares: s.shares, clock: s.clock}
	for i, o := range s.obs {
		if kept[i] {
			out.obs = append(out.obs, o)
		} else {
			out.left++
		}
	}
	out.bounds = s.bounds
	out.bounds, out.boundsLeft = out.consistentBounds()
	out.boundsLeft += s.boundsLeft
	return out
}

// byPlant is the observations of each plant, in the order of time.
func (s series) byPlant() [][]int {
	all := make([][]int, s.plants)
	for i, o := range s.obs {
		all[o.plant] = append(all[o.plant], i)
	}
	return all
}

// chain is the longest run of a plant's counts, in the order of time, that don't contradict each other.
func (s series) chain(of []int) []int {
	if !s.falls(of) {
		return of
	}
	length, before := make([]int, len(of)), make([]int, len(of))
	best := 0
	for j := range of {
		length[j], before[j] = 1, -1
		for i := range j {
			// A fall from any earlier count of the run would show at its last: runs rise but for miscounts.
			if !contradict(s.obs[of[i]], s.obs[of[j]]) && length[i]+1 >= length[j] {
				length[j], before[j] = length[i]+1, i
			}
		}
		if length[j] >= length[best] {
			best = j
		}
	}
	run := make([]int, length[best])
	for at, j := len(run)-1, best; at >= 0; at, j = at-1, before[j] {
		run[at] = of[j]
	}
	return run
}

func (s series) falls(of []int) bool {
	highest := of[0]
	for _, i := range of[1:] {
		if contradict(s.obs[highest], s.obs[i]) {
			return true
		}
		if s.obs[i].reached >= s.obs[highest].reached {
			highest = i
		}
	}
	return false
}

func contradict(earlier, later observation) bool {
	return earlier.reached-later.reached > float64(ledger.Allowance(earlier.stood, later.stood))
}

// contradictory tells whether so many counts had to be left out that the rest says nothing.
func (s series) contradictory() bool { return float64(s.left) > mostLeft*float64(s.left+len(s.obs)) }

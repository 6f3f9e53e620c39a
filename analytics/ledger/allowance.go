package ledger

import "math"

// seen is the probability that a careful count sees a standing fruit. It is an assumption, not a measurement: at 0.97,
// sixty fruit counted 25 times show about 17 fruit as "vanished" with nothing lost, which is the disorder that growers'
// books have.
const seen = 0.97

// deviations is how many standard deviations of a difference are left to chance. A season of 25 counts asks 24 times: at
// two deviations a fifth of the seasons of sixty fruit with nothing lost would name a contradiction, at two and a half one
// in thirteen, lasting falls included (TestNothingLost).
const deviations = 2.5

// Allowance is how far two counts may differ by chance, in fruit, when before and now fruit stood at them: two and a half
// times the standard deviation of the difference of two binomial counts, rounded up,
//
//	⌈ 2.5·√( (before + now) · 0.97 · 0.03 ) ⌉
//
// which for two counts of N fruit is ⌈2.5·√(2·N·0.97·0.03)⌉. It is 0 where nothing stood.
func Allowance(before, now int) int { return int(math.Ceil(chance(float64(before), float64(now)))) }

// chance is the rule before rounding. The variance of the mean of k independent counts of N fruit is that of one divided
// by k, so for means each side is N/k.
func chance(before, now float64) float64 {
	return deviations * math.Sqrt((before+now)*seen*(1-seen))
}

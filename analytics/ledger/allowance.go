package ledger

import "math"

// seen is the probability that a careful count sees a standing fruit. It is an assumption, not a measurement: at 0.97,
// sixty fruit counted 25 times show about 17 fruit as "vanished" with nothing lost, which is the disorder that growers'
// books have.
const seen = 0.97

// Allowance is how far two counts may differ by chance, in fruit, when before and now fruit stood at them: twice the
// standard deviation of the difference of two binomial counts, rounded up,
//
//	⌈ 2·√( (before + now) · 0.97 · 0.03 ) ⌉
//
// which for two counts of N fruit is ⌈2·√(2·N·0.97·0.03)⌉. It is 0 where nothing stood.
func Allowance(before, now int) int {
	return int(math.Ceil(2 * math.Sqrt(float64(before+now)*seen*(1-seen))))
}

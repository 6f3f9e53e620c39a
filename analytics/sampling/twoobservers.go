package sampling

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// TwoObservers is what two people found who counted the same fruit at one time, neither knowing what the other saw, so that it is
// known which fruit both saw (by marks on the trusses, say).
type TwoObservers struct {
	First, Second, Both int
	// N is the number of fruit by Chapman (1951), (n₁ + 1)(n₂ + 1)/(m + 1) − 1, with the standard error of Seber (1970).
	N, SE float64
}

// Observed estimates how many fruit there were from how many the first, the second and both saw.
func Observed(first, second, both int) (TwoObservers, error) {
	o := TwoObservers{First: first, Second: second, Both: both}
	if both < 0 || both > min(first, second) {
		return o, refuse("%d seen by both, of %d and %d", both, first, second)
	}
	n1, n2, m := float64(first), float64(second), float64(both)
	o.N = (n1+1)*(n2+1)/(m+1) - 1
	o.SE = math.Sqrt((n1 + 1) * (n2 + 1) * (n1 - m) * (n2 - m) / ((m + 1) * (m + 1) * (m + 2)))
	return o, nil
}

// Seen is how many fruit one or both saw.
func (o TwoObservers) Seen() int { return o.First + o.Second - o.Both }

// LincolnPetersen is n₁·n₂/m, the estimate without Chapman's correction; ok is false where both saw no fruit in common.
func (o TwoObservers) LincolnPetersen() (n float64, ok bool) {
	if o.Both == 0 {
		return 0, false
	}
	return float64(o.First) * float64(o.Second) / float64(o.Both), true
}

// Detection is the share of the fruit that each observer sees, m/n₂ and m/n₁: of what the other saw, how much they saw too. ok is
// false where an observer saw nothing.
func (o TwoObservers) Detection() (first, second float64, ok bool) {
	if o.First == 0 || o.Second == 0 {
		return 0, 0, false
	}
	return float64(o.Both) / float64(o.Second), float64(o.Both) / float64(o.First), true
}

// Normal is N ± z·SE, which may reach below what was seen.
func (o TwoObservers) Normal(level float64) (low, high float64) {
	half := distuv.UnitNormal.Quantile(1-(1-level)/2) * o.SE
	return o.N - half, o.N + half
}

// Interval takes the fruit that neither saw for log-normal (Burnham et al. 1987, Design and analysis methods for fish survival
// experiments, American Fisheries Society Monograph 5, 212), so that it never reaches below what was seen.
func (o TwoObservers) Interval(level float64) (low, high float64) {
	seen := float64(o.Seen())
	unseen := o.N - seen
	if !(unseen > 0) {
		return o.N, o.N
	}
	factor := math.Exp(distuv.UnitNormal.Quantile(1-(1-level)/2) * math.Sqrt(math.Log1p(o.SE*o.SE/(unseen*unseen))))
	return seen + unseen/factor, seen + unseen*factor
}

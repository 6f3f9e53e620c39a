package proportion

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Interval is a confidence interval of a share.
type Interval struct{ Low, High float64 }

// Invalid says which input isn't a count of trials.
type Invalid struct{ Reason string }

func (e *Invalid) Error() string { return e.Reason }

func check(x, n int, level float64) error {
	switch {
	case n < 1:
		return &Invalid{fmt.Sprintf("a share needs at least one trial, not %d", n)}
	case x < 0 || x > n:
		return &Invalid{fmt.Sprintf("%d of %d is not a share", x, n)}
	case !(level > 0 && level < 1):
		return &Invalid{fmt.Sprintf("a level of %v isn't between 0 and 1", level)}
	}
	return nil
}

func z(level float64) float64 { return distuv.UnitNormal.Quantile(1 - (1-level)/2) }

// Wilson is the score interval (Wilson 1927, J. Am. Stat. Assoc. 22:209–212),
//
//	(p + z²/2n ± z·√(p(1−p)/n + z²/4n²)) / (1 + z²/n),
//
// which keeps its level fairly well also for few trials and shares near 0 and 1 (Brown, Cai and DasGupta 2001, Stat. Sci.
// 16:101–133).
func Wilson(x, n int, level float64) (Interval, error) {
	if err := check(x, n, level); err != nil {
		return Interval{}, err
	}
	return wilson(float64(x), float64(n), z(level)), nil
}

func wilson(x, n, z float64) Interval {
	p, z2 := x/n, z*z
	centre, half := p+z2/(2*n), z*math.Sqrt(p*(1-p)/n+z2/(4*n*n))
	i := Interval{(centre - half) / (1 + z2/n), (centre + half) / (1 + z2/n)}
	return i.within(x, n)
}

// within makes the ends exact where nothing or everything happened.
func (i Interval) within(x, n float64) Interval {
	if x == 0 {
		i.Low = 0
	}
	if x == n {
		i.High = 1
	}
	return Interval{max(i.Low, 0), min(i.High, 1)}
}

// WilsonCorrected is Wilson with a continuity correction (Newcombe 1998, Stat. Med. 17:857–872, method 4).
func WilsonCorrected(x, n int, level float64) (Interval, error) {
	if err := check(x, n, level); err != nil {
		return Interval{}, err
	}
	return wilsonCorrected(float64(x), float64(n), z(level)), nil
}

func wilsonCorrected(x, n, z float64) Interval {
	p, z2 := x/n, z*z
	low := (2*n*p + z2 - 1 - z*math.Sqrt(max(z2-2-1/n+4*p*(n*(1-p)+1), 0))) / (2 * (n + z2))
	high := (2*n*p + z2 + 1 + z*math.Sqrt(max(z2+2-1/n+4*p*(n*(1-p)-1), 0))) / (2 * (n + z2))
	return Interval{low, high}.within(x, n)
}

// ClopperPearson is the exact interval (Clopper and Pearson 1934, Biometrika 26:404–413), by quantiles of the beta
// distribution. Its level is at least the one asked for, and often well above.
func ClopperPearson(x, n int, level float64) (Interval, error) {
	if err := check(x, n, level); err != nil {
		return Interval{}, err
	}
	return betas(float64(x), float64(n-x)+1, float64(x)+1, float64(n-x), level).within(float64(x), float64(n)), nil
}

// Jeffreys is the equal-tailed interval of the beta posterior under Jeffreys' prior, Beta(x+½, n−x+½), with 0 for its low end at
// x = 0 and 1 for its high end at x = n (Brown, Cai and DasGupta 2001).
func Jeffreys(x, n int, level float64) (Interval, error) {
	if err := check(x, n, level); err != nil {
		return Interval{}, err
	}
	a, b := float64(x)+0.5, float64(n-x)+0.5
	return betas(a, b, a, b, level).within(float64(x), float64(n)), nil
}

func betas(lowA, lowB, highA, highB, level float64) Interval {
	var i Interval
	tail := (1 - level) / 2
	if lowA > 0 && lowB > 0 {
		i.Low = quantile(distuv.Beta{Alpha: lowA, Beta: lowB}, tail)
	}
	if highA > 0 && highB > 0 {
		i.High = quantile(distuv.Beta{Alpha: highA, Beta: highB}, 1-tail)
	}
	return i
}

// quantile polishes the library's by two Newton steps.
func quantile(d distuv.Beta, p float64) float64 {
	x := d.Quantile(p)
	for range 2 {
		if density := d.Prob(x); density > 0 {
			if next := x - (d.CDF(x)-p)/density; next > 0 && next < 1 {
				x = next
			}
		}
	}
	return x
}

// AgrestiCoull is p̃ ± z·√(p̃(1−p̃)/ñ) with ñ = n + z² and p̃ = (x + z²/2)/ñ (Agresti and Coull 1998, Am. Stat. 52:119–126). It may
// reach beyond 0 and 1.
func AgrestiCoull(x, n int, level float64) (Interval, error) {
	if err := check(x, n, level); err != nil {
		return Interval{}, err
	}
	z := z(level)
	m := float64(n) + z*z
	p := (float64(x) + z*z/2) / m
	half := z * math.Sqrt(p*(1-p)/m)
	return Interval{p - half, p + half}, nil
}

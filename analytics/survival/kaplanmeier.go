package survival

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Event is a time that is known, or the last time at which it hadn't come.
type Event struct {
	Time float64
	Came bool
}

// KaplanMeier is the product-limit estimate (Kaplan and Meier 1958, J. Am. Stat. Assoc. 53:457–481) at each time at which something
// came.
type KaplanMeier struct {
	Time           []float64
	AtRisk, Events []int
	Survival       []float64
	SE             []float64 // Greenwood's formula; 0 where survival is 0 and no error is defined
	NelsonAalen    []float64 // Σ d/n
	last           float64
	greenwood      []float64 // Σ d/(n(n − d))
}

// FitKaplanMeier estimates survival.
func FitKaplanMeier(events []Event) (*KaplanMeier, error) {
	if len(events) == 0 {
		return nil, refuse("there is no observation")
	}
	sorted := slices.Clone(events)
	slices.SortStableFunc(sorted, func(a, b Event) int { return cmp.Compare(a.Time, b.Time) })
	k := &KaplanMeier{last: sorted[len(sorted)-1].Time}
	survival, greenwood, hazard := 1.0, 0.0, 0.0
	for i := 0; i < len(sorted); {
		at, risk, came := sorted[i].Time, len(sorted)-i, 0
		for ; i < len(sorted) && sorted[i].Time == at; i++ {
			if sorted[i].Came {
				came++
			}
		}
		if came == 0 {
			continue
		}
		n, d := float64(risk), float64(came)
		survival *= 1 - d/n
		greenwood += d / (n * (n - d)) // +Inf when everything has come
		hazard += d / n
		k.Time, k.AtRisk, k.Events = append(k.Time, at), append(k.AtRisk, risk), append(k.Events, came)
		k.Survival, k.NelsonAalen, k.greenwood = append(k.Survival, survival), append(k.NelsonAalen, hazard), append(k.greenwood, greenwood)
		se := 0.0
		if survival > 0 {
			se = survival * math.Sqrt(greenwood)
		}
		k.SE = append(k.SE, se)
	}
	return k, nil
}

// Band is an interval at each time; Defined is false where survival is 0.
type Band struct {
	Low, High []float64
	Defined   []bool
}

// LogBand is worked out on ln S, not above 1.
func (k *KaplanMeier) LogBand(level float64) Band {
	return k.band(level, func(s, root, z float64) (low, high float64) {
		return s * math.Exp(-z*root), math.Min(1, s*math.Exp(z*root))
	})
}

// LogLogBand is worked out on ln(−ln S), which stays within 0 and 1 (Borgan and Liestøl 1990, Scand. J. Stat. 17:35–41).
func (k *KaplanMeier) LogLogBand(level float64) Band {
	return k.band(level, func(s, root, z float64) (low, high float64) {
		spread := z * root / math.Log(s)
		return math.Pow(s, math.Exp(-spread)), math.Pow(s, math.Exp(spread))
	})
}

func (k *KaplanMeier) band(level float64, ends func(s, root, z float64) (low, high float64)) Band {
	z := distuv.UnitNormal.Quantile(1 - (1-level)/2)
	var b Band
	for i, s := range k.Survival {
		low, high, ok := 0.0, 0.0, s > 0
		if ok {
			low, high = ends(s, math.Sqrt(k.greenwood[i]), z)
		}
		b.Low, b.High, b.Defined = append(b.Low, low), append(b.High, high), append(b.Defined, ok)
	}
	return b
}

// half is a survival of a half, to rounding.
const half = 0.5 + 1e-9

// Median is the first time at which survival is a half or less; where it is exactly a half over a stretch, its middle. ok is false if it
// doesn't come so far.
func (k *KaplanMeier) Median() (at float64, ok bool) {
	for i, s := range k.Survival {
		if s > half {
			continue
		}
		if s > 1-half && i+1 < len(k.Time) {
			return (k.Time[i] + k.Time[i+1]) / 2, true
		}
		return k.Time[i], true
	}
	return 0, false
}

// MedianInterval is where a band's ends come down to a half; an end that doesn't is not ok.
func (k *KaplanMeier) MedianInterval(b Band) (low, high float64, lowOK, highOK bool) {
	for i := range k.Time {
		if !lowOK && (!b.Defined[i] || b.Low[i] <= half) {
			low, lowOK = k.Time[i], true
		}
		if !highOK && b.Defined[i] && b.High[i] <= half {
			high, highOK = k.Time[i], true
		}
	}
	return low, high, lowOK, highOK
}

// RestrictedMean is the mean time up to the last observation, the area under survival, with its standard error.
func (k *KaplanMeier) RestrictedMean() (mean, se float64) {
	area := make([]float64, len(k.Time)) // under survival, from each event to the last observation
	after := 0.0
	for i := len(k.Time) - 1; i >= 0; i-- {
		end := k.last
		if i+1 < len(k.Time) {
			end = k.Time[i+1]
		}
		after += k.Survival[i] * (end - k.Time[i])
		area[i] = after
	}
	first := k.last
	if len(k.Time) > 0 {
		first = k.Time[0]
	}
	variance := 0.0
	for i, a := range area {
		if n, d := float64(k.AtRisk[i]), float64(k.Events[i]); n > d {
			variance += a * a * d / (n * (n - d))
		}
	}
	return first + after, math.Sqrt(variance)
}

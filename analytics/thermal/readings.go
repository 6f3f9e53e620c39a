package thermal

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// Reading is the air temperature at one instant, °C.
type Reading struct {
	At   time.Time
	AirC float64
}

// Why a reading is left out.
type Why string

// The reasons, in the order in which they are looked for.
const (
	// NoNumber: not a number, or infinite.
	NoNumber Why = "no number"
	// SensorFault: what common digital sensors give when they are not there or have just been switched on, −127 and 85 °C
	// (common practice).
	SensorFault Why = "sensor fault"
	// NotAir: outside −30 to 60 °C, where no tomato is and hardly any air (common practice).
	NotAir Why = "not the air around a plant"
	// InTheSun: 45 °C or more, or more than 15 °C above the median of the three hours before and after: a logger in the
	// sun or beside a lamp shows its own temperature (common practice).
	InTheSun Why = "a logger in the sun"
	// OutOfLine: more than 15 °C below that median.
	OutOfLine Why = "far below the hours around it"
	// Repeated: another reading at the same instant with another value; the two are replaced by neither.
	Repeated Why = "another reading at the same time"
)

const (
	coldestAir, hottestAir = -30, 60
	hottestShade           = 45
	farFromNeighbours      = 15
	neighbourhood          = 3 * time.Hour
	fewestNeighbours       = 4
	mostNeighbours         = 48 // of a logger that writes every minute, some are enough
)

// LeftOut is a reading that is not used, and why.
type LeftOut struct {
	Reading
	Why Why
}

// Screen puts readings in the order of time and separates what can't be the air around a plant. The same instant twice
// with one value is one reading; with different values both are left out. The readings given aren't changed, and their
// order doesn't matter.
func Screen(readings []Reading) (kept []Reading, left []LeftOut) {
	all := slices.Clone(readings)
	slices.SortFunc(all, func(a, b Reading) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.AirC, b.AirC)) })
	all = slices.CompactFunc(all, func(a, b Reading) bool { return a.At.Equal(b.At) && a.AirC == b.AirC })
	for _, r := range all {
		if why := alone(r.AirC); why != "" {
			left = append(left, LeftOut{r, why})
		} else {
			kept = append(kept, r)
		}
	}
	kept, left = separate(kept, left, repeats(kept))
	kept, left = separate(kept, left, besides(kept))
	slices.SortStableFunc(left, func(a, b LeftOut) int { return a.At.Compare(b.At) })
	return kept, left
}

// alone judges a temperature by itself.
func alone(airC float64) Why {
	switch {
	case math.IsNaN(airC) || math.IsInf(airC, 0):
		return NoNumber
	case airC == -127 || airC == 85:
		return SensorFault
	case airC < coldestAir || airC > hottestAir:
		return NotAir
	case airC >= hottestShade:
		return InTheSun
	}
	return ""
}

func separate(kept []Reading, left []LeftOut, whys []Why) ([]Reading, []LeftOut) {
	var still []Reading
	for i, r := range kept {
		if whys[i] != "" {
			left = append(left, LeftOut{r, whys[i]})
		} else {
			still = append(still, r)
		}
	}
	return still, left
}

func repeats(sorted []Reading) []Why {
	whys := make([]Why, len(sorted))
	for i := 1; i < len(sorted); i++ {
		if sorted[i].At.Equal(sorted[i-1].At) {
			whys[i-1], whys[i] = Repeated, Repeated
		}
	}
	return whys
}

// besides judges readings by those of the hours around them.
func besides(sorted []Reading) []Why {
	whys := make([]Why, len(sorted))
	var around []float64
	from, to := 0, 0
	for i, r := range sorted {
		for sorted[from].At.Before(r.At.Add(-neighbourhood)) {
			from++
		}
		for to < len(sorted) && !sorted[to].At.After(r.At.Add(neighbourhood)) {
			to++
		}
		if to-from-1 < fewestNeighbours {
			continue
		}
		around = around[:0]
		for j := from; j < to; j += 1 + (to-from)/mostNeighbours {
			if j != i {
				around = append(around, sorted[j].AirC)
			}
		}
		slices.Sort(around)
		median := (around[(len(around)-1)/2] + around[len(around)/2]) / 2
		switch {
		case r.AirC > median+farFromNeighbours:
			whys[i] = InTheSun
		case r.AirC < median-farFromNeighbours:
			whys[i] = OutOfLine
		}
	}
	return whys
}

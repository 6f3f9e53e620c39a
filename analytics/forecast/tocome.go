package forecast

import (
	"math"
	"time"

	"vinetally/analytics/ripening"
)

// ToCome is what is still to become ripe of the fruit that has set.
type ToCome struct {
	Mean      float64
	Low, High int
	// Half and Most are when half and nine tenths of it are ripe.
	Half, Most RipeBy
	// NextFlush is when a second wave begins after a lull, zero where none is in sight. What is a lull is a judgement on what is expected, so it has no interval.
	NextFlush time.Time
}

func toCome(x *ripening.Outlook, asOf time.Time) ToCome {
	d := fruits(max(0, x.Unripe.Mean), x.Unripe.Variance)
	t := ToCome{Mean: d.Mean(), Low: d.Quantile((1 - Level) / 2), High: d.Quantile((1 + Level) / 2)}
	if x.Unripe.Mean < 0.5 {
		return t
	}
	t.Half, t.Most = ripeBy(x, 0, asOf), ripeBy(x, 1, asOf)
	if day := nextFlush(x.Later); day > 0 {
		t.NextFlush = asOf.AddDate(0, 0, day)
	}
	return t
}

// nextFlush is the day ahead at which ripening picks up again after a lull: the end of the longest stretch in which, over a week, less
// than a third ripens of what does in the best week before it and after it; 0 if there is none. A week has to bring two fruit to count.
func nextFlush(by []float64) int {
	const week, fewest, lull = 7, 2.0, 1.0 / 3
	weekly := make([]float64, 0, len(by))
	for d := range by {
		before := 0.0
		if d >= week {
			before = by[d-week]
		}
		weekly = append(weekly, by[d]-before)
	}
	best, after := 0.0, 0
	for d := week; d < len(weekly); d++ {
		best = math.Max(best, weekly[d])
		if weekly[d] > best*lull || best < fewest {
			continue
		}
		peak := 0.0
		for e := d; e < len(weekly); e++ {
			peak = math.Max(peak, weekly[e])
		}
		if peak < fewest || weekly[d] > peak*lull {
			continue
		}
		for e := d; e < len(weekly); e++ {
			if weekly[e] > peak*lull {
				after = e - week + 2
				break
			}
		}
		break
	}
	return after
}

package forecast

import (
	"math"

	"vinetally/analytics/ripening"
)

// laterCost is the fruit that passes its hold time in the day after a picking day, if it isn't picked and doesn't fall before. Each fruit does by itself, so
// their number is as Poisson as its mean is known: that of fruit which hangs ripe now as far as ripening.HangSpread says, that of fruit still to ripen as far
// as the forecast of the days on which it does.
func (s *scheduler) laterCost(day int) Range {
	mean, variance := 0.0, 0.0
	var some []*ripening.Outlook
	first, last := math.MaxInt, 0
	for i := range s.waits {
		if s.blocked(i, day) {
			continue
		}
		w := &s.waits[i]
		passes := func(hung int) bool { return float64(hung) < w.hold && float64(hung+1) >= w.hold }
		hangs := func(hung float64) float64 {
			return math.Exp(-w.o.Falls * ripening.Falling(math.Min(hung, w.hold), w.hold))
		}
		if s.picked[i] < 0 {
			now := 0.0
			for age, n := range w.now {
				if passes(age + day) {
					now += math.Max(0, n) * hangs(float64(age)+0.5)
				}
			}
			mean, variance = mean+now, variance+now+ripening.HangSpread*now*ripening.HangSpread*now
		}
		for d := max(1, s.picked[i]+1); d <= day+1; d++ {
			if passes(day - d) {
				n := math.Max(0, w.joins[d]) * hangs(0)
				mean, variance = mean+n, variance+n
				first, last = min(first, d), max(last, d)
				some = append(some, w.o)
			}
		}
	}
	if len(some) > 0 {
		variance += ripening.Between(some, first-1, last)
	}
	return rangeOf(mean, fruits(mean, variance))
}

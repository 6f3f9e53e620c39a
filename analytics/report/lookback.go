package report

import (
	"fmt"
	"slices"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
)

// LookBack is what picking at other intervals would have lost of the season's ripe fruit; nil where there is nothing to tell: no losses of ripe fruit and none
// that passed its hold time.
func (s *Season) LookBack() *forecast.Intervals {
	r := s.Ahead.LookBack
	if r == nil || r.Losses == 0 && r.Costliest == nil {
		return nil
	}
	return r
}

// Every writes a picking interval: every day, every 4 days.
func Every(days int) string {
	if days == 1 {
		return "every day"
	}
	return fmt.Sprintf("every %d days", days)
}

// LookBackSentence says how much of the ripe fruit is lost if it is picked often and if it is picked seldom; empty where that isn't known.
func (s *Season) LookBackSentence() string {
	r := s.LookBack()
	if r == nil || len(r.By) == 0 {
		return ""
	}
	often, seldom := r.By[0], r.By[len(r.By)-1]
	return fmt.Sprintf("Picked clean %s, %s of the ripe fruit of this season would have been lost (%s); %s, %s (%s).",
		Every(often.EveryDays), aboutShare(often.LostShare.Mean), levelled(shares(often.LostShare)), Every(seldom.EveryDays), aboutShare(seldom.LostShare.Mean), shares(seldom.LostShare))
}

// SavedSentence says how much of what was lost that would have saved; empty where that isn't known.
func (s *Season) SavedSentence() string {
	r := s.LookBack()
	if r == nil || len(r.By) == 0 {
		return ""
	}
	often := r.By[0]
	below := ""
	if slices.ContainsFunc(r.By, func(x forecast.Interval) bool { return x.Saved.Low < -0.5 }) {
		below = " A number below 0 is of fruit that would have been lost besides."
	}
	return fmt.Sprintf("As this season was picked, about %s of %s ripe fruit fell or spoiled, unwritten ones included: picked clean %s about %s of these would have been saved (%s).",
		Rounded(float64(r.Losses)+r.Unwritten, 0), Rounded(r.Ripe, 0), Every(often.EveryDays), Rounded(often.Saved.Mean, 0), levelled(fmt.Sprintf("%s to %s", Rounded(often.Saved.Low, 0), Rounded(often.Saved.High, 0)))) + below
}

// aboutShare writes a share in whole hundredths, below one to a tenth of it.
func aboutShare(share float64) string {
	if share < 0.0005 {
		return "less than 0.1 %"
	}
	return "about " + Rounded(100*share, shareDigits(share)) + " %"
}

// shares writes the ends of an interval: 2 to 6 %.
func shares(r forecast.Range) string {
	if r.High < 0.0005 {
		return "0 to 0.1 %"
	}
	digits := shareDigits(r.High)
	return fmt.Sprintf("%s to %s %%", Rounded(100*r.Low, digits), Rounded(100*r.High, digits))
}

func shareDigits(share float64) int {
	if share < 0.00995 {
		return 1
	}
	return 0
}

// CostliestSentence names the time without a count in which most fruit passed its hold time; empty where hardly any did.
func (s *Season) CostliestSentence() string {
	r := s.LookBack()
	if r == nil || r.Costliest == nil {
		return ""
	}
	g, zone := r.Costliest, s.AsOf.Location()
	on := ""
	if g.Plants > 0 && len(s.Plants) > 1 {
		on = ", on " + plants(g.Plants)
	}
	return fmt.Sprintf("Without a count most fruit passed its hold time between %s and %s: about %s, as the model reckons%s (%s).",
		crop.DayWords(g.From.In(zone)), crop.DayWords(g.To.In(zone)), Rounded(g.Passed.Mean, 0), on, levelled(fmt.Sprintf("%.0f to %.0f", g.Passed.Low, g.Passed.High)))
}

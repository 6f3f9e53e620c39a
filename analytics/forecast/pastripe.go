package forecast

import (
	"vinetally/analytics/countdist"
	"vinetally/analytics/ripening"
)

// PastRipe is how many fruit are expected to have hung ripe for the hold time or longer, beside what is certain (package pastripe). It
// allows for picking and for fruit that falls unseen: which of the ripe fruit were picked isn't known, so each is as likely; fallen
// ones were rather the oldest.
type PastRipe struct {
	HoldDays     float64
	Mean         float64
	Low, High    int // of the central interval
	Distribution countdist.Distribution
}

// MoreThan is the chance that more than n fruit are past ripe.
func (p *PastRipe) MoreThan(n int) float64 { return p.Distribution.AtLeast(n + 1) }

func pastRipe(x *ripening.Outlook, hold float64) PastRipe {
	return ripeFor(hold, countdist.Matched(max(0, x.PastRipe.Mean), x.PastRipe.Variance))
}

func ripeFor(hold float64, d countdist.Distribution) PastRipe {
	return PastRipe{HoldDays: hold, Mean: d.Mean(), Low: d.Quantile((1 - Level) / 2), High: d.Quantile((1 + Level) / 2), Distribution: d}
}

// pastRipeOf sums the plants, taken as independent given what the model has learned; nil where there are none.
func pastRipeOf(plants []Plant) *PastRipe {
	if len(plants) == 0 {
		return nil
	}
	parts := make([]countdist.Distribution, len(plants))
	hold := plants[0].PastRipe.HoldDays
	for i := range plants {
		parts[i] = plants[i].PastRipe.Distribution
		if plants[i].PastRipe.HoldDays != hold {
			hold = 0 // several
		}
	}
	p := ripeFor(hold, countdist.Sum(parts...))
	return &p
}

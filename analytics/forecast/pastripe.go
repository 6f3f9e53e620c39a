package forecast

import (
	"time"

	"vinetally/analytics/countdist"
	"vinetally/analytics/pastripe"
	"vinetally/analytics/ripening"
)

// PastRipe is how many fruit are expected to have hung ripe for the hold time or longer. It allows for picking and for fruit that falls
// unseen: which of the ripe fruit were picked isn't known, so each is as likely; fallen ones were rather the oldest. It is no more than the
// ripe fruit that hangs.
type PastRipe struct {
	HoldDays     float64
	Mean         float64
	Low, High    int // of the central interval
	Distribution countdist.Distribution
	// Certain is what is certain by the ledger (package pastripe) if the records are complete. The mean may be below it: on neglected plants, where
	// much falls that nobody writes down, what is certain is too much on average.
	Certain int

	complete countdist.Distribution // given that the records are complete
}

// MoreThan is the chance that more than n fruit are past ripe.
func (p *PastRipe) MoreThan(n int) float64 { return p.Distribution.AtLeast(n + 1) }

// IfComplete is the same where the records are taken as complete: a plant's chances of fewer than are certain are moved to that number. Raised
// tells that the model by itself expects fewer.
func (p *PastRipe) IfComplete() (q PastRipe, raised bool) {
	q = ripeFor(p.HoldDays, p.complete)
	q.Certain, q.complete = p.Certain, p.complete
	return q, p.Mean < float64(p.Certain)
}

func pastRipe(x *ripening.Outlook, hold float64, asOf time.Time) PastRipe {
	hanging := int(ripeNow(x).High)
	certain := pastripe.Of(x.Plant.Records, x.Plant.Book, asOf, hold).Certain
	d := fruits(max(0, x.PastRipe.Mean), x.PastRipe.Variance)
	p := ripeFor(hold, countdist.Within(d, 0, hanging))
	p.Certain, p.complete = certain, countdist.Within(d, certain, max(certain, hanging))
	return p
}

func ripeFor(hold float64, d countdist.Distribution) PastRipe {
	return PastRipe{HoldDays: hold, Mean: d.Mean(), Low: d.Quantile((1 - Level) / 2), High: d.Quantile((1 + Level) / 2), Distribution: d}
}

// pastRipeOf sums the plants, taken as independent given what the model has learned; nil where there are none.
func pastRipeOf(plants []Plant) *PastRipe {
	if len(plants) == 0 {
		return nil
	}
	parts, complete := make([]countdist.Distribution, len(plants)), make([]countdist.Distribution, len(plants))
	hold, certain := plants[0].PastRipe.HoldDays, 0
	for i := range plants {
		x := &plants[i].PastRipe
		parts[i], complete[i] = x.Distribution, x.complete
		certain += x.Certain
		if x.HoldDays != hold {
			hold = 0 // several
		}
	}
	p := ripeFor(hold, countdist.Sum(parts...))
	p.Certain, p.complete = certain, countdist.Sum(complete...)
	return &p
}

package yield

import (
	"slices"
	"time"

	"vinetally/analytics/crop"
)

// Horizon is what was picked by a common day.
type Horizon struct {
	Fruits int
	Grams  Grams
}

// fourWeeks is the common horizon from the first picking, days.
const fourWeeks = 28

// pace is the rate of picking, and the common horizon.
func (p *Plant) pace(asOf time.Time, w *Weights, masses map[crop.ID]Mass) {
	picks := p.Records.Pickings
	if len(picks) == 0 {
		return
	}
	first, last := picks[0].PickedAt.LocalDate(), picks[0].PickedAt.LocalDate()
	for i := range picks {
		day := picks[i].PickedAt.LocalDate()
		if day.Before(first) {
			first = day
		}
		if day.After(last) {
			last = day
		}
	}
	if days := last.DaysSince(first); days >= 7 && p.Tally.Uncounted == 0 {
		p.PerWeek = new(float64(p.Tally.Fruits) / (float64(days) / 7))
	}
	end := first.AddDays(fourWeeks)
	if !p.Final && !end.Before(crop.DateOf(asOf.In(picks[0].PickedAt.At.Location()))) {
		return
	}
	h := &Horizon{Grams: Grams{Sure: true}}
	for i := range picks {
		if picks[i].PickedAt.LocalDate().Before(end) {
			if picks[i].Fruits != nil {
				h.Fruits += *picks[i].Fruits
			}
			h.Grams.add(p.gramsOf(&picks[i], w, masses))
		}
	}
	p.FirstFourWeeks = h
}

// shares works out the days to a share of the final yield.
func (p *Plant) shares(w *Weights, masses map[crop.ID]Mass) {
	if !p.Final || p.Began == nil {
		return
	}
	type part struct {
		on     crop.Date
		amount float64
	}
	byMass := p.Marketable.Missing == 0
	p.ShareOf = "marketable mass"
	if !byMass {
		p.ShareOf = "marketable fruit"
	}
	var parts []part
	total := 0.0
	for i := range p.Records.Pickings {
		pick := &p.Records.Pickings[i]
		if pick.Grade == crop.Cull {
			continue
		}
		x := part{on: pick.PickedAt.LocalDate()}
		if byMass {
			x.amount = p.gramsOf(pick, w, masses).G()
		} else if pick.Fruits != nil {
			x.amount = float64(*pick.Fruits)
		}
		total += x.amount
		parts = append(parts, x)
	}
	if !(total > 0) {
		p.ShareOf = ""
		return
	}
	slices.SortStableFunc(parts, func(a, b part) int { return a.on.Compare(b.on) })
	for _, s := range []struct {
		share float64
		to    **float64
	}{{0.1, &p.To10}, {0.5, &p.To50}, {0.9, &p.To90}} {
		sum := 0.0
		for _, x := range parts {
			if sum += x.amount; sum >= s.share*total-1e-9*total {
				*s.to = p.days(x.on)
				break
			}
		}
	}
}

package report

import (
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/pastripe"
)

// PastRipeDays is the fruit that had certainly hung past its hold time at the end of days on which plants were counted, by what was
// recorded by then, and at the report's moment on its day.
type PastRipeDays struct {
	Days  []crop.Date
	Plant []PastRipePlant
	Most  int // on one plant and day
}

// PastRipePlant is one row; a plant that had not been counted yet, or was gone, has nil.
type PastRipePlant struct {
	Label   string
	Certain []*int
}

// What is shown: the last days of counting, and the plants that had such fruit at all.
const (
	mostHeatDays   = 26
	mostHeatPlants = 60
)

// pastRipeDays looks back day by day. Of a season with many plants it looks at those that have such fruit now.
func (s *Season) pastRipeDays(holdDays *float64) PastRipeDays {
	var out PastRipeDays
	days := map[crop.Date]bool{}
	var plants []*Plant
	for i := range s.Plants {
		p := &s.Plants[i]
		if len(s.Plants) > mostHeatPlants && p.PastRipe.Certain == 0 || len(plants) == mostHeatPlants {
			continue
		}
		plants = append(plants, p)
		for _, v := range p.Book.Visits {
			if p.Book.Ripe >= 0 && v.StandingAtLeast[p.Book.Ripe] > 0 {
				days[v.CountedAt.LocalDate()] = true
			}
		}
	}
	if today := crop.DateOf(s.AsOf); len(days) > 0 && len(s.Plants) > 0 && !s.Plants[0].Records.SeasonOver {
		days[today] = true
	}
	for d := range days {
		out.Days = append(out.Days, d)
	}
	slices.SortFunc(out.Days, crop.Date.Compare)
	if n := len(out.Days); n > mostHeatDays {
		out.Days = out.Days[n-mostHeatDays:]
	}
	for _, p := range plants {
		row := PastRipePlant{Label: p.Records.Plant.Label}
		any := false
		for _, d := range out.Days {
			n := certainOn(p, d, s.AsOf, hold(p.Records.Cultivar, holdDays))
			row.Certain = append(row.Certain, n)
			if n != nil && *n > 0 {
				any = true
				out.Most = max(out.Most, *n)
			}
		}
		if any {
			out.Plant = append(out.Plant, row)
		}
	}
	out.trim()
	return out
}

// trim begins with the last day before there was any.
func (d *PastRipeDays) trim() {
	first := len(d.Days)
	for _, p := range d.Plant {
		for i, n := range p.Certain[:first] {
			if n != nil && *n > 0 {
				first = i
				break
			}
		}
	}
	first = max(first-1, 0)
	d.Days = d.Days[min(first, len(d.Days)):]
	for i := range d.Plant {
		d.Plant[i].Certain = d.Plant[i].Certain[first:]
	}
}

// certainOn is what was certain of a plant at the end of a day, or at the report's moment on its own.
func certainOn(p *Plant, d crop.Date, asOf time.Time, holdDays float64) *int {
	r := &p.Records
	if r.Plant.RemovedOn != nil && !r.Plant.RemovedOn.After(d) || len(r.Visits) == 0 || r.Visits[0].CountedAt.LocalDate().After(d) {
		return nil
	}
	end := crop.DayMoment(d, r.Visits[0].CountedAt.At.Location()).Latest()
	if end.After(asOf) {
		end = asOf
	}
	through := r.Through(d)
	return new(pastripe.Of(through, ledger.Of(through), end, holdDays).Certain)
}

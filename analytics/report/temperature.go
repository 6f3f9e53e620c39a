package report

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/thermal"
)

// PlaceAir is the air of one place, day by day.
type PlaceAir struct {
	Place    string
	Readings int
	LeftOut  []thermal.LeftOut // readings that aren't used, in the order of time
	Days     []DayAir
	Weeks    []WeekAir
	// StandardDays is what ripened from the first reading to the last, in days at 20 °C, by the rate of growing; SE is the error of that
	// rate alone. Filled is the part of that time, in days, without readings.
	StandardDays, SE, Calendar, Filled float64
}

// DayAir is one day with readings, in the place's zone.
type DayAir struct {
	On              crop.Date
	Mean, Low, High float64 // °C; the mean is of the readings
	Sum             float64 // standard days from the first reading to the day's end
}

// WeekAir is one ISO week.
type WeekAir struct {
	Monday          crop.Date
	Mean, Low, High float64
	StandardDays    float64 // of the part of the week between the first reading and the last
	Readings        int
}

// air goes through the readings of each place, by name.
func air(t *crop.Trial) []PlaceAir {
	byPlace := map[crop.ID][]thermal.Reading{}
	for i := range t.Temperatures {
		if r := &t.Temperatures[i]; r.AirC != nil {
			byPlace[r.PlaceID] = append(byPlace[r.PlaceID], thermal.Reading{At: r.MeasuredAt, AirC: *r.AirC})
		}
	}
	var out []PlaceAir
	for i := range t.Places {
		p := &t.Places[i]
		if all := byPlace[p.ID]; len(all) > 0 {
			if a, ok := airOf(p, all); ok {
				out = append(out, a)
			}
		}
	}
	slices.SortFunc(out, func(a, b PlaceAir) int { return crop.NaturalCompare(a.Place, b.Place) })
	return out
}

func airOf(p *crop.Place, all []thermal.Reading) (PlaceAir, bool) {
	kept, left := thermal.Screen(all)
	clock := thermal.NewClock(thermal.Growing().At, all)
	if len(kept) < 2 || clock.Calendar() {
		return PlaceAir{}, false
	}
	loc := p.Location()
	first, last := kept[0].At, kept[len(kept)-1].At
	a := PlaceAir{Place: p.Name, Readings: len(kept), LeftOut: left}
	for from := 0; from < len(kept); {
		on := crop.DateOf(kept[from].At.In(loc))
		d := DayAir{On: on, Low: kept[from].AirC, High: kept[from].AirC}
		to, sum := from, 0.0
		for ; to < len(kept) && crop.DateOf(kept[to].At.In(loc)) == on; to++ {
			sum += kept[to].AirC
			d.Low, d.High = min(d.Low, kept[to].AirC), max(d.High, kept[to].AirC)
		}
		d.Mean = sum / float64(to-from)
		d.Sum = clock.Between(first, earlier(on.AddDays(1).Start(loc), last)).Count
		a.Days = append(a.Days, d)
		a.week(&d, to-from, sum, clock, first, last, loc)
		from = to
	}
	whole := clock.Between(first, last)
	a.StandardDays, a.SE, a.Calendar = whole.Count, whole.StandardError, last.Sub(first).Hours()/24
	a.Filled = (whole.Filled + whole.Assumed).Hours() / 24
	return a, true
}

// LeftOutSentence says how many readings aren't used, what they read and why; empty if all are.
func (a *PlaceAir) LeftOutSentence() string {
	if len(a.LeftOut) == 0 {
		return ""
	}
	var whys []thermal.Why
	times, low, high := map[thermal.Why]int{}, math.Inf(1), math.Inf(-1)
	for _, l := range a.LeftOut {
		if times[l.Why]++; times[l.Why] == 1 {
			whys = append(whys, l.Why)
		}
		if l.Why != thermal.NoNumber {
			low, high = min(low, l.AirC), max(high, l.AirC)
		}
	}
	slices.SortStableFunc(whys, func(x, y thermal.Why) int { return times[y] - times[x] })
	parts := make([]string, len(whys))
	for i, w := range whys {
		if parts[i] = string(w); len(whys) > 1 {
			parts[i] = fmt.Sprintf("%d %s", times[w], w)
		}
	}
	read := ""
	switch {
	case low < high:
		read = fmt.Sprintf(", of %s to %s °C", Rounded(low, 1), Rounded(high, 1))
	case low == high:
		read = fmt.Sprintf(", of %s °C", Rounded(low, 1))
	}
	return fmt.Sprintf("%s left out%s: %s.", plural(len(a.LeftOut), "reading was", "readings were"), read, strings.Join(parts, ", "))
}

func earlier(a, b time.Time) time.Time {
	if a.After(b) {
		return b
	}
	return a
}

// week adds a day to its week.
func (a *PlaceAir) week(d *DayAir, readings int, sum float64, clock *thermal.Clock, first, last time.Time, loc *time.Location) {
	monday := d.On.Monday()
	if n := len(a.Weeks); n == 0 || a.Weeks[n-1].Monday != monday {
		a.Weeks = append(a.Weeks, WeekAir{Monday: monday, Low: d.Low, High: d.High})
		w := &a.Weeks[len(a.Weeks)-1]
		from, to := monday.Start(loc), earlier(monday.AddDays(7).Start(loc), last)
		if from.Before(first) {
			from = first
		}
		w.StandardDays = clock.Between(from, to).Count
	}
	w := &a.Weeks[len(a.Weeks)-1]
	w.Mean = (w.Mean*float64(w.Readings) + sum) / float64(w.Readings+readings)
	w.Readings += readings
	w.Low, w.High = min(w.Low, d.Low), max(w.High, d.High)
}

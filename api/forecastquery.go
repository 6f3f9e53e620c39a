package api

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/report"
)

// forecastParameters are what a forecast takes.
var forecastParameters = []string{"as_of", "days", "air_c", "hold_days", "weekdays", "tolerated"}

// forecastOptions are what was asked of a forecast, in a form that can be compared.
type forecastOptions struct {
	days      int
	airC      float64
	airGiven  bool
	holdDays  float64 // 0 is each cultivar's own
	weekdays  weekdays
	tolerated float64
}

// weekdays are days of the week, Sunday as the lowest bit; none stands for all.
type weekdays uint8

func (w weekdays) has(d time.Weekday) bool { return w == 0 || w&(1<<d) != 0 }

// list is the days from Monday on; all of them where none is set.
func (w weekdays) list() []time.Weekday {
	var all []time.Weekday
	for i := range 7 {
		if d := time.Weekday((i + 1) % 7); w.has(d) {
			all = append(all, d)
		}
	}
	return all
}

func defaultForecast() forecastOptions {
	return forecastOptions{days: forecast.DefaultDays, tolerated: forecast.DefaultTolerated}
}

// noneTolerated stands for a tolerated share of 0, which would be taken for one that isn't given.
const noneTolerated = 1e-9

func (o forecastOptions) of(t *crop.Trial) forecast.Options {
	options := report.ForecastOptions(t)
	options.Days, options.HoldDays, options.Pick.Tolerated = o.days, o.holdDays, math.Max(o.tolerated, noneTolerated)
	if o.airGiven {
		options.AirC = &o.airC
	}
	if o.weekdays != 0 {
		options.Pick.Weekdays = o.weekdays.list()
	}
	return options
}

// forecast reads what is asked of one.
func (q *query) forecast() forecastOptions {
	o := defaultForecast()
	o.holdDays = orOwn(q.holdDays())
	o.days = q.whole("days", 1, forecast.MostDays, forecast.DefaultDays)
	if airC := q.number("air_c", leastAirC, mostAirC); airC != nil {
		o.airC, o.airGiven = *airC, true
	}
	if share := q.number("tolerated", 0, mostTolerated); share != nil {
		o.tolerated = *share
	}
	o.weekdays = q.weekdays("weekdays")
	return o
}

// The bounds of a mean temperature of the days ahead, and of the share that may hang past its hold time.
const (
	leastAirC     = 0.0
	mostAirC      = 45.0
	mostTolerated = 0.5
)

var weekdayNames = []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}

// weekdays reads days of the week with commas between them.
func (q *query) weekdays(name string) weekdays {
	s, ok := q.get(name)
	if !ok {
		return 0
	}
	var days weekdays
	for part := range strings.SplitSeq(s, ",") {
		at := slices.Index(weekdayNames, strings.ToLower(strings.TrimSpace(part)))
		if at < 0 {
			q.fault(name, fmt.Sprintf("is %.60q; it must be days of the week with commas between them, of mon, tue, wed, thu, fri, sat, sun", s))
			return 0
		}
		days |= 1 << at
	}
	return days
}

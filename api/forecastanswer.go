package api

import (
	"math"
	"time"

	"vinetally/analytics/countdist"
	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
	"vinetally/analytics/forecast"
	"vinetally/analytics/ripening"
)

type forecastAnswer struct {
	AsOf      time.Time          `json:"as_of"`
	Days      int                `json:"days"`
	Level     float64            `json:"level"`
	Clock     clockAnswer        `json:"clock"`
	Cultivars []cultivarForecast `json:"cultivars"`
	Plants    []plantForecast    `json:"plants"`
	Season    seasonForecast     `json:"season"`
	PickPlan  []pickAnswer       `json:"pick_plan"`
	Plan      planAnswer         `json:"plan"`
	CountNext []countNextAnswer  `json:"count_next"`
	Surprises []surpriseAnswer   `json:"surprises"`
	RestsOn   forecastBasis      `json:"rests_on"`
	Warnings  []string           `json:"warnings"`
}

type forecastBasis struct {
	Plants      int `json:"plants"`
	Visits      int `json:"visits"`
	Fruits      int `json:"fruits"`
	WeatherDays int `json:"weather_days"`
}

type cultivarForecast struct {
	CultivarID    crop.ID           `json:"cultivar_id"`
	Cultivar      string            `json:"cultivar"`
	Residence     []residenceAnswer `json:"residence"`
	NewlyRipe     []dayForecast     `json:"newly_ripe"`
	ToCome        *toComeAnswer     `json:"to_come"`
	Observing     observingAnswer   `json:"observing"`
	RestsOn       curveBasis        `json:"rests_on"`
	Earlier       int               `json:"earlier_seasons"`
	FromPublished bool              `json:"from_published_times"`
	Warnings      []string          `json:"warnings"`
}

type residenceAnswer struct {
	From          string         `json:"from"`
	To            string         `json:"to"`
	MeanDays      float64        `json:"mean_days"`
	Low           float64        `json:"low"`
	High          float64        `json:"high"`
	CV            intervalAnswer `json:"cv"`
	PublishedDays float64        `json:"published_days"`
	PriorDays     float64        `json:"prior_days"`
	Told          float64        `json:"told"`
}

type intervalAnswer struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

type observingAnswer struct {
	Seen      intervalAnswer   `json:"seen_share"`
	Confused  intervalAnswer   `json:"confused_share"`
	Unwritten intervalAnswer   `json:"unwritten_a_day"`
	Early     byStage[float64] `json:"picked_early_a_day"`
	Gone      byStage[float64] `json:"lost_unripe_a_day"`
}

type plantForecast struct {
	PlantID    crop.ID        `json:"plant_id"`
	Plant      string         `json:"plant"`
	CultivarID crop.ID        `json:"cultivar_id"`
	Cultivar   string         `json:"cultivar"`
	NewlyRipe  []dayForecast  `json:"newly_ripe"`
	Standing   []stageFruit   `json:"standing"`
	PastRipe   expectedRipe   `json:"past_ripe"`
	ToCome     toComeAnswer   `json:"to_come"`
	Slowness   intervalAnswer `json:"slowness"`
	LastCount  time.Time      `json:"last_count"`
	Warnings   []string       `json:"warnings"`
}

type stageFruit struct {
	Stage string  `json:"stage"`
	Mean  float64 `json:"mean"`
	SD    float64 `json:"sd"`
}

type seasonForecast struct {
	NewlyRipe []dayForecast `json:"newly_ripe"`
	PastRipe  *expectedRipe `json:"past_ripe"`
	ToCome    *toComeAnswer `json:"to_come"`
}

type dayForecast struct {
	Days      int       `json:"days"`
	Mean      float64   `json:"mean"`
	Quantiles quantiles `json:"quantiles"`
}

// quantiles are those of a number of fruit: the fewest that the number doesn't exceed with that chance.
type quantiles struct {
	Q05 int `json:"0.05"`
	Q10 int `json:"0.1"`
	Q25 int `json:"0.25"`
	Q50 int `json:"0.5"`
	Q75 int `json:"0.75"`
	Q90 int `json:"0.9"`
	Q95 int `json:"0.95"`
}

type toComeAnswer struct {
	Mean          float64      `json:"mean"`
	Low           int          `json:"low"`
	High          int          `json:"high"`
	FirstBy       *time.Time   `json:"first_by"`
	FirstByLow    *time.Time   `json:"first_by_low"`
	FirstByHigh   *time.Time   `json:"first_by_high"`
	HalfBy        *time.Time   `json:"half_by"`
	HalfByLow     *time.Time   `json:"half_by_low"`
	HalfByHigh    *time.Time   `json:"half_by_high"`
	MostBy        *time.Time   `json:"most_by"`
	MostByLow     *time.Time   `json:"most_by_low"`
	MostByHigh    *time.Time   `json:"most_by_high"`
	AllBy         *time.Time   `json:"all_by"`
	AllByLow      *time.Time   `json:"all_by_low"`
	AllByHigh     *time.Time   `json:"all_by_high"`
	ByLastDay     *byDayAnswer `json:"by_last_day"`
	NextFlush     *time.Time   `json:"next_flush"`
	NextFlushLow  *time.Time   `json:"next_flush_low"`
	NextFlushHigh *time.Time   `json:"next_flush_high"`
}

func newForecastAnswer(fitted *outlook, f *forecast.Forecast, o forecastOptions) forecastAnswer {
	a := forecastAnswer{
		AsOf: f.AsOf, Days: f.Days, Level: forecast.Level, Clock: modelClock(fitted.model), RestsOn: newBasis(f.RestsOn),
		Cultivars: []cultivarForecast{}, Plants: []plantForecast{}, Season: seasonForecast{NewlyRipe: []dayForecast{}},
		PickPlan: newPicks(&f.Plan), Plan: newPlan(&f.Plan, o), CountNext: newCountNext(f), Surprises: newSurprises(f),
		Warnings: append([]string{}, f.Warnings...),
	}
	for i := range f.Cultivars {
		a.Cultivars = append(a.Cultivars, newCultivarForecast(&f.Cultivars[i]))
	}
	for i := range f.Plants {
		a.Plants = append(a.Plants, newPlantForecast(&f.Plants[i], stagesOf(fitted.model, f.Plants[i].CultivarID)))
	}
	if len(f.Plants) > 0 {
		a.Season.NewlyRipe = newDays(f.Season)
		a.Season.PastRipe = newExpected(f.PastRipe)
		a.Season.ToCome = newToCome(f.ToCome)
	}
	return a
}

// modelClock is the clock that a model runs by.
func modelClock(m *ripening.Model) clockAnswer {
	if m.Clocks.Thermal() {
		return newClockAnswer(curve.ThermalClock)
	}
	return newClockAnswer(curve.CalendarClock)
}

func stagesOf(m *ripening.Model, cultivar crop.ID) []string {
	for _, v := range m.Cultivars {
		if v.ID == cultivar {
			return v.Stages
		}
	}
	return nil
}

func newCultivarForecast(c *forecast.Cultivar) cultivarForecast {
	a := cultivarForecast{
		CultivarID: c.ID, Cultivar: c.Name, Residence: []residenceAnswer{}, NewlyRipe: newDays(c.NewlyRipe), ToCome: newToCome(c.ToCome), Earlier: c.Earlier,
		RestsOn:       curveBasis{Visits: c.RestsOn.Visits, Fruits: c.RestsOn.Fruits, Plants: c.RestsOn.Plants},
		FromPublished: c.FromTables, Warnings: append([]string{}, c.Warnings...),
	}
	var unripe []string
	published := ripening.PublishedDays(len(c.Residence))
	for i, r := range c.Residence {
		unripe = append(unripe, r.From)
		a.Residence = append(a.Residence, residenceAnswer{
			From: r.From, To: r.To, MeanDays: to3(r.MeanDays.Value), Low: to3(r.MeanDays.Low), High: to3(r.MeanDays.High),
			CV: newInterval(r.CV), PublishedDays: to3(published[i]), PriorDays: to3(r.Prior), Told: to3(math.Max(0, r.Told)),
		})
	}
	a.Observing = observingAnswer{
		Seen: newInterval(c.Observing.Seen), Confused: newInterval(c.Observing.Confused), Unwritten: newInterval(c.Observing.Unwritten),
		Early: byStage[float64]{unripe, make([]float64, len(c.Observing.Early))}, Gone: byStage[float64]{unripe, make([]float64, len(c.Observing.Gone))},
	}
	for i, x := range c.Observing.Early {
		a.Observing.Early.numbers[i], a.Observing.Gone.numbers[i] = to3(x), to3(c.Observing.Gone[i])
	}
	return a
}

func newPlantForecast(p *forecast.Plant, stages []string) plantForecast {
	standing := []stageFruit{}
	for i, n := range p.Standing {
		standing = append(standing, stageFruit{stages[i], to3(math.Max(0, n.Mean)), to3(math.Sqrt(math.Max(0, n.Variance)))})
	}
	return plantForecast{
		PlantID: p.ID, Plant: p.Label, CultivarID: p.CultivarID, Cultivar: p.Cultivar, NewlyRipe: newDays(p.NewlyRipe),
		Standing: standing, PastRipe: *newExpected(&p.PastRipe), ToCome: *newToCome(&p.ToCome),
		Slowness: newInterval(p.Effect), LastCount: p.LastCount, Warnings: append([]string{}, p.Warnings...),
	}
}

func newDays(all []forecast.Day) []dayForecast {
	days := make([]dayForecast, len(all))
	for i := range all {
		days[i] = dayForecast{all[i].Days, to3(all[i].Mean), newQuantiles(all[i].Distribution)}
	}
	return days
}

func newQuantiles(d countdist.Distribution) quantiles {
	return quantiles{d.Quantile(0.05), d.Quantile(0.1), d.Quantile(0.25), d.Quantile(0.5), d.Quantile(0.75), d.Quantile(0.9), d.Quantile(0.95)}
}

// byDayAnswer is how much is ripe at the end of a day.
type byDayAnswer struct {
	On   crop.Date `json:"on"`
	Mean float64   `json:"mean"`
	Low  int       `json:"low"`
	High int       `json:"high"`
}

func newByDay(d *forecast.ByDay) *byDayAnswer {
	if d == nil {
		return nil
	}
	return &byDayAnswer{d.On, to3(d.Mean), d.Low, d.High}
}

func newToCome(t *forecast.ToCome) *toComeAnswer {
	if t == nil {
		return nil
	}
	return &toComeAnswer{
		Mean: to3(t.Mean), Low: t.Low, High: t.High,
		FirstBy: someTime(t.First.On), FirstByLow: someTime(t.First.Low), FirstByHigh: someTime(t.First.High),
		HalfBy: someTime(t.Half.On), HalfByLow: someTime(t.Half.Low), HalfByHigh: someTime(t.Half.High),
		MostBy: someTime(t.Most.On), MostByLow: someTime(t.Most.Low), MostByHigh: someTime(t.Most.High),
		AllBy: someTime(t.Last.On), AllByLow: someTime(t.Last.Low), AllByHigh: someTime(t.Last.High),
		ByLastDay: newByDay(t.LastDay),
		NextFlush: someTime(t.NextFlush.On), NextFlushLow: someTime(t.NextFlush.Low), NextFlushHigh: someTime(t.NextFlush.High),
	}
}

func someTime(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}

func newInterval(i ripening.Interval) intervalAnswer {
	return intervalAnswer{to3(i.Value), to3(i.Low), to3(i.High)}
}

func some3(x *float64) *float64 {
	if x == nil {
		return nil
	}
	return new(to3(*x))
}

// to3 rounds to thousandths, or what is below a tenth to three digits (down to a millionth), which is far more than is known.
func to3(x float64) float64 {
	step := 1000.0
	for size := math.Abs(x); size < 0.1 && step < 1e6; size *= 10 {
		step *= 10
	}
	return math.Round(x*step) / step
}

func newBasis(r forecast.RestsOn) forecastBasis {
	return forecastBasis{Plants: r.Plants, Visits: r.Visits, Fruits: r.Fruits, WeatherDays: r.WeatherDays}
}

package forecast

import (
	"time"

	"vinetally/analytics/countdist"
	"vinetally/analytics/crop"
	"vinetally/analytics/internal/parallel"
	"vinetally/analytics/ripening"
)

// MostDays is how far ahead a forecast goes, DefaultDays how far if nothing is said.
const (
	MostDays    = 28
	DefaultDays = 14
)

// Level is that of the intervals.
const Level = 0.9

// Options are what the user may say.
type Options struct {
	Days int // 1 … MostDays
	// AirC is the mean temperature that the user expects, °C; nil takes it from the places' recent days.
	AirC *float64
	// HoldDays is the hold time in calendar days; 0 is each cultivar's own.
	HoldDays float64
	// LastDay is the season's, if it is known; days are those of Pick.Location.
	LastDay *crop.Date
	Pick    PickOptions
	// FruitG is the mean mass of a ripe fruit of a cultivar, with its standard error; those without aren't weighed.
	FruitG map[crop.ID]Mass
}

// Mass is a mean fruit mass, g.
type Mass struct{ MeanG, StandardError float64 }

// Forecast is a season's.
type Forecast struct {
	AsOf      time.Time
	Days      int
	Thermal   bool // standard days; else calendar days
	Cultivars []Cultivar
	Plants    []Plant // those on which fruit may still ripen, in the trial's order
	Season    []Day
	ToCome    *ToCome   // of the season; nil without plants
	RipeNow   Range     // ripe fruit on all these plants
	PastRipe  *PastRipe // of the season
	Plan      Plan
	CountNext []CountNext
	Surprises []ripening.Surprise // records that disagree, the most surprising first
	Cold      bool                // fruit hardly ripens at one of the places
	RestsOn   RestsOn
	Warnings  []string
}

// RestsOn is what a forecast was made from.
type RestsOn struct {
	Plants, Visits, Fruits int
	// WeatherDays are the days of readings that the weather ahead rests on, at the place with the fewest and at the one with the most.
	WeatherDays, MostWeatherDays int
}

// Day is the forecast up to the end of one day ahead: Days times 24 hours from AsOf.
type Day struct {
	Days         int
	Mean         float64
	Distribution countdist.Distribution // of fruit newly ripe since AsOf
}

// Interval is the central interval at Level.
func (d *Day) Interval() (low, high int) {
	return d.Distribution.Quantile((1 - Level) / 2), d.Distribution.Quantile((1 + Level) / 2)
}

// Cultivar is one cultivar's part.
type Cultivar struct {
	ID         crop.ID
	Name       string
	Residence  []ripening.Residence
	Observing  ripening.Observing
	NewlyRipe  []Day
	ToCome     *ToCome // nil where none of its plants is in the forecast
	RestsOn    RestsOn
	Earlier    int // seasons that sharpened what was taken for granted
	FromTables bool
	Warnings   []string
}

// Plant is one plant's part.
type Plant struct {
	ID         crop.ID
	Label      string
	CultivarID crop.ID
	Cultivar   string
	NewlyRipe  []Day
	Standing   []ripening.Number // by stage, up to the ripe one, expected now
	RipeNow    Range             // of the last of these
	PastRipe   PastRipe
	ToCome     ToCome
	Effect     ripening.Interval
	LastCount  time.Time
	Warnings   []string
}

// Of makes the forecast.
func Of(m *ripening.Model, o Options) *Forecast {
	f := &Forecast{AsOf: m.AsOf, Days: o.Days, Thermal: m.Clocks.Thermal()}
	weather := weathers(m, o)
	outlooks := m.Outlooks(func(p *ripening.Plant) *ripening.Weather { return weather.of(p) }, func(p *ripening.Plant) float64 { return o.hold(p) })
	var standing []*ripening.Outlook
	for _, x := range outlooks {
		if x != nil {
			standing = append(standing, x)
		}
	}
	f.Plants = make([]Plant, len(standing))
	parallel.Each(len(standing), func(i int) { f.Plants[i] = plant(standing[i], o, m.AsOf) })
	for _, v := range m.Cultivars {
		f.Cultivars = append(f.Cultivars, cultivar(v, of(standing, v), f.Plants, o, m.AsOf))
	}
	season := together(standing)
	f.Season = season.days[:o.Days]
	parts := toComeOf(f.Plants, func(*Plant) bool { return true })
	for i := range f.Cultivars {
		if x := f.Cultivars[i].ToCome; x != nil {
			parts = append(parts, x)
		}
	}
	f.ToCome = toCome(season, parts, &o, m.AsOf)
	f.RestsOn, f.Cold = rests(m, standing, weather), weather.cold
	f.RipeNow = ripeNow(standing...)
	f.PastRipe = pastRipeOf(f.Plants)
	f.Plan = plan(m, standing, f.Plants, o)
	f.CountNext = countNext(f.Plants, standing, m.AsOf)
	f.warn(m, o, weather)
	return f
}

func (o *Options) hold(p *ripening.Plant) float64 {
	switch {
	case o.HoldDays > 0:
		return o.HoldDays
	case p.Records.Cultivar != nil:
		return p.Records.Cultivar.Hold()
	}
	return crop.DefaultHoldDays
}

func of(all []*ripening.Outlook, v *ripening.Cultivar) []*ripening.Outlook {
	var some []*ripening.Outlook
	for _, o := range all {
		if o.Plant.Cultivar == v {
			some = append(some, o)
		}
	}
	return some
}

// toComeOf is what is to come of some of the plants.
func toComeOf(plants []Plant, some func(*Plant) bool) []*ToCome {
	var all []*ToCome
	for i := range plants {
		if p := &plants[i]; some(p) {
			all = append(all, &p.ToCome)
		}
	}
	return all
}

func rests(m *ripening.Model, standing []*ripening.Outlook, w *weatherBook) RestsOn {
	r := RestsOn{Plants: len(standing), WeatherDays: w.fewest, MostWeatherDays: w.most}
	for _, p := range m.Plants {
		r.Visits += p.Visits
		if p.Visits > 0 {
			r.Fruits += p.Book.Totals.SetAtLeast
		}
	}
	return r
}

package forecast_test

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/countdist"
	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/ledger/ledgertest"
)

var (
	here     = crop.ID{0: 0xa}
	outdoors = crop.ID{0: 0xb}
	kind     = crop.ID{0: 0xc}
)

// trialOf makes a trial of one cultivar, each script a plant of it (see package ledgertest); the scale is the first one's.
func trialOf(t testing.TB, scripts ...string) *crop.Trial {
	t.Helper()
	trial := &crop.Trial{
		Change: 1, Season: crop.Season{ID: crop.ID{0: 1}, Name: "a test"}, Cultivars: []crop.Cultivar{{ID: kind, Name: "a cultivar"}},
		Places: []crop.Place{{ID: here, Name: "here", TimeZone: "UTC"}, {ID: outdoors, Name: "outdoors", TimeZone: "Europe/Lisbon"}},
	}
	for i, text := range scripts {
		s, err := ledgertest.Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		r := &s.Records
		if i == 0 {
			scale := *r.Scale
			if scale.ID != crop.DefaultScaleID {
				trial.Cultivars[0].ScaleID = &scale.ID
			}
			trial.Scales = []crop.Scale{scale}
		}
		p := *r.Plant
		p.ID[15], p.SeasonID, p.PlaceID, p.CultivarID = byte(i+1), trial.Season.ID, here, kind
		if i > 0 {
			p.Label += strings.Repeat("'", i)
		}
		trial.Plants = append(trial.Plants, p)
		own := func(id crop.ID) crop.ID { id[14] = byte(i + 1); return id }
		for _, v := range r.Visits {
			v.ID, v.PlantID = own(v.ID), p.ID
			trial.Visits = append(trial.Visits, v)
		}
		for _, x := range r.Pickings {
			x.ID, x.PlantID = own(x.ID), &p.ID
			trial.Pickings = append(trial.Pickings, x)
		}
		for _, x := range r.Losses {
			x.ID, x.PlantID = own(x.ID), &p.ID
			trial.Losses = append(trial.Losses, x)
		}
		for _, x := range r.UnitPickings {
			x.ID, x.Unit = own(x.ID), crop.Unit{PlaceID: &here, CultivarID: &kind}
			trial.Pickings = append(trial.Pickings, x)
		}
	}
	trial.Arrange()
	return trial
}

// warm adds a reading at a place every so often.
func warm(trial *crop.Trial, place crop.ID, from string, days int, every time.Duration, airC func(hour float64) float64) {
	start := instant(from)
	for at := start; at.Before(start.AddDate(0, 0, days)); at = at.Add(every) {
		c := airC(at.Sub(start).Hours())
		trial.Temperatures = append(trial.Temperatures, crop.Temperature{PlaceID: place, MeasuredAt: at, AirC: &c})
	}
	trial.Arrange()
}

func instant(text string) time.Time {
	m, err := ledgertest.Moment(text, time.UTC)
	if err != nil {
		panic(err)
	}
	return m.At
}

// forecastOf is the forecast of a trial from a moment, after all that must hold of any forecast was looked at.
func forecastOf(t testing.TB, trial *crop.Trial, asOf time.Time) *forecast.Forecast {
	t.Helper()
	f := forecast.Of(modelOf(trial.AsOf(asOf), asOf), forecast.Options{Days: forecast.DefaultDays})
	sane(t, f)
	return f
}

// numbersOf is all that a forecast of a season says but its words, times in UTC. Numbers that are none can't be written and fail the test.
func numbersOf(t testing.TB, f *forecast.Forecast) string {
	t.Helper()
	g := *f
	g.Warnings = nil
	g.AsOf = g.AsOf.UTC()
	g.Plants, g.CountNext = slices.Clone(g.Plants), slices.Clone(g.CountNext)
	for i := range g.Plants {
		p := &g.Plants[i]
		p.LastCount, p.ToCome = p.LastCount.UTC(), *inUTC(&p.ToCome)
	}
	g.Cultivars, g.ToCome = slices.Clone(g.Cultivars), inUTC(g.ToCome)
	for i := range g.Cultivars {
		g.Cultivars[i].ToCome = inUTC(g.Cultivars[i].ToCome)
	}
	for i := range g.CountNext {
		g.CountNext[i].LastCount = g.CountNext[i].LastCount.UTC()
	}
	text, err := json.MarshalIndent(&g, "", " ")
	if err != nil {
		t.Fatalf("a forecast that can't be written: %v", err)
	}
	return string(text)
}

func inUTC(c *forecast.ToCome) *forecast.ToCome {
	if c == nil {
		return nil
	}
	u := *c
	for _, by := range []*forecast.RipeBy{&u.First, &u.Half, &u.Most, &u.Last, &u.NextFlush} {
		by.On, by.Low, by.High = by.On.UTC(), by.Low.UTC(), by.High.UTC()
	}
	return &u
}

// sane looks at what must hold whatever the records: every number is one, chances sum to one, intervals are in order, what has ripened by a
// day has by the next, and there is a word about it.
func sane(t testing.TB, f *forecast.Forecast) {
	t.Helper()
	if _, err := json.Marshal(withoutChances(f)); err != nil {
		t.Fatalf("a forecast that can't be written: %v", err)
	}
	if len(f.Warnings) == 0 {
		t.Error("a forecast without a word")
	}
	if len(f.Season) != f.Days {
		t.Errorf("%d days of %d", len(f.Season), f.Days)
	}
	chances := func(what string, d countdist.Distribution) {
		t.Helper()
		sum := 0.0
		for _, p := range d.P {
			if p < 0 {
				t.Errorf("%s: a chance of %v", what, p)
			}
			sum += p
		}
		if !(math.Abs(sum-1) <= 1e-6) || d.Offset < 0 {
			t.Errorf("%s: chances sum to %v from %d on", what, sum, d.Offset)
		}
	}
	days := func(what string, all []forecast.Day) {
		t.Helper()
		for i := range all {
			chances(what, all[i].Distribution)
			if i > 0 && all[i].Distribution.Quantile(0.05) < all[i-1].Distribution.Quantile(0.05) || i > 0 && all[i].Distribution.Quantile(0.5) < all[i-1].Distribution.Quantile(0.5) {
				t.Errorf("%s: fewer ripe by day %d than by the day before", what, i+1)
				break
			}
			if i > 0 && all[i].Mean < all[i-1].Mean-1e-3*(1+all[i].Mean) {
				t.Errorf("%s: %v ripe by day %d, but %v by the next", what, all[i-1].Mean, i, all[i].Mean)
				break
			}
		}
	}
	addsUp := func(what string, whole float64, part func(*forecast.Plant) float64) {
		t.Helper()
		sum := 0.0
		for i := range f.Plants {
			sum += part(&f.Plants[i])
		}
		if math.Abs(sum-whole) > 1e-6*(1+whole) {
			t.Errorf("%s: %v of the season, %v of its plants", what, whole, sum)
		}
	}
	for d := range f.Season {
		addsUp("newly ripe", f.Season[d].Mean, func(p *forecast.Plant) float64 { return p.NewlyRipe[d].Mean })
	}
	if f.ToCome != nil {
		addsUp("to come", f.ToCome.Mean, func(p *forecast.Plant) float64 { return p.ToCome.Mean })
	}
	days("season", f.Season)
	toComeSane(t, "season", f.ToCome, f.Season, f.AsOf)
	if last := f.Season; f.ToCome != nil && f.ToCome.Mean < last[len(last)-1].Mean-1e-6 {
		t.Errorf("%v ripen in %d days, but %v are to come", last[len(last)-1].Mean, len(last), f.ToCome.Mean)
	}
	for i := range f.Plants {
		if p := &f.Plants[i].ToCome; p.Low >= 1 && !f.ToCome.Last.On.IsZero() && (p.Last.On.IsZero() || f.ToCome.Last.On.Before(p.Last.On) || !f.ToCome.Last.High.IsZero() && f.ToCome.Last.High.Before(p.Last.High)) {
			t.Errorf("the season ends by %v, %s by %v", f.ToCome.Last, f.Plants[i].Label, p.Last)
		}
	}
	for i := range f.Cultivars {
		c := &f.Cultivars[i]
		days(c.Name, c.NewlyRipe)
		toComeSane(t, c.Name, c.ToCome, c.NewlyRipe, f.AsOf)
		for _, r := range c.Residence {
			if !(0 < r.MeanDays.Low && r.MeanDays.Low < r.MeanDays.Value && r.MeanDays.Value < r.MeanDays.High) {
				t.Errorf("%s: %s takes %+v days", c.Name, r.From, r.MeanDays)
			}
		}
	}
	for i := range f.Plants {
		p := &f.Plants[i]
		days(p.Label, p.NewlyRipe)
		chances(p.Label+" past ripe", p.PastRipe.Distribution)
		if p.PastRipe.Low > p.PastRipe.High {
			t.Errorf("%s: past ripe %d to %d", p.Label, p.PastRipe.Low, p.PastRipe.High)
		}
		toComeSane(t, p.Label, &p.ToCome, p.NewlyRipe, f.AsOf)
		if all, raised := p.PastRipe.IfComplete(); all.Low < p.PastRipe.Certain || all.Mean < p.PastRipe.Mean-1e-9 || raised != (p.PastRipe.Mean < float64(p.PastRipe.Certain)) {
			t.Errorf("%s: %d certainly past ripe, but %d to %d (mean %v, of the model %v, raised %v)", p.Label, p.PastRipe.Certain, all.Low, all.High, all.Mean, p.PastRipe.Mean, raised)
		}
		for s, n := range p.Standing {
			if n.Variance < 0 || n.Mean < -0.5-math.Sqrt(n.Variance) {
				t.Errorf("%s: %v fruit, variance %v, in stage %d", p.Label, n.Mean, n.Variance, s)
			}
		}
	}
	for _, p := range f.Plan.Picks {
		if !(p.Fruits.Low <= p.Fruits.High) {
			t.Errorf("%s: to pick %+v", p.On, p.Fruits)
		}
		if p.Fruits.Mean < 0.5 || p.LaterCost.Mean < 0 || p.LaterCost.Low > p.LaterCost.High {
			t.Errorf("%s: a picking of %v fruit, of which a day later costs %v", p.On, p.Fruits.Mean, p.LaterCost)
		}
	}
}

func toComeSane(t testing.TB, what string, c *forecast.ToCome, days []forecast.Day, asOf time.Time) {
	t.Helper()
	if c == nil {
		return
	}
	for i := range days {
		on, any := asOf.AddDate(0, 0, i+1), 1-days[i].Distribution.AtMost(0)
		if on.Before(c.First.On) && any > 0.5+1e-9 {
			t.Errorf("%s: the first is ripe by %v, but some are by day %d", what, c.First.On, i+1)
		}
		for _, by := range []forecast.RipeBy{c.First, c.Half, c.Most, c.Last} {
			if by.On.Equal(on) && any < 0.5-1e-9 || !by.Low.IsZero() && by.Low.Before(on.AddDate(0, 0, -1)) && any < 0.05-1e-9 {
				t.Errorf("%s: ripe by %v, from %v, but with a chance of %v any is by day %d", what, by.On, by.Low, any, i+1)
			}
		}
	}
	if c.Low > c.High || c.Low < 0 || c.Mean < 0 {
		t.Errorf("%s: %v to come, between %d and %d", what, c.Mean, c.Low, c.High)
	}
	if d := c.LastDay; d != nil && !(0 <= d.Low && d.Low <= d.High && d.Low <= c.Low && d.High <= c.High && d.Mean <= c.Mean) {
		t.Errorf("%s: %+v of %v to come, between %d and %d", what, d, c.Mean, c.Low, c.High)
	}
	for _, by := range []forecast.RipeBy{c.First, c.Half, c.Most, c.Last, c.NextFlush} {
		if by.Low.IsZero() != by.High.IsZero() || !by.Low.IsZero() && (by.On.Before(by.Low) || by.High.Before(by.On) || by.Low.Before(asOf)) {
			t.Errorf("%s: ripe by %v, between %v and %v", what, by.On, by.Low, by.High)
		}
	}
	for _, x := range [][2]forecast.RipeBy{{c.First, c.Half}, {c.Half, c.Most}, {c.Most, c.Last}} {
		soon, late := x[0], x[1]
		if !late.On.IsZero() && (soon.On.IsZero() || late.On.Before(soon.On)) || !late.Low.IsZero() && (soon.Low.IsZero() || late.Low.Before(soon.Low) || late.High.Before(soon.High)) {
			t.Errorf("%s: the first by %v, half by %v, nine tenths by %v, all by %v", what, c.First, c.Half, c.Most, c.Last)
		}
	}
}

// withoutChances is a forecast without its distributions, which are long where there is much fruit.
func withoutChances(f *forecast.Forecast) *forecast.Forecast {
	days := func(all []forecast.Day) []forecast.Day {
		all = slices.Clone(all)
		for i := range all {
			all[i].Distribution = countdist.Distribution{}
		}
		return all
	}
	g := *f
	g.Season = days(f.Season)
	g.Cultivars, g.Plants = slices.Clone(f.Cultivars), slices.Clone(f.Plants)
	for i := range g.Cultivars {
		g.Cultivars[i].NewlyRipe = days(g.Cultivars[i].NewlyRipe)
	}
	for i := range g.Plants {
		p := &g.Plants[i]
		p.NewlyRipe, p.PastRipe.Distribution = days(p.NewlyRipe), countdist.Distribution{}
	}
	if f.PastRipe != nil {
		past := *f.PastRipe
		past.Distribution = countdist.Distribution{}
		g.PastRipe = &past
	}
	return &g
}

package curve

import (
	"bytes"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/thermal"
)

var warmPlace, coldPlace = crop.ID{0: 5, 15: 1}, crop.ID{0: 5, 15: 2}

// air is hourly readings of a place from sowing on.
func air(place crop.ID, days int, at func(day float64) float64) []crop.Temperature {
	var out []crop.Temperature
	for h := range days*24 + 1 {
		out = append(out, crop.Temperature{PlaceID: place, MeasuredAt: sown.Start(time.UTC).Add(time.Duration(h) * time.Hour), AirC: new(at(float64(h) / 24))})
	}
	return out
}

func constant(airC float64) func(float64) float64 { return func(float64) float64 { return airC } }

// ripened are plants with a count of red every so many days, of forty fruit that turn red around day 60 by the clock of
// the place, logistic with a scale of five such days.
func ripened(rates []float64, place func(plant int) crop.ID) ([]crop.PlantRecords, []ledger.Book) {
	scale := crop.DefaultScale()
	cultivar := &crop.Cultivar{ID: crop.ID{0: 9}, Name: "Testling"}
	var records []crop.PlantRecords
	for i, rate := range rates {
		p := &crop.Plant{ID: crop.ID{0: 1, 15: byte(i + 1)}, Label: string(rune('A' + i)), CultivarID: cultivar.ID, PlaceID: place(i), SownOn: &sown}
		r := crop.PlantRecords{Plant: p, Cultivar: cultivar, Scale: &scale}
		for n := range 30 {
			x := 4 * float64(n)
			red := math.Round(40 / (1 + math.Exp(-(x*rate-60)/5)))
			at := sown.Start(time.UTC).Add(time.Duration(x * float64(day)))
			r.Visits = append(r.Visits, crop.Visit{ID: crop.ID{0: 2, 14: byte(i), 15: byte(n)}, PlantID: p.ID, CountedAt: crop.InstantMoment(at), Counts: map[string]int{"red": int(red)}})
		}
		records = append(records, r)
	}
	return records, books(records)
}

func find(t *testing.T, r Result, scope Scope, plant, stage string) *Curve {
	t.Helper()
	for i := range r.Curves {
		if c := &r.Curves[i]; c.Scope == scope && c.Plant == plant && c.Stage == stage {
			return c
		}
	}
	t.Fatalf("no curve of %s %q at %s; refused: %+v", scope, plant, stage, r.Refused)
	return nil
}

// TestTemperatureExplainsThePlace: two plants in the warm and two in the cold that need the same standard days lie far apart by
// the calendar and together by temperature.
func TestTemperatureExplainsThePlace(t *testing.T) {
	warm, _ := thermal.Growing().At(22)
	cold, _ := thermal.Growing().At(17)
	records, books := ripened([]float64{warm, warm, cold, cold}, func(i int) crop.ID { return []crop.ID{warmPlace, warmPlace, coldPlace, coldPlace}[i] })
	clocks := NewClocks(append(air(warmPlace, 130, constant(22)), air(coldPlace, 130, constant(17))...), places{})
	if k, why := clocks.Preferred(records); why != "" || k.Kind() != ThermalClock {
		t.Fatalf("the readings carry the counts, yet: %s", why)
	}
	byAir, byDate := clocks.Season(records, books, places{}), Season(records, books, places{})
	if byAir.Clock != ThermalClock || byDate.Clock != CalendarClock {
		t.Errorf("the clocks are told as %s and %s", byAir.Clock, byDate.Clock)
	}
	for i, rate := range []float64{warm, warm, cold, cold} {
		c := find(t, byAir, ScopePlant, records[i].Plant.Label, "red")
		if s := c.T50.Standard; s == nil || math.Abs(s.Days-60) > 0.2 || math.Abs(c.T50.Days-60/rate) > 0.3 || s.ClockSE <= 0 {
			t.Errorf("plant %d: %+v, %+v; want 60 standard days, %.1f calendar days", i, c.T50, s, 60/rate)
		} else if *s.Low > s.Days || *s.High < s.Days || *c.T50.Low > c.T50.Days || *c.T50.High < c.T50.Days {
			t.Errorf("plant %d: intervals %v to %v, %v to %v", i, *s.Low, *s.High, *c.T50.Low, *c.T50.High)
		} else if ratio := (*c.T50.High - *c.T50.Low) / (*s.High - *s.Low); math.Abs(ratio*rate-1) > 0.01 {
			t.Errorf("plant %d: the interval is %v times as long by the calendar, want %v", i, ratio, 1/rate)
		}
		own := find(t, byDate, ScopePlant, records[i].Plant.Label, "red")
		if own.T50.Standard != nil || math.Abs(own.T50.Days-c.T50.Days) > 0.2 {
			t.Errorf("plant %d: by the calendar %+v", i, own.T50)
		}
	}
	pooled, pooledByDate := find(t, byAir, ScopeCultivar, "", "red"), find(t, byDate, ScopeCultivar, "", "red")
	if math.Abs(pooled.T50.Standard.Days-60) > 0.2 {
		t.Errorf("pooled: %+v", pooled.T50.Standard)
	}
	if byAir, byDate := *pooled.T50.High-*pooled.T50.Low, *pooledByDate.T50.High-*pooledByDate.T50.Low; byAir > byDate/4 {
		t.Errorf("the interval of the pooled curve is %.1f days by temperature and %.1f by the calendar", byAir, byDate)
	}
}

// TestAMovedPlantsCurve: thirty days in the warm, then the cold; t50 is where both clocks together reach it.
func TestAMovedPlantsCurve(t *testing.T) {
	warm, _ := thermal.Growing().At(24)
	cold, _ := thermal.Growing().At(18)
	records, _ := ripened([]float64{1}, func(int) crop.ID { return warmPlace })
	moved := sown.AddDays(30)
	records[0].Plant.Moves = []crop.Move{{PlaceID: coldPlace, On: moved}}
	for i := range records[0].Visits {
		v := &records[0].Visits[i]
		x := v.CountedAt.At.Sub(sown.Start(time.UTC)).Hours() / 24
		count := warm*math.Min(x, 30) + cold*math.Max(0, x-30)
		v.Counts["red"] = int(math.Round(40 / (1 + math.Exp(-(count-60)/5))))
	}
	clocks := NewClocks(append(air(warmPlace, 130, constant(24)), air(coldPlace, 130, constant(18))...), places{})
	c := find(t, clocks.Plants(records, books(records), places{}), ScopePlant, "A", "red")
	if want := 30 + (60-30*warm)/cold; math.Abs(c.T50.Standard.Days-60) > 0.2 || math.Abs(c.T50.Days-want) > 0.3 {
		t.Errorf("t50 %+v, %+v; want 60 standard days on day %.1f", c.T50, c.T50.Standard, want)
	}
}

// TestClockDoesntDependOnOrderOrZone: readings in another order and zone, given twice, make the same answer.
func TestClockDoesntDependOnOrderOrZone(t *testing.T) {
	records, books := ripened([]float64{1, 0.9}, func(int) crop.ID { return warmPlace })
	readings := air(warmPlace, 130, func(day float64) float64 { return 20 + 4*math.Sin(2*math.Pi*day) })
	want := NewClocks(readings, places{}).Season(records, books, places{})
	other := slices.Concat(readings, readings)
	for i := range other {
		other[i].MeasuredAt = other[i].MeasuredAt.In(time.FixedZone("", -4*3600))
	}
	random := rand.New(rand.NewPCG(2026, 61))
	random.Shuffle(len(other), func(i, j int) { other[i], other[j] = other[j], other[i] })
	if got := NewClocks(other, places{}).Season(records, books, places{}); !bytes.Equal(encode(t, got), encode(t, want)) {
		t.Error("the curves differ")
	}
}

// TestConstantReferenceIsTheCalendar: at 20 °C a standard day is a day.
func TestConstantReferenceIsTheCalendar(t *testing.T) {
	records, _ := grow(grown{plants: 6, visits: 24, fruit: 40}, rand.New(rand.NewPCG(2026, 62)))
	for i := range records {
		records[i].Plant.PlaceID = warmPlace
	}
	want := Season(records, books(records), places{})
	got := NewClocks(air(warmPlace, 140, constant(thermal.ReferenceC)), places{}).Season(records, books(records), places{})
	if len(got.Curves) != len(want.Curves) {
		t.Fatalf("%d curves by temperature, %d by the calendar", len(got.Curves), len(want.Curves))
	}
	for i := range want.Curves {
		a, b := want.Curves[i].T50, got.Curves[i].T50
		if (a == nil) != (b == nil) {
			t.Errorf("curve %d: %+v and %+v", i, a, b)
		} else if a != nil && (math.Abs(a.Days-b.Standard.Days) > 1e-4 || math.Abs(*a.Low-*b.Standard.Low) > 1e-3) {
			t.Errorf("curve %d: %v from %v by the calendar, %v from %v by temperature", i, a.Days, *a.Low, b.Standard.Days, *b.Standard.Low)
		}
	}
}

// every keeps each nth reading.
func every(n int, all []crop.Temperature) (out []crop.Temperature) {
	for i := 0; i < len(all); i += n {
		out = append(out, all[i])
	}
	return out
}

// without leaves out the readings between two days.
func without(from, to int, all []crop.Temperature) []crop.Temperature {
	return slices.DeleteFunc(all, func(r crop.Temperature) bool {
		return r.MeasuredAt.After(sown.AddDays(from).Start(time.UTC)) && r.MeasuredAt.Before(sown.AddDays(to).Start(time.UTC))
	})
}

// TestWhenReadingsDontCarry: which clock is taken, and what is said.
func TestWhenReadingsDontCarry(t *testing.T) {
	records, books := ripened([]float64{1}, func(int) crop.ID { return warmPlace })
	short := air(warmPlace, 130, constant(21))
	short = slices.DeleteFunc(short, func(r crop.Temperature) bool {
		return r.MeasuredAt.After(sown.AddDays(60).Start(time.UTC))
	})
	for _, c := range []struct {
		name     string
		readings []crop.Temperature
		kind     ClockKind
		words    string
	}{
		{"none", nil, CalendarClock, "no temperature readings of these places"},
		{"one", air(warmPlace, 0, constant(21))[:1], CalendarClock, "it takes two temperature readings"},
		{"in °F", air(warmPlace, 130, constant(72)), CalendarClock, "of 3121 temperature readings 3121 can't be used (3121 not the air around a plant; they have to be of the air, in °C)"},
		{"of a logger that is broken, and of another place", append(air(warmPlace, 130, constant(-127)), air(coldPlace, 130, constant(21))...), CalendarClock, "for one plant"},
		{"another place's", air(coldPlace, 130, constant(21)), CalendarClock, "for one plant temperature readings cover less than four fifths"},
		{"half of the time", short, CalendarClock, "for one plant"},
		{"its two ends", []crop.Temperature{air(warmPlace, 0, constant(21))[0], air(warmPlace, 130, constant(21))[130*24]}, CalendarClock, "for one plant"},
		{"once a day", every(24, air(warmPlace, 130, constant(21))), CalendarClock, "for one plant"},
		{"every six hours", every(6, air(warmPlace, 130, constant(21))), ThermalClock, ""},
		{"all but a fortnight", without(10, 24, air(warmPlace, 130, constant(21))), ThermalClock, ""},
		{"all but five weeks", without(10, 45, air(warmPlace, 130, constant(21))), CalendarClock, "for one plant"},
		{"all of it", air(warmPlace, 130, constant(21)), ThermalClock, ""},
	} {
		got, why := NewClocks(c.readings, places{}).Preferred(records)
		if got.Kind() != c.kind || !strings.Contains(why, c.words) || (c.words == "") != (why == "") {
			t.Errorf("%s: %s clock, %q", c.name, got.Kind(), why)
		}
	}
	// A place without a clock is told of where another has one.
	broken := NewClocks(append(air(warmPlace, 10, constant(-127)), air(coldPlace, 130, constant(21))...), places{})
	if told := strings.Join(broken.Describe(), " "); !strings.Contains(told, "241 temperature readings are left out of the clock: 241 sensor fault") {
		t.Errorf("the broken logger isn't told of: %s", told)
	}
	// Asked for all the same, the curve says what was assumed.
	faulty := append(short, crop.Temperature{PlaceID: warmPlace, MeasuredAt: sown.Start(time.UTC).Add(90 * time.Minute), AirC: new(-127.0)})
	forced := NewClocks(faulty, places{})
	c := find(t, forced.Season(records, books, places{}), ScopePlant, "A", "red")
	if !slices.ContainsFunc(c.Warnings, func(w string) bool {
		return strings.HasPrefix(w, "Of the time counted by temperature 56 days lie before the first reading")
	}) {
		t.Errorf("warnings %q don't tell of the 56 days after the last reading", c.Warnings)
	}
	if told := strings.Join(forced.Describe(), " "); !strings.Contains(told, "1 temperature reading is left out of the clock: 1 sensor fault") {
		t.Errorf("the fault isn't told: %s", told)
	}
}

// TestCurveByHand: by a thermometer that is read in the morning and in the afternoon t50 is nearly that of a logger, and how its gaps were
// filled is said as it was.
func TestCurveByHand(t *testing.T) {
	records, books := ripened([]float64{1, 1, 1, 1}, func(int) crop.ID { return warmPlace })
	logger := air(warmPlace, 140, func(day float64) float64 { return 23 + math.Sin(day/3) + 3*math.Sin(2*math.Pi*(day-0.4)) })
	var byHand []crop.Temperature
	for i, r := range logger {
		if h := i % 24; h == 7 || h == 15 {
			byHand = append(byHand, r)
		}
	}
	of := func(readings []crop.Temperature) *Curve {
		k, why := NewClocks(readings, places{}).Preferred(records)
		if k.Kind() != ThermalClock {
			t.Fatal(why)
		}
		return find(t, k.Season(records, books, places{}), ScopeCultivar, "", "red")
	}
	a, b := of(logger), of(byHand)
	if math.Abs(a.T50.Days-b.T50.Days) > 0.2 || math.Abs(a.T50.Standard.Days/b.T50.Standard.Days-1) > 0.08 {
		t.Errorf("t50 on day %.2f (%.1f standard days) by a logger, %.2f (%.1f) by hand", a.T50.Days, a.T50.Standard.Days, b.T50.Days, b.T50.Standard.Days)
	}
	if words := strings.Join(b.Warnings, " "); !strings.Contains(words, "or evenly where it has too few of those") || !strings.Contains(words, "by a few readings a day") {
		t.Errorf("how the gaps were filled isn't said: %q", words)
	}
}

// TestWhenUndoesMean: the instant of a count is the first minute that has it, within the readings and outside them, and over nights
// without any growth.
func TestWhenUndoesMean(t *testing.T) {
	records, _ := ripened([]float64{1, 1}, func(i int) crop.ID { return []crop.ID{warmPlace, coldPlace}[i] })
	readings := append(air(warmPlace, 130, func(day float64) float64 { return 21 + 5*math.Sin(2*math.Pi*day) }),
		air(coldPlace, 130, func(day float64) float64 { return 6 + 5*math.Sin(2*math.Pi*day) })...)
	origin := sown.Start(time.UTC)
	var members []plantBook
	for i := range records {
		members = append(members, plantBook{records: &records[i]})
	}
	for _, who := range [][]plantBook{members, members[:1], members[1:]} {
		clock := NewClocks(readings, places{}).timeline(who)
		for _, x := range []float64{-30, -0.5, 0, 1e-9, 0.3, 7, 33.3, 61.7, 150, 400} {
			at := clock.when(origin, x)
			count, _ := clock.mean(origin, at)
			before, _ := clock.mean(origin, at.Add(-time.Minute))
			if count < x || before >= x {
				t.Errorf("of %d plants: %v is reached at %v, where %v has been counted, and %v a minute before", len(who), x, at, count, before)
			}
		}
	}
}

package germination

import (
	"math"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}

// TestWorkedExample is the worked check of mean germination time in trade-facts 7, after the formula of Ranal and Santana (2006).
func TestWorkedExample(t *testing.T) {
	var counts []Count
	for i, n := range []float64{0, 0, 3, 9, 17, 11, 5, 2, 1} {
		counts = append(counts, Count{float64(4 + i), n})
	}
	x := Of(counts, 50)
	near(t, "mean time", *x.MeanTime, 8.333, 0.0005)
	near(t, "standard deviation", math.Sqrt(*x.Variance), 1.310, 0.0005)
	near(t, "standard error", *x.MeanTimeSE, 0.189, 0.0005)
}

// TestPublishedTable: the rows of Harrington and Minges (1954) come out, and nothing outside them.
func TestPublishedTable(t *testing.T) {
	for _, row := range [][3]float64{{10, 43, 82}, {15, 14, 98}, {20, 8, 98}, {25, 6, 97}, {30, 6, 83}, {35, 9, 46}} {
		p, ok := PublishedAt(row[0])
		if !ok || p.Days != row[1] || p.NormalPercent != row[2] {
			t.Errorf("at %v °C: %+v, %v", row[0], p, ok)
		}
	}
	for _, c := range []float64{5, 9.9, 35.1, 40, math.NaN()} {
		if p, ok := PublishedAt(c); ok {
			t.Errorf("at %v °C: %+v, want none", c, p)
		}
	}
}

var sown = crop.Date{Year: 2026, Month: 3, Day: 1}

// lotOf is a trial with one lot, counted so on days from sowing.
func lotOf(seeds int, dayAndTotal ...int) *crop.Trial {
	t := &crop.Trial{Cultivars: []crop.Cultivar{{ID: crop.ID{1}, Name: "Testling"}}, Places: []crop.Place{{ID: crop.ID{2}, Name: "shelf", TimeZone: "UTC"}}}
	for i := 0; i < len(dayAndTotal); i += 2 {
		on := sown.AddDays(dayAndTotal[i])
		t.Germination = append(t.Germination, crop.Germination{CultivarID: crop.ID{1}, Lot: "T-1", SownOn: &sown, Seeds: &seeds, CountedOn: &on, Emerged: &dayAndTotal[i+1]})
	}
	t.Arrange()
	return t
}

func one(t *testing.T, trial *crop.Trial) Lot {
	t.Helper()
	lots := Lots(trial)
	if len(lots) != 1 {
		t.Fatalf("got %d lots, want 1", len(lots))
	}
	return lots[0]
}

func warned(l Lot, words string) bool { return strings.Contains(strings.Join(l.Warnings, "\n"), words) }

func TestLot(t *testing.T) {
	trial := lotOf(12, 4, 0, 6, 3, 7, 9, 16, 11)
	l := one(t, trial)
	if l.Emerged != 11 || l.Late == nil || *l.Late != 2 {
		t.Errorf("emerged %d, late %v; want 11 and 2", l.Emerged, l.Late)
	}
	// Wilson for 11 of 12 at 90 %: by the formula, with z = 1.6449.
	near(t, "low", l.Interval.Low, 0.6988, 0.0001)
	near(t, "high", l.Interval.High, 0.9812, 0.0001)
	near(t, "mean time", *l.Indices.MeanTime, (3*6+6*7+2*16)/11.0, 1e-12)
	near(t, "mean time at least", l.MeanBetween.Low, (3*4+6*6+2*7)/11.0, 1e-12)
	if l.HalfBetween.Low != 6 || l.HalfBetween.High != 7 {
		t.Errorf("half came up between days %v and %v, want 6 and 7", l.HalfBetween.Low, l.HalfBetween.High)
	}
	near(t, "expected of three seeds", l.Spots[2].Expected, 33.0/12, 1e-12)
	near(t, "chance of none of two", l.Spots[1].Empty, 1/144.0, 1e-12)
}

func TestLotsAsTheyAre(t *testing.T) {
	if l := one(t, lotOf(12, 4, 3, 6, 8, 8, 7)); l.Emerged != 8 || !warned(l, "the larger number stands") {
		t.Errorf("a total that falls: emerged %d, warnings %q", l.Emerged, l.Warnings)
	}
	if l := one(t, lotOf(12, 4, 0, 20, 0)); l.MeanBetween != nil || l.Indices.MeanTime != nil || l.Share != 0 || l.Interval.Low != 0 {
		t.Errorf("nothing came up: %+v", l)
	}
	if l := one(t, lotOf(12, 0, 0, 4, 2)); l.Indices.MeanTime == nil || math.IsInf(l.Indices.Maguire, 0) || l.Late != nil || !warned(l, "may still come up") {
		t.Errorf("counted on the day of sowing, and not to the end: %+v", l)
	}
	more := lotOf(20, 6, 15, 8, 10)
	less := 10
	more.Germination[1].Seeds = &less
	if l := one(t, more); l.Known || l.Spots != nil || !warned(l, "can't be told") {
		t.Errorf("more seedlings than seeds: %+v", l)
	}
	later := lotOf(12, 7, 9, 4, 0, 6, 3)
	if l := one(t, later); l.Emerged != 9 || len(l.Warnings) != 2 {
		t.Errorf("counts out of order: emerged %d, %q", l.Emerged, l.Warnings)
	}
	if got := Lots(&crop.Trial{}); len(got) != 0 {
		t.Errorf("no records: %v", got)
	}
}

func TestRaisedAndWarm(t *testing.T) {
	trial := lotOf(12, 4, 0, 6, 3, 8, 10, 16, 10)
	transplanted := sown.AddDays(20)
	for i := range 4 {
		p := crop.Plant{ID: crop.ID{3, byte(i)}, CultivarID: crop.ID{1}, PlaceID: crop.ID{2}, Label: string(rune('A' + i)), Lot: "T-1", SownOn: &sown}
		if i > 0 {
			p.TransplantedOn = &transplanted
		}
		trial.Plants = append(trial.Plants, p)
	}
	for h := range 8 * 24 {
		c := 18.0
		if h%24 >= 12 {
			c = 22
		}
		trial.Temperatures = append(trial.Temperatures, crop.Temperature{PlaceID: crop.ID{2}, MeasuredAt: sown.Start(time.UTC).Add(time.Duration(h) * time.Hour), AirC: &c})
	}
	trial.Arrange()
	l := one(t, trial)
	if l.Plants != 4 || l.Transplanted != 3 || *l.NotRaised != 6 {
		t.Errorf("plants %d, transplanted %d, not raised %v; want 4, 3 and 6", l.Plants, l.Transplanted, l.NotRaised)
	}
	near(t, "air", *l.AirC, 20, 1e-9)
	near(t, "published days", l.Published.Days, 8, 1e-9)
}

// TestAirByHand: who reads the lowest and the highest temperature of each day gets the published table too; a day's readings of a logger in
// a stretch of twelve don't tell what the seed had.
func TestAirByHand(t *testing.T) {
	read := func(hours ...int) Lot {
		trial := lotOf(12, 4, 0, 6, 3, 8, 10, 12, 11)
		trial.Plants = []crop.Plant{{ID: crop.ID{3}, CultivarID: crop.ID{1}, PlaceID: crop.ID{2}, Label: "A", SownOn: &sown}}
		for _, h := range hours {
			c := 18.0
			if h%24 >= 12 {
				c = 22
			}
			trial.Temperatures = append(trial.Temperatures, crop.Temperature{PlaceID: crop.ID{2}, MeasuredAt: sown.Start(time.UTC).Add(time.Duration(h) * time.Hour), AirC: &c})
		}
		trial.Arrange()
		return one(t, trial)
	}
	var byHand, oneDay []int
	for day := range 12 {
		byHand = append(byHand, 24*day+6, 24*day+15)
	}
	for h := range 30 {
		oneDay = append(oneDay, 48+h)
	}
	l := read(byHand...)
	if l.AirC == nil || l.Published == nil {
		t.Fatalf("24 readings by hand: %q", l.Warnings)
	}
	near(t, "air", *l.AirC, 20, 0.1)
	if l := read(oneDay...); l.AirC != nil || !warned(l, "cover 10 % of the time") {
		t.Errorf("30 readings of one day: %v, %q", l.AirC, l.Warnings)
	}
	if l := read(); l.AirC != nil || !warned(l, "cover 0 % of the time") {
		t.Errorf("no readings: %v, %q", l.AirC, l.Warnings)
	}
}

// TestAirIsThatOfTime: what can't be air is left out and said, a logger that writes more often by day than by night makes the days no longer,
// and a repeated reading counts once. 18 °C for the twelve hours of the night and 22 °C for those of the day are 20 °C, by hand.
func TestAirIsThatOfTime(t *testing.T) {
	trial := lotOf(12, 4, 0, 6, 3, 8, 10, 16, 10)
	trial.Plants = []crop.Plant{{ID: crop.ID{3}, CultivarID: crop.ID{1}, PlaceID: crop.ID{2}, Label: "A", SownOn: &sown}}
	read := func(minute int, c float64) {
		at := sown.Start(time.UTC).Add(time.Duration(minute) * time.Minute)
		trial.Temperatures = append(trial.Temperatures, crop.Temperature{PlaceID: crop.ID{2}, MeasuredAt: at, AirC: &c})
	}
	for day := range 9 {
		for minute := 0; minute < 24*60; minute += 10 {
			switch night := minute < 12*60; {
			case night && minute%60 == 0:
				read(day*24*60+minute, 18)
			case !night:
				read(day*24*60+minute, 22)
			}
		}
		read(day*24*60+35, -127)
	}
	read(60, 18)
	trial.Arrange()
	l := one(t, trial)
	near(t, "air", *l.AirC, 20, 0.1)
	if want := "9 of 766 temperature readings"; !strings.Contains(strings.Join(l.Warnings, " "), want) {
		t.Errorf("got warnings %q, want %q", l.Warnings, want)
	}
}

package forecast_test

import (
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
)

// TestBacklog: of much fruit that hangs too long already all is picked at once, and it makes nobody pick every day thereafter.
func TestBacklog(t *testing.T) {
	const red = `
		count 2026-03-01T09:00:00Z green=20 breaker=1 turning=1 red=4
		count 2026-03-08T09:00:00Z green=18 breaker=1 turning=1 red=6
		count 2026-03-15T09:00:00Z green=16 breaker=1 turning=1 red=8
		count 2026-03-22T09:00:00Z green=14 breaker=1 turning=1 red=10`
	asOf := instant("2026-03-24T09:00:00Z")
	f := forecastOf(t, trialOf(t, red, red), asOf)
	if f.PastRipe.Mean < 5 {
		t.Fatalf("%.1f past ripe, so there is no backlog", f.PastRipe.Mean)
	}
	picks := f.Plan.Picks
	if len(picks) < 2 || len(picks) > 6 || picks[0].On != crop.DateOf(asOf) {
		t.Errorf("%d picking days in two weeks from %s: %+v", len(picks), asOf, picks)
	}
}

// TestTreatedBacklog: of a plant that mayn't be picked for a while, what hangs too long by then is picked on the first day on which it may,
// and makes nobody pick every day thereafter.
func TestTreatedBacklog(t *testing.T) {
	trial := trialOf(t, `count 2026-03-24T08:00:00Z green=10 breaker=3 turning=2 red=4`)
	asOf := instant("2026-03-24T09:00:00Z")
	today := crop.DateOf(asOf)
	may := today.AddDays(6)
	o := forecast.Options{Days: 14, Pick: forecast.PickOptions{Blocked: map[crop.ID]crop.Date{trial.Plants[0].ID: may}}}
	f := forecast.Of(modelOf(trial.AsOf(asOf), asOf), o)
	sane(t, f)
	picks := f.Plan.Picks
	if len(picks) == 0 || len(picks) > 2 || picks[0].On != may {
		t.Errorf("it may be picked from %s on; planned are %+v", may, picks)
	}
	if len(f.Plan.Warnings) != 1 {
		t.Errorf("warnings %q", f.Plan.Warnings)
	}
}

// TestWhatCanWait: a picking is planned only where it can't wait until after the plan's days, so that none is put on the last of them for want of
// a later one.
func TestWhatCanWait(t *testing.T) {
	trial := trialOf(t, `count 2026-03-24T08:00:00Z green=0 breaker=0 turning=6 red=0`)
	asOf := instant("2026-03-24T09:00:00Z") // a Tuesday
	m := modelOf(trial.AsOf(asOf), asOf)
	for _, c := range []struct {
		what     string
		hold     float64
		days     int
		weekdays []time.Weekday
		from, to int // days ahead of the first picking, 0 for none
	}{
		{what: "all of it can wait", hold: 60, days: 14},
		{what: "what ripens in three days can hang for seven", hold: 7, days: 3},
		{what: "the first ripens tomorrow", hold: 7, days: 14, from: 7, to: 12},
		{what: "it can't wait for the Tuesday after", hold: 1, days: 14, weekdays: []time.Weekday{time.Tuesday}, from: 7, to: 7},
		{what: "on the last day, and it can't wait for the Tuesday after", hold: 1, days: 7, weekdays: []time.Weekday{time.Tuesday}, from: 7, to: 7},
	} {
		f := forecast.Of(m, forecast.Options{Days: c.days, HoldDays: c.hold, Pick: forecast.PickOptions{Weekdays: c.weekdays}})
		sane(t, f)
		if c.to == 0 {
			if len(f.Plan.Picks) > 0 || !f.Plan.Waits {
				t.Errorf("%s: planned are %+v, waits %v", c.what, f.Plan.Picks, f.Plan.Waits)
			}
			continue
		}
		if len(f.Plan.Picks) == 0 {
			t.Errorf("%s: nothing is planned", c.what)
		} else if ahead := f.Plan.Picks[0].On.DaysSince(crop.DateOf(asOf)); ahead < c.from || ahead > c.to {
			t.Errorf("%s: the first picking is in %d days, want %d to %d", c.what, ahead, c.from, c.to)
		}
	}
}

// TestPartOfAFruit: where no ripe fruit was counted, the part of one that may have been overlooked for long makes nobody walk today, unless none is tolerated.
func TestPartOfAFruit(t *testing.T) {
	const none = `
		count 2026-03-02T09:00:00Z green=14 breaker=3 turning=5 red=3
		pick 2026-03-02T09:00:00Z red 3
		count 2026-03-11T09:00:00Z green=12 breaker=1 turning=2 red=8
		pick 2026-03-11T09:00:00Z red 8
		count 2026-03-20T09:00:00Z green=8 breaker=2 turning=3 red=0`
	asOf := instant("2026-03-20T10:00:00Z")
	m := modelOf(trialOf(t, none, none, none).AsOf(asOf), asOf)
	first := func(tolerated float64) int {
		f := forecast.Of(m, forecast.Options{Days: 14, Pick: forecast.PickOptions{Tolerated: tolerated}})
		sane(t, f)
		if ripe := f.RipeNow; ripe.Mean < 0.5 || ripe.Mean > 3 || f.PastRipe.Mean < 0.05*ripe.Mean {
			t.Fatalf("%+v ripe, %v of it too long: the case tries nothing", ripe, f.PastRipe.Mean)
		}
		return f.Plan.Picks[0].On.DaysSince(crop.DateOf(asOf))
	}
	if days := first(forecast.DefaultTolerated); days == 0 {
		t.Error("somebody is to walk today for a part of a fruit")
	}
	if days := first(1e-9); days != 0 {
		t.Errorf("where none is tolerated the first picking is in %d days", days)
	}
}

// TestPlanEndsWithSeason: where the season ends within the plan's days, what is ripe by its last day is picked by then, on a weekday on which that is
// possible, and nothing later.
func TestPlanEndsWithSeason(t *testing.T) {
	trial := trialOf(t, `count 2026-03-24T08:00:00Z green=20 breaker=6 turning=6 red=0`)
	asOf := instant("2026-03-24T09:00:00Z") // a Tuesday
	m := modelOf(trial.AsOf(asOf), asOf)
	for _, c := range []struct {
		last     int // days ahead
		weekdays []time.Weekday
		on       int // the last picking; −1 for none
	}{{last: 9, on: 9}, {last: 9, weekdays: []time.Weekday{time.Monday}, on: 6}, {last: 5, weekdays: []time.Weekday{time.Monday}, on: -1}, {last: 0, on: -1}, {last: 60}} {
		last := crop.DateOf(asOf).AddDays(c.last)
		f := forecast.Of(m, forecast.Options{Days: 28, HoldDays: 60, LastDay: &last, Pick: forecast.PickOptions{Weekdays: c.weekdays}})
		sane(t, f)
		picks := f.Plan.Picks
		ends := c.last <= forecast.PlanDays
		if ends != (len(f.Plan.Warnings) == 1) || f.Plan.Waits == ends {
			t.Errorf("the season ends in %d days: waits %v, warnings %q", c.last, f.Plan.Waits, f.Plan.Warnings)
		}
		switch {
		case !ends: // all can wait
			if len(picks) > 0 {
				t.Errorf("the season ends in %d days: %+v", c.last, picks)
			}
		case c.on < 0:
			if len(picks) > 0 {
				t.Errorf("the season ends in %d days: %+v", c.last, picks)
			}
		case len(picks) == 0 || picks[len(picks)-1].On != crop.DateOf(asOf).AddDays(c.on):
			t.Errorf("the season ends in %d days: %+v, want the last picking in %d days", c.last, picks, c.on)
		}
	}
}

// TestPlanHasNoDayLeft: where the season ends before a day on which picking is possible, the plan doesn't say that there is nothing to pick, but that no
// day is left for what hangs; a season whose last day has passed ends no plan; and plants that mayn't be picked any more are told as such.
func TestPlanHasNoDayLeft(t *testing.T) {
	trial := trialOf(t, `count 2026-03-24T08:00:00Z green=20 breaker=6 turning=6 red=8`)
	day := func(asOf time.Time, ahead int) *crop.Date { return new(crop.DateOf(asOf).AddDays(ahead)) }
	noon, night := instant("2026-03-24T12:00:00Z"), instant("2026-03-24T23:30:00Z") // a Tuesday
	plant := trial.Plants[0].ID
	for _, c := range []struct {
		what string
		asOf time.Time
		o    forecast.Options
		none string // what is said where nothing is planned
	}{
		{"the last evening", night, forecast.Options{LastDay: day(night, 0)}, "No day of picking is left before the season ends on 24 Mar 2026"},
		{"no such weekday", noon, forecast.Options{LastDay: day(noon, 4), Pick: forecast.PickOptions{Weekdays: []time.Weekday{time.Monday}}}, "No day of picking is left before the season ends on 28 Mar 2026"},
		{"treated beyond the end", noon, forecast.Options{LastDay: day(noon, 3), Pick: forecast.PickOptions{Blocked: map[crop.ID]crop.Date{plant: *day(noon, 6)}}}, "No plant may be picked in the days up to the season's last, 27 Mar 2026."},
		{"over for long", noon, forecast.Options{LastDay: day(noon, -9)}, ""},
	} {
		c.o.Days = 14
		f := forecast.Of(modelOf(trial.AsOf(c.asOf), c.asOf), c.o)
		sane(t, f)
		switch {
		case c.none == "":
			if len(f.Plan.Picks) < 2 || f.Plan.SeasonEnds != nil || f.Plan.EndWords() != "" {
				t.Errorf("%s: %+v", c.what, f.Plan)
			}
		case len(f.Plan.Picks) > 0 || !strings.Contains(f.Plan.None(), c.none):
			t.Errorf("%s: %+v, %q, want %q", c.what, f.Plan.Picks, f.Plan.None(), c.none)
		}
	}
	f := forecast.Of(modelOf(trial.AsOf(noon), noon), forecast.Options{Days: 14, LastDay: day(noon, 6), Pick: forecast.PickOptions{Weekdays: []time.Weekday{time.Thursday}}})
	if len(f.Plan.Picks) != 1 || !strings.Contains(f.Plan.EndWords(), "Fruit that becomes ripe after the last picking is left.") {
		t.Errorf("picked on a Thursday of a season that ends on the Monday after: %+v, %q", f.Plan.Picks, f.Plan.EndWords())
	}
}

// TestPlanAtNight: nobody is sent picking on a day that is all but over, which a report of a day's end speaks of.
func TestPlanAtNight(t *testing.T) {
	trial := trialOf(t, `count 2026-03-24T08:00:00Z green=20 breaker=6 turning=6 red=8`)
	for at, ahead := range map[string]int{"2026-03-24T20:00:00Z": 0, "2026-03-24T23:30:00Z": 1} {
		asOf := instant(at)
		f := forecast.Of(modelOf(trial.AsOf(asOf), asOf), forecast.Options{Days: 14, HoldDays: 1})
		if picks := f.Plan.Picks; len(picks) == 0 || picks[0].On != crop.DateOf(asOf).AddDays(ahead) {
			t.Errorf("as of %s: %+v, want the first picking in %d days", at, picks, ahead)
		}
	}
}

// TestPlanDoesNotDenyRipeFruit: where the forecast doesn't believe in ripe fruit that was counted, the plan says so instead of that there is nothing to
// pick; and it doesn't expect more of few fruit than there are.
func TestPlanDoesNotDenyRipeFruit(t *testing.T) {
	trial := trialOf(t, "count 2026-02-10 green=20 breaker=0 turning=0 red=0\ncount 2026-02-20 green=18 breaker=2 turning=0 red=0\ncount 2026-02-28 green=14 breaker=0 turning=2 red=4")
	for i := range trial.Plants {
		trial.Plants[i].SownOn = &crop.Date{Year: 2025, Month: 12, Day: 20}
	}
	asOf := instant("2026-02-28T20:00:00Z")
	f := forecastOf(t, trial, asOf)
	if plan := &f.Plan; len(plan.Picks) == 0 && (!plan.Unbelieved || !strings.Contains(plan.None(), "Ripe fruit was counted")) {
		t.Errorf("4 red fruit were counted, and it says %q", plan.None())
	}
	few := forecastOf(t, trialOf(t, "count 2026-03-01 green=0 breaker=0 turning=1 red=0"), instant("2026-03-01T20:00:00Z"))
	for _, p := range few.Plan.Picks {
		if p.Fruits.High > few.RipeNow.High+float64(few.ToCome.High) {
			t.Errorf("%v to %v are to be picked of %d to %d to come", p.Fruits.Low, p.Fruits.High, few.ToCome.Low, few.ToCome.High)
		}
	}
}

// TestNoPickingDay: where the user picks on none of the plan's days, that is said instead of that nothing has to be picked.
func TestNoPickingDay(t *testing.T) {
	trial, asOf := trialOf(t, "count 2026-03-02 green=20 breaker=4 turning=6 red=12"), instant("2026-03-02T20:00:00Z") // a Monday
	m := modelOf(trial.AsOf(asOf), asOf)
	for days, want := range map[int]bool{2: true, 3: false, 14: false} {
		plan := forecast.Of(m, forecast.Options{Days: days, Pick: forecast.PickOptions{Weekdays: []time.Weekday{time.Thursday}}}).Plan
		if got := len(plan.Picks) == 0 && strings.Contains(plan.None(), "None of the weekdays on which you pick"); got != want {
			t.Errorf("%d days: %d pickings, %q", days, len(plan.Picks), plan.None())
		}
	}
}

package forecast_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/ripening"
)

// everyWeek is a season of counts a week apart, each by the number of the week from 0.
func everyWeek(weeks int, count func(week int) string) string {
	var b strings.Builder
	for w := range weeks {
		fmt.Fprintf(&b, "count %s %s\n", instant("2026-04-03T18:00:00Z").AddDate(0, 0, 7*w).Format(time.RFC3339), count(w))
	}
	return b.String()
}

func usual(w int) string {
	return fmt.Sprintf("green=%d breaker=%d turning=%d red=%d", max(0, 30-2*w), min(w, 2), min(w, 3), min(w/2, 4))
}

const (
	sixClasses = "scale green breakers turning pink light_red red\n"
	twoStages  = "scale unripe red\n"
	beyondRipe = "scale green breaker turning red soft wrinkled ripe=red\n"
)

func manyStages() string {
	var b strings.Builder
	b.WriteString("scale")
	for s := range 24 {
		fmt.Fprintf(&b, " s%d", s)
	}
	return b.String() + "\n"
}

// degenerate are records that say little, nothing or nonsense, each with a word that the forecast must say if it isn't "".
var degenerate = map[string]struct {
	scripts []string
	asOf    string // the Friday eight weeks in if ""
	say     string
}{
	"nothing":          {scripts: []string{""}, say: "One count of a plant by stage is enough to begin."},
	"only green fruit": {scripts: []string{everyWeek(4, func(w int) string { return fmt.Sprintf("green=%d breaker=0 turning=0 red=0", 5*w) })}, say: "published"},
	"one visit":        {scripts: []string{"count 2026-05-20T18:00:00Z green=12 breaker=2 turning=1 red=1"}, say: "published"},
	"everything ripe":  {scripts: []string{everyWeek(4, func(int) string { return "green=0 breaker=0 turning=0 red=20" })}},
	"all zeros":        {scripts: []string{everyWeek(6, func(int) string { return "green=0 breaker=0 turning=0 red=0" })}},
	"contradictory": {scripts: []string{everyWeek(8, func(w int) string {
		return fmt.Sprintf("green=%d breaker=%d turning=0 red=%d", 50*(w%2), 30*((w+1)%2), 9-w)
	})}, say: "counted where about"},
	"ripe fruit turned green": {scripts: []string{everyWeek(2, func(w int) string { return fmt.Sprintf("green=%d breaker=0 turning=0 red=%d", 40*w, 40-40*w) })}, say: "counted where about"},
	"2,000 fruit":             {scripts: []string{everyWeek(8, func(w int) string { return fmt.Sprintf("green=%d breaker=50 turning=100 red=%d", 2000-200*w, 50*w) })}},
	"100,000 fruit": {scripts: []string{everyWeek(8, func(w int) string {
		return fmt.Sprintf("green=%d breaker=5000 turning=10000 red=%d", 85000-8000*w, 8000*w)
	})}},
	"100,000, then none":         {scripts: []string{everyWeek(2, func(w int) string { return fmt.Sprintf("green=%d breaker=0 turning=0 red=0", 100000*(1-w)) })}},
	"one picking and no count":   {scripts: []string{"pick 2026-05-20 red 4"}, say: "One count of a plant by stage is enough to begin."},
	"counts years apart":         {scripts: []string{"count 2023-05-20 green=12 red=1\ncount 2026-05-20 green=3 breaker=1 turning=1 red=0"}},
	"ten visits in an hour":      {scripts: []string{tenInAnHour()}},
	"dates only":                 {scripts: []string{"count 2026-05-13 green=12 breaker=1 turning=1 red=0\npick 2026-05-20 red 1\ncount 2026-05-20 green=10 breaker=1 turning=1 red=1"}},
	"totals alone":               {scripts: []string{everyWeek(8, func(w int) string { return fmt.Sprintf("total=%d", 40-w) })}},
	"a total of zero":            {scripts: []string{"count 2026-05-20 total=0"}},
	"at least":                   {scripts: []string{everyWeek(8, func(w int) string { return fmt.Sprintf("green=%d red=1 at_least", 20-w) })}},
	"a glance":                   {scripts: []string{everyWeek(8, func(w int) string { return fmt.Sprintf("green=%d red=1 about", 20-w) })}},
	"some trusses":               {scripts: []string{everyWeek(8, func(w int) string { return usual(w) + " trusses=2/6" })}},
	"some of unknown trusses":    {scripts: []string{everyWeek(8, func(w int) string { return usual(w) + " trusses=2" })}},
	"no truss":                   {scripts: []string{everyWeek(8, func(int) string { return "green=0 breaker=0 turning=0 red=0 trusses=0/6" })}},
	"one truss":                  {scripts: []string{everyWeek(8, func(w int) string { return usual(w) + " truss=1" })}},
	"one stage":                  {scripts: []string{everyWeek(8, func(w int) string { return fmt.Sprintf("red=%d", w) })}},
	"unit pickings":              {scripts: []string{everyWeek(8, usual) + "unit pick 2026-05-08 red 40\nunit pick 2026-05-16 red ?", everyWeek(8, usual)}},
	"weighed, not counted":       {scripts: []string{everyWeek(8, usual) + "pick 2026-05-08 red ?\npick 2026-05-16 green ?"}},
	"picked more than stood":     {scripts: []string{everyWeek(4, usual) + "pick 2026-04-25 red 90\nloss 2026-04-25 green 500 thinned"}},
	"removed":                    {scripts: []string{"plant A1 removed=2026-05-20\n" + everyWeek(7, usual)}, say: "all plants have been removed"},
	"removed, and counted later": {scripts: []string{"plant A1 removed=2026-05-20\n" + everyWeek(8, usual)}},
	"one removed":                {scripts: []string{"plant A1 removed=2026-05-20\n" + everyWeek(8, usual), everyWeek(8, usual)}},
	"six classes": {scripts: []string{sixClasses + everyWeek(8, func(w int) string {
		return fmt.Sprintf("green=%d breakers=1 turning=1 pink=2 light_red=1 red=%d", 20-2*w, w)
	})}},
	"two stages":                 {scripts: []string{twoStages + everyWeek(8, func(w int) string { return fmt.Sprintf("unripe=%d red=%d", 20-2*w, 2*w) })}},
	"stages after ripe":          {scripts: []string{beyondRipe + everyWeek(8, func(w int) string { return usual(w) + fmt.Sprintf(" soft=%d wrinkled=%d", w/2, w/3) })}},
	"24 stages":                  {scripts: []string{manyStages() + everyWeek(8, everyStage)}},
	"24 stages, of which one":    {scripts: []string{manyStages() + everyWeek(8, func(w int) string { return fmt.Sprintf("s%d=%d", w, w) })}},
	"before the first count":     {scripts: []string{everyWeek(8, usual)}, asOf: "2026-03-01T00:00:00Z", say: "One count of a plant by stage is enough to begin."},
	"the moment of a count":      {scripts: []string{everyWeek(8, usual)}, asOf: "2026-04-03T18:00:00Z"},
	"years after the last count": {scripts: []string{everyWeek(8, usual)}, asOf: "2031-03-01T00:00:00Z", say: "for more than 60 days nothing was recorded"},
}

func tenInAnHour() string {
	var b strings.Builder
	for i := range 10 {
		fmt.Fprintf(&b, "count 2026-05-20T18:%02d:00Z green=%d breaker=2 turning=1 red=1\n", 6*i, 12+i%3)
	}
	return b.String()
}

func everyStage(w int) string {
	var b strings.Builder
	for s := range 24 {
		fmt.Fprintf(&b, "s%d=%d ", s, max(0, 3+w-s)/2)
	}
	return b.String()
}

// airs are readings of temperature, good and bad.
var airs = map[string]func(trial *crop.Trial){
	"without readings": func(*crop.Trial) {},
	"at 21 °C": func(t *crop.Trial) {
		warm(t, here, "2026-02-01T00:00:00Z", 120, time.Hour, func(float64) float64 { return 21 })
	},
	"broken logger": func(t *crop.Trial) {
		warm(t, here, "2026-02-01T00:00:00Z", 120, time.Hour, func(float64) float64 { return -127 })
	},
	"one reading": func(t *crop.Trial) {
		warm(t, here, "2026-05-20T00:00:00Z", 1, 24*time.Hour, func(float64) float64 { return 1000 })
	},
	"frost and desert": func(t *crop.Trial) {
		warm(t, here, "2026-02-01T00:00:00Z", 120, time.Hour, func(h float64) float64 { return []float64{-2, 45}[int(h)/24%2] })
	},
	"moved outdoors": func(t *crop.Trial) {
		for i := range t.Plants {
			t.Plants[i].Moves = []crop.Move{{PlaceID: outdoors, On: crop.DateOf(instant("2026-04-20T00:00:00Z"))}, {PlaceID: here, On: crop.DateOf(instant("2026-05-02T00:00:00Z"))}}
		}
		warm(t, outdoors, "2026-04-18T00:00:00Z", 20, time.Hour, func(float64) float64 { return 15 })
	},
}

// TestDegenerate: whatever the records, there is a forecast in numbers and words. What must hold of any is looked at by forecastOf.
func TestDegenerate(t *testing.T) {
	inAnyAir := []string{"one visit", "contradictory", "dates only", "stages after ripe", "counts years apart", "years after the last count"}
	for name, d := range degenerate {
		for air, readings := range airs {
			if air != "without readings" && !slices.Contains(inAnyAir, name) {
				continue
			}
			t.Run(name+", "+air, func(t *testing.T) {
				trial := trialOf(t, d.scripts...)
				readings(trial)
				asOf := instant("2026-05-29T20:00:00Z")
				if d.asOf != "" {
					asOf = instant(d.asOf)
				}
				f := forecastOf(t, trial, asOf)
				if words := strings.Join(f.Warnings, "\n"); d.say != "" && air == "without readings" && !strings.Contains(words, d.say) {
					t.Errorf("nothing of %q is said, but\n%s", d.say, words)
				}
				for i := range f.Plants {
					if p := &f.Plants[i]; !strings.Contains(name, "fruit") && !strings.Contains(name, "100,000") && p.NewlyRipe[13].Mean > 120 {
						t.Errorf("%s: %v fruit are to ripen in a fortnight", p.Label, p.NewlyRipe[13].Mean)
					}
				}
			})
		}
	}
}

// TestNothingToRipen: where all fruit is known to be picked and none was seen to set lately, hardly any is expected.
func TestNothingToRipen(t *testing.T) {
	trial := trialOf(t, everyWeek(7, usual)+everyWeekFrom(7, 12, func(int) string { return "green=0 breaker=0 turning=0 red=0" }))
	f := forecastOf(t, trial, instant("2026-06-20T20:00:00Z"))
	if n := f.Season[13].Mean; n > 1 {
		t.Errorf("%v fruit are to ripen on a bare plant", n)
	}
}

func everyWeekFrom(first, last int, count func(week int) string) string {
	lines := strings.SplitAfter(everyWeek(last, count), "\n")
	return strings.Join(lines[first:], "")
}

// TestOptions: what the user says is taken, and said.
func TestOptions(t *testing.T) {
	trial := trialOf(t, everyWeek(8, usual))
	asOf := instant("2026-05-29T20:00:00Z")
	m := modelOf(trial.AsOf(asOf), asOf)
	means := map[float64]float64{}
	for _, airC := range []float64{-30, 0, 14, 20, 25, 60} {
		f := forecast.Of(m, forecast.Options{Days: 14, AirC: &airC})
		sane(t, f)
		means[airC] = f.Season[13].Mean
		if !strings.Contains(strings.Join(f.Warnings, "\n"), fmt.Sprintf("%g °C", airC)) {
			t.Errorf("a forecast at %v °C doesn't say so", airC)
		}
	}
	if !(means[0] < means[14] && means[14] < means[20] && means[20] < means[25]) {
		t.Errorf("more is to ripen where it is warmer: %v", means)
	}
	for _, hold := range []float64{1, 3, 7, 13, 1000} {
		sane(t, forecast.Of(m, forecast.Options{Days: 14, HoldDays: hold}))
	}
	for _, weekdays := range [][]time.Weekday{{time.Sunday}, {time.Monday, time.Thursday}} {
		f := forecast.Of(m, forecast.Options{Days: 14, Pick: forecast.PickOptions{Weekdays: weekdays, Tolerated: 1e-9}})
		sane(t, f)
		for _, p := range f.Plan.Picks {
			day := p.On.Noon(time.UTC).Weekday()
			if day != weekdays[0] && day != weekdays[len(weekdays)-1] {
				t.Errorf("%s is a %s, asked were %v", p.On, day, weekdays)
			}
		}
	}
}

// TestFirstCount: however much fruit a plant has, after its first count about as much is thought to stand as was counted, stage by stage, and
// nobody is told that the count was unexpected.
func TestFirstCount(t *testing.T) {
	for _, counted := range [][4]int{{0, 0, 0, 0}, {3, 0, 0, 0}, {12, 2, 1, 1}, {60, 5, 3, 8}, {343, 4, 0, 0}, {0, 0, 0, 40}, {0, 30, 0, 0}, {2000, 100, 150, 200}, {100_000, 0, 0, 100_000}} {
		trial := trialOf(t, fmt.Sprintf("count 2026-05-20T18:00:00Z green=%d breaker=%d turning=%d red=%d", counted[0], counted[1], counted[2], counted[3]))
		f := forecastOf(t, trial, instant("2026-05-20T20:00:00Z"))
		total := 0.0
		for _, n := range counted {
			total += float64(n)
		}
		for s, n := range f.Plants[0].Standing {
			// 4 % of green fruit are taken to be overlooked and 5 % to be called a neighbouring colour, either way, give or take as much again
			if want := float64(counted[s]); math.Abs(n.Mean-want) > 2+0.1*total {
				t.Errorf("%v counted: %.1f are thought to stand in stage %d", counted, n.Mean, s)
			}
		}
		if words := strings.Join(f.Warnings, "\n"); strings.Contains(words, "were expected") {
			t.Errorf("%v counted, at first: %s", counted, words)
		}
	}
}

// TestSownLate: of a plant that has coloured fruit 47 days after the day on record as that of sowing, the fruit are believed and not the day.
func TestSownLate(t *testing.T) {
	trial := trialOf(t, "count 2026-05-20T18:00:00Z green=9 breaker=2 turning=2 red=3")
	sown := crop.DateOf(instant("2026-04-03T12:00:00Z"))
	trial.Plants[0].SownOn = &sown
	f := forecastOf(t, trial, instant("2026-05-20T20:00:00Z"))
	standing := 0.0
	for _, n := range f.Plants[0].Standing {
		standing += n.Mean
	}
	if math.Abs(standing-16) > 3 {
		t.Errorf("16 were counted, %.1f are thought to stand", standing)
	}
	if soon := f.Plants[0].NewlyRipe[6].Mean; soon < 2 {
		t.Errorf("2 breakers and 2 turning ones: %.1f are expected to be ripe within a week", soon)
	}
}

// TestSownAndMistaken: a green fruit or two once taken for breakers is no proof against the day of sowing. If it were, fruit would be taken to have set long before
// the plant flowered, and that they haven't coloured would tell of long ripening.
func TestSownAndMistaken(t *testing.T) {
	takes := func(mistaken string) ripening.Interval {
		var script strings.Builder
		day := instant("2026-04-10T18:00:00Z")
		for i, green := range []int{0, 0, 0, 2, 5, 8, 10, 12, 14, 15} {
			breaker := ""
			if i == 6 {
				breaker = mistaken
			}
			fmt.Fprintf(&script, "count %s green=%d%s breaker=0 turning=0 red=0\n", day.AddDate(0, 0, 3*i).Format(time.RFC3339), green, breaker)
		}
		text := strings.ReplaceAll(script.String(), " breaker=2 breaker=0", " breaker=2")
		trial := trialOf(t, text)
		sown := crop.DateOf(day.AddDate(0, 0, -40))
		trial.Plants[0].SownOn = &sown
		return forecastOf(t, trial, day.AddDate(0, 0, 28)).Cultivars[0].Residence[0].MeanDays
	}
	without, with := takes(""), takes(" breaker=2")
	if math.Abs(with.Value/without.Value-1) > 0.03 {
		t.Errorf("green fruit is thought to take %+v days, but %+v if two were taken for breakers", without, with)
	}
}

// TestBareStaysBare: on a plant that was counted to bear nothing, no fruit is thought to have coloured a week later.
func TestBareStaysBare(t *testing.T) {
	weeks := []string{"green=4 breaker=0 turning=0 red=0", "green=8 breaker=0 turning=0 red=0", "green=12 breaker=0 turning=0 red=0", "green=12 breaker=0 turning=0 red=0",
		"green=10 breaker=2 turning=0 red=0", "green=5 breaker=3 turning=2 red=2", "green=1 breaker=2 turning=2 red=5", "green=0 breaker=0 turning=0 red=3", "green=0 breaker=0 turning=0 red=0"}
	script := everyWeek(len(weeks), func(week int) string { return weeks[week] }) +
		"pick 2026-05-08T19:00:00Z red 2\npick 2026-05-15T19:00:00Z red 5\npick 2026-05-22T19:00:00Z red 3\n"
	for _, at := range []string{"2026-05-29T19:00:00Z", "2026-06-05T19:00:00Z", "2026-06-12T19:00:00Z"} {
		p := forecastOf(t, trialOf(t, script), instant(at)).Plants[0]
		if coloured := p.Standing[1].Mean + p.Standing[2].Mean + p.Standing[3].Mean; coloured > 0.2 || p.NewlyRipe[13].Mean > 0.2 {
			t.Errorf("%s: %.2f coloured fruit are thought to hang where none hung on 29 May, and %.2f to be ripe in a fortnight", at, coloured, p.NewlyRipe[13].Mean)
		}
	}
}

// TestLeftOut: a forecast says which standing plants aren't in it, and why.
func TestLeftOut(t *testing.T) {
	counted, old := "count 2026-05-20T18:00:00Z green=20 breaker=3 turning=2 red=1", "count 2026-03-01T18:00:00Z green=20 breaker=3 turning=2 red=1"
	f := forecastOf(t, trialOf(t, counted, "", old), instant("2026-05-20T20:00:00Z"))
	words := strings.Join(f.Warnings, "\n")
	never, silent := f.Plants[0].Label+"'.", f.Plants[0].Label+"''."
	for _, want := range []string{"because never counted: " + never, "for more than 60 days nothing was recorded of it: " + silent} {
		if !strings.Contains(words, want) {
			t.Errorf("%q isn't told in\n%s", want, words)
		}
	}
	if all := forecastOf(t, trialOf(t, counted), instant("2026-05-20T20:00:00Z")); strings.Contains(strings.Join(all.Warnings, " "), "Not in the forecast") {
		t.Errorf("every plant is in it, and yet: %q", all.Warnings)
	}
}

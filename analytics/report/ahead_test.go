package report_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

// withoutAhead is the answer but for what it says of days to come, which tests of their own look at.
func withoutAhead(r *report.Season) []report.Statement {
	return slices.DeleteFunc(slices.Clone(r.Answer), func(s report.Statement) bool {
		return strings.Contains(s.Text, " more will be ripe") || strings.Contains(s.Text, "more fruit is expected to be ripe") || strings.Contains(s.Text, " more of what has set will ripen (") || strings.Contains(s.Text, " to come will be ripe by the season's end, ") || strings.HasPrefix(s.Text, "Pick ") || strings.HasPrefix(s.Text, "Nothing has to be picked")
	})
}

// TestForecastWordsAgree holds what a report says of the days ahead against its own numbers, at several moments of the demo.
func TestForecastWordsAgree(t *testing.T) {
	for name, trial := range demoseasons.Load(t) {
		last := trial.LastRecord()
		for _, back := range []int{0, 21, 40, 62} {
			r := report.Of(trial, report.Options{AsOf: last.AddDate(0, 0, -back)})
			what := fmt.Sprintf("%s, %d days back", name, back)
			if !r.Ahead.Coming() {
				if r.RipeSentence() != "" || r.PickSentence() != "" || len(withoutAhead(r)) != len(r.Answer) {
					t.Errorf("%s: nothing is forecast, and the answer says\n%s", what, text(r.Answer))
				}
				continue
			}
			days, words := r.RipeByDay(), r.RipeSentence()
			for i, d := range days {
				q := d.Quantiles
				if d.Days != i+1 || q.Low > q.LowerQuartile || q.LowerQuartile > q.Median || q.Median > q.UpperQuartile || q.UpperQuartile > q.High {
					t.Errorf("%s: day %d is %+v", what, i+1, d)
				}
				if i > 0 && (d.Mean < days[i-1].Mean-0.05 || q.High < days[i-1].Quantiles.High) {
					t.Errorf("%s: fewer fruit are ripe after %d days than a day before", what, d.Days)
				}
			}
			named := 0
			for _, n := range report.NamedDays {
				d := days[n-1]
				want := fmt.Sprintf("%s about %s", report.Weekday(r.DayAhead(n)), report.Rounded(d.Mean, 0))
				if !strings.Contains(words, want) {
					continue
				}
				named++
				if between := fmt.Sprintf("%d to %d", d.Quantiles.Low, d.Quantiles.High); !strings.Contains(words, between) {
					t.Errorf("%s: %q doesn't say %s of day %d", what, words, between, n)
				}
			}
			if named == 0 && days[len(days)-1].Quantiles.High > 0 {
				t.Errorf("%s: %q names no day with its number", what, words)
			}
			for _, p := range r.Picks() {
				if want := fmt.Sprintf("%s (", report.Weekday(p.On)); !strings.Contains(r.PickSentence(), want) {
					t.Errorf("%s: %q leaves out %s", what, r.PickSentence(), p.On)
				}
			}
			if len(withoutAhead(r)) == len(r.Answer) {
				t.Errorf("%s: the answer doesn't look ahead:\n%s", what, text(r.Answer))
			}
		}
	}
}

// TestPlantForecastIsTheSeasons: a plant's report has the very forecast that the season's has of it.
func TestPlantForecastIsTheSeasons(t *testing.T) {
	trial := demoseasons.Load(t)[demoseasons.Winter]
	asOf := time.Date(2026, 2, 8, 20, 0, 0, 0, time.UTC)
	season := report.Of(trial, report.Options{AsOf: asOf})
	if len(season.PlantsAhead()) < 2 {
		t.Fatal("too few plants are forecast to say anything")
	}
	for _, p := range season.PlantsAhead() {
		one, err := report.OfPlant(trial, p.ID, report.Options{AsOf: asOf})
		if err != nil {
			t.Fatal(err)
		}
		days := one.RipeByDay()
		for i, n := range report.NamedDays {
			if days[n-1] != p.By[i] {
				t.Errorf("%s in %d days: %+v, by the season's report %+v", p.Label, n, days[n-1], p.By[i])
			}
		}
		for _, pick := range season.Picks() {
			named := slices.Contains(pick.Plants, p.Label)
			if said := strings.Contains(one.PickSentence(), report.Weekday(pick.On)); said != named {
				t.Errorf("%s: the season's plan picks it on %s: %v, its own report says so: %v", p.Label, pick.On, named, said)
			}
		}
	}
}

// TestTreatedIsSaid: a plant that was treated is named with the day on which it may be picked again, and no plan picks it before.
func TestTreatedIsSaid(t *testing.T) {
	trial := demoseasons.Load(t)[demoseasons.Winter]
	asOf := time.Date(2026, 2, 8, 20, 0, 0, 0, time.UTC)
	i := slices.IndexFunc(trial.Plants, func(p crop.Plant) bool { return p.Label == "B2" })
	until := crop.Date{Year: 2026, Month: 2, Day: 19}
	trial.Diary = append(slices.Clone(trial.Diary), crop.DiaryEntry{ID: crop.ID{99}, SeasonID: trial.Season.ID, PlantID: &trial.Plants[i].ID,
		NotedAt: crop.InstantMoment(asOf.AddDate(0, 0, -1)), Kind: "treated", PickNotBefore: &until})
	trial.Arrange()
	r := report.Of(trial, report.Options{AsOf: asOf})
	if want := "B2 was treated: don't pick it before Thursday 19 Feb."; !strings.Contains(text(r.Answer), want) {
		t.Errorf("the answer doesn't say %q:\n%s", want, text(r.Answer))
	}
	later := false
	for _, p := range r.Picks() {
		if slices.Contains(p.Plants, "B2") {
			later = true
			if p.On.Before(until) {
				t.Errorf("B2 is to be picked on %s, before %s", p.On, until)
			}
		}
	}
	if !later {
		t.Error("B2 is never to be picked again")
	}
}

// TestLargeSeasonSaysWhy: a season too large to be forecast while somebody waits says so once, and one that is over doesn't.
func TestLargeSeasonSaysWhy(t *testing.T) {
	trial := largeSeason(250)
	r := report.Of(trial, report.Options{})
	if r.Ahead.Coming() || r.Ahead.Why == "" || !slices.Contains(r.Warnings, r.Ahead.Why) {
		t.Errorf("why is %q, the warnings are %q", r.Ahead.Why, r.Warnings)
	}
	trial.Season.LastDay = &crop.Date{Year: 2026, Month: 5, Day: 1}
	if r := report.Of(trial, report.Options{}); r.Ahead.Why != "" {
		t.Errorf("of a season that is over it says %q", r.Ahead.Why)
	}
}

// TestPastRipeIsNoLessThanCertain: where counts jump from green to red within a week, the model expects fewer past ripe than are certain if the records are
// complete. The report tells no fewer than these, of each plant and of all, and says of which plants that is so.
func TestPastRipeIsNoLessThanCertain(t *testing.T) {
	trial := bed("A1", "A2")
	for i := range trial.Plants {
		counted(trial, i, 1, 9, 0, 0, 0)
		counted(trial, i, 8, 4, 0, 0, 5-2*i)
		counted(trial, i, 20, 2, 1, 1, 5-2*i)
	}
	trial.Arrange()
	r := report.Of(trial, report.Options{})
	fewer := r.FewerExpectedSentence()
	sum := 0
	for i := range r.Plants {
		p := &r.Plants[i]
		x, raised := r.ExpectedPastRipe(&p.Records.Plant.ID)
		if p.PastRipe.Certain == 0 || x == nil || x.Certain != p.PastRipe.Certain || x.Low < x.Certain || x.Mean < float64(x.Certain) {
			t.Fatalf("%s: %d certain, expected %+v", p.Book.Plant, p.PastRipe.Certain, x)
		}
		if !raised || !strings.Contains(fewer, p.Book.Plant) {
			t.Errorf("%s isn't named by %q", p.Book.Plant, fewer)
		}
		sum += x.Low
	}
	if x, raised := r.ExpectedPastRipe(nil); !raised || x.Low < sum || x.Certain != r.PastRipe.Certain {
		t.Errorf("of all plants %+v, of each at least %d in all", x, sum)
	}
}

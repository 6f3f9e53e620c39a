package report_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

func text(statements []report.Statement) string {
	parts := make([]string, len(statements))
	for i, s := range statements {
		parts[i] = s.Text
	}
	return strings.Join(parts, "\n")
}

// TestWordsAgreeWithNumbers holds the answer in words against the numbers of the same report, at several moments.
func TestWordsAgreeWithNumbers(t *testing.T) {
	for name, trial := range demoseasons.Load(t) {
		last := trial.LastRecord()
		for _, back := range []int{0, 20, 45, 80} {
			t.Run(fmt.Sprintf("%s, %d days back", name, back), func(t *testing.T) {
				r := report.Of(trial, report.Options{AsOf: last.AddDate(0, 0, -back)})
				// One fruit has, was and stands; the wanted words are the plural.
				words := "\n" + strings.NewReplacer(" has ", " have ", " was ", " were ", " stands ", " stand ").Replace(text(r.Answer))
				var want []string
				if n := r.Totals.Standing; n != nil && *n > 0 {
					want = append(want, fmt.Sprintf("%d fruit stand", *n))
				}
				if r.Yield.Fruits > 0 {
					want = append(want, fmt.Sprintf("%d fruit have been picked", r.Yield.Fruits))
				}
				if r.Totals.Lost > 0 {
					want = append(want, fmt.Sprintf("%d fruit were lost", r.Totals.Lost))
				}
				if r.PastRipe.Certain > 0 {
					want = append(want, fmt.Sprintf("At least %d fruit have hung", r.PastRipe.Certain))
				}
				if r.Totals.Contradictions > 0 {
					want = append(want, fmt.Sprintf("Records disagree in %d place", r.Totals.Contradictions))
				}
				for _, w := range want {
					if !strings.Contains(words, "\n"+w) {
						t.Errorf("no statement of the answer begins with %q:\n%s", w, words)
					}
				}
			})
		}
	}
}

// TestSumsHold checks that the season's sums are those of its plants, and that no plant holds more fruit than it set.
func TestSumsHold(t *testing.T) {
	for name, trial := range demoseasons.Load(t) {
		r := report.Of(trial, report.Options{})
		wantClosed(t, name, r)
		if r.Totals.Balance == nil {
			t.Errorf("%s: the account of the season isn't known", name)
		}
		picked, lost, certain := r.Yield.Unattributed.Fruits, 0, 0
		for _, p := range r.Plants {
			b := p.Book.Totals
			if out := b.StandingAtLeast + b.Picked + b.Lost - b.TakenInDoubt; out > b.SetAtLeast {
				t.Errorf("%s, %s: standing, picked and lost are %d, more than the %d set", name, p.Book.Plant, out, b.SetAtLeast)
			}
			if p.Tally.Fruits != b.Picked {
				t.Errorf("%s, %s: the tally has %d picked, the ledger %d", name, p.Book.Plant, p.Tally.Fruits, b.Picked)
			}
			picked, lost, certain = picked+b.Picked, lost+b.Lost, certain+p.PastRipe.Certain
		}
		if picked != r.Yield.Fruits || lost != r.Totals.Lost+r.Totals.Cleared || certain != r.PastRipe.Certain {
			t.Errorf("%s: over plants %d picked, %d lost, %d past ripe; the season has %d, %d, %d", name, picked, lost, certain,
				r.Yield.Fruits, r.Totals.Lost+r.Totals.Cleared, r.PastRipe.Certain)
		}
		last := 0
		for _, s := range r.Standing {
			for _, n := range s.Days[len(s.Days)-1].ByStage {
				if n != nil {
					last += *n
				}
			}
		}
		if r.Totals.Standing == nil || last < *r.Totals.Standing {
			t.Errorf("%s: the last day of the standing fruit sums to %d, the season stands at %v", name, last, r.Totals.Standing)
		}
	}
}

// wantClosed checks that the season's account closes and that its parts are the report's own numbers.
func wantClosed(t *testing.T, what string, r *report.Season) {
	t.Helper()
	b, total := r.Totals.Balance, r.Totals
	if b == nil {
		return
	}
	if b.EverReached != b.Standing+b.Picked+b.Lost+b.Unaccounted+b.LeftAtRemoval {
		t.Errorf("%s: the account doesn't close: %+v", what, *b)
	}
	uncounted := 0 // picked and lost of plants that were never counted
	for _, p := range r.Plants {
		if len(p.Book.Visits) == 0 {
			uncounted += p.Book.Totals.Picked + p.Book.Totals.Lost
		}
	}
	taken := r.Yield.Fruits - r.Yield.Unattributed.Fruits + total.Lost + total.Cleared - uncounted
	if total.Standing == nil || b.Standing != *total.Standing || b.LeftAtRemoval != total.Left || b.Unaccounted != total.Missing || b.Picked+b.Lost != taken {
		t.Errorf("%s: the account is %+v; the report has %v standing, %d taken, %d left, %d missing", what, *b, total.Standing, taken, total.Left, total.Missing)
	}
}

// TestPlantAgreesWithSeason checks that a plant's report and its line of the season's report are the same numbers.
func TestPlantAgreesWithSeason(t *testing.T) {
	for name, trial := range demoseasons.Load(t) {
		season := report.Of(trial, report.Options{NoForecast: true})
		for _, p := range season.Plants {
			one, err := report.OfPlant(trial, p.Records.Plant.ID, report.Options{NoForecast: true})
			if err != nil {
				t.Fatal(err)
			}
			if a, b := asJSON(t, p.Book), asJSON(t, one.Plant.Book); a != b {
				t.Errorf("%s, %s: the ledger differs between the two reports", name, p.Book.Plant)
			}
			if a, b := asJSON(t, p.PastRipe), asJSON(t, one.Plant.PastRipe); a != b {
				t.Errorf("%s, %s: past ripe differs: %s and %s", name, p.Book.Plant, a, b)
			}
			if one.Yield.Tally != p.Tally {
				t.Errorf("%s, %s: picked %+v and %+v", name, p.Book.Plant, one.Yield.Tally, p.Tally)
			}
		}
	}
	if _, err := report.OfPlant(&crop.Trial{}, crop.ID{1}, report.Options{}); crop.CodeOf(err) != crop.NotFound {
		t.Errorf("unknown plant: got %v, want not_found", err)
	}
}

func asJSON(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err) // NaN and infinities end here
	}
	return string(b)
}

// TestLaterRecordsChangeNothing checks that a report as of a moment is the report of the records up to then.
func TestLaterRecordsChangeNothing(t *testing.T) {
	for name, trial := range demoseasons.Load(t) {
		asOf := trial.LastRecord().AddDate(0, 0, -25)
		cut := trial.AsOf(asOf)
		a, b := report.Of(trial, report.Options{AsOf: asOf}), report.Of(cut, report.Options{AsOf: asOf})
		if x, y := asJSON(t, a), asJSON(t, b); x != y {
			t.Errorf("%s: records after %s change the report", name, asOf)
		}
	}
}

// TestSmallSeasons checks that seasons with next to nothing are answered in words.
func TestSmallSeasons(t *testing.T) {
	at := time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC)
	sown := crop.Date{Year: 2026, Month: time.March, Day: 1}
	base := func() *crop.Trial {
		return &crop.Trial{Season: crop.Season{ID: crop.ID{1}, Name: "Small"}, Scales: []crop.Scale{crop.DefaultScale()},
			Places: []crop.Place{{ID: crop.ID{2}, Name: "Sill"}}, Cultivars: []crop.Cultivar{{ID: crop.ID{3}, Name: "Pip"}},
			Plants: []crop.Plant{{ID: crop.ID{4}, SeasonID: crop.ID{1}, PlaceID: crop.ID{2}, CultivarID: crop.ID{3}, Label: "A1", SownOn: &sown}}}
	}
	plant := crop.ID{4}
	for name, c := range map[string]struct {
		change func(*crop.Trial)
		want   string
	}{
		"no plants":           {func(t *crop.Trial) { t.Plants = nil }, "Nothing has been counted or picked yet"},
		"one plant, no count": {func(*crop.Trial) {}, "Nothing has been counted or picked yet"},
		"one count of nothing": {func(t *crop.Trial) {
			t.Visits = []crop.Visit{visit(at, map[string]int{"green": 0, "breaker": 0, "turning": 0, "red": 0})}
		}, "No fruit stands on the plant."},
		"one count": {func(t *crop.Trial) {
			t.Visits = []crop.Visit{visit(at, map[string]int{"green": 7, "breaker": 1, "turning": 0, "red": 2})}
		}, "10 fruit stand on the plant, 2 of them ripe."},
		"a given-up count": {func(t *crop.Trial) {
			v := visit(at, map[string]int{"green": 50})
			v.AtLeast = true
			t.Visits = []crop.Visit{v}
		}, "At least 50 fruit stand on the plant"},
		"one picking and no count": {func(t *crop.Trial) {
			t.Pickings = []crop.Picking{{ID: crop.ID{9}, PlantID: &plant, PickedAt: crop.InstantMoment(at), Stage: "red", Fruits: new(3), Grade: crop.Marketable}}
		}, "3 fruit have been picked; none were weighed."},
	} {
		t.Run(name, func(t *testing.T) {
			trial := base()
			c.change(trial)
			trial.Arrange()
			r := report.Of(trial, report.Options{})
			if !strings.Contains(text(r.Answer), c.want) {
				t.Errorf("the answer is\n%s\nwant %q", text(r.Answer), c.want)
			}
			asJSON(t, r)
			if len(trial.Plants) > 0 {
				if _, err := report.OfPlant(trial, plant, report.Options{}); err != nil {
					t.Error(err)
				}
			}
		})
	}
}

func visit(at time.Time, counts map[string]int) crop.Visit {
	return crop.Visit{ID: crop.ID{8}, PlantID: crop.ID{4}, CountedAt: crop.InstantMoment(at), Counts: counts}
}

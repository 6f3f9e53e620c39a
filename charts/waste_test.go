package charts

import (
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
)

// wastedTrial is an invented plant whose sums can be worked by hand: 4 red fruit of 40 g and 6 of 72 g, a red cull of 9 g, 2 red dropped, 1 green
// thinned, 3 turning of 27 g; and more red marketable fruit that nobody weighed.
func wastedTrial(unweighed int) *crop.Trial {
	t := smallTrial()
	t.Visits, t.Pickings, t.Losses = nil, nil, nil
	at := func(day int) crop.Moment { return crop.InstantMoment(time.Date(2026, 5, day, 9, 30, 0, 0, time.UTC)) }
	pick := func(day, fruits int, stage string, grade crop.Grade, g float64) {
		p := crop.Picking{ID: crop.ID{9, byte(len(t.Pickings))}, PlantID: &crop.ID{5}, PickedAt: at(day), Stage: stage, Fruits: &fruits, Grade: grade}
		if g > 0 {
			p.MassG = &g
		}
		t.Pickings = append(t.Pickings, p)
	}
	lose := func(day, fruits int, stage string, cause crop.Cause) {
		t.Losses = append(t.Losses, crop.Loss{ID: crop.ID{10, byte(len(t.Losses))}, PlantID: &crop.ID{5}, LostAt: at(day), Stage: stage, Fruits: &fruits, Cause: cause})
	}
	pick(4, 4, "red", crop.Marketable, 40) // a Monday
	pick(5, 6, "red", crop.Marketable, 72)
	pick(5, 1, "red", crop.Cull, 9)
	pick(6, 3, "turning", crop.Marketable, 27)
	if unweighed > 0 {
		pick(6, unweighed, "red", crop.Marketable, 0)
	}
	lose(6, 2, "red", crop.Dropped)
	lose(6, 1, "green", crop.Thinned)
	t.Arrange()
	return t
}

// TestWasteByHand: 4 + 6 + 1 red fruit were picked and 2 dropped, so 13 ripened and 3 of them (23 %) are wasted. The two dropped are taken for
// 2·11.2 = 22.4 g with variance 2·9.6 + 4·9.6/10 = 23.04 (as in yield's tests), so ± 6.314·4.8 = 30.3 g by Student's t with one degree of
// freedom, and not below 0. What A2 had when it was removed isn't known, since nobody counted it.
func TestWasteByHand(t *testing.T) {
	p := SeasonPage(report.Of(wastedTrial(0), report.Options{NoForecast: true}), ReportLinks{})
	s := section(t, p, "Waste, by cultivar")
	if want := "Of the 13 fruit that ripened, 3 (23 %) were wasted"; !strings.HasPrefix(s.Sentence, want) {
		t.Errorf("the sentence is %q, want it to begin %q", s.Sentence, want)
	}
	if got, want := strings.SplitN(rows(s), "\n", 2)[0], "Pip | 2 | 13 | 2 | ≈ 22 (0 – 53) | 1 | 3 | 23 | 3 | not known | 0 | 0"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestValueByHand: 40 + 72 + 27 = 139 g are marketable, worth 0.56 at 4 a kilogram. Ten more red fruit come to 112 g with variance 192 (as in
// yield's tests): 251 ± 6.314·13.86 = 163.5 to 338.5 g, worth 0.65 to 1.35.
func TestValueByHand(t *testing.T) {
	for unweighed, want := range map[int]string{
		0:  "At 4 a kilogram the marketable fruit is worth 0.56.",
		10: "At 4 a kilogram the marketable fruit is worth 1.00 (90 % interval 0.65 to 1.35).",
	} {
		r := report.Of(wastedTrial(unweighed), report.Options{NoForecast: true, PricePerKg: new(4.0)})
		var answer []string
		for _, s := range r.Answer {
			answer = append(answer, s.Text)
		}
		if got := strings.Join(answer, "\n"); !strings.Contains(got, want) {
			t.Errorf("%d not weighed: the answer is\n%s\nwant in it %q", unweighed, got, want)
		}
		s := section(t, SeasonPage(r, ReportLinks{}), "Yield of a plant, by cultivar")
		// Two plants, one without fruit.
		last := s.Table.Rows[0][len(s.Table.Rows[0])-1]
		if mean := map[int]string{0: "0.28", 10: "0.50"}[unweighed]; !strings.HasPrefix(last, mean) {
			t.Errorf("%d not weighed: a plant's value is %q, want %s", unweighed, last, mean)
		}
		one, err := report.OfPlant(wastedTrial(unweighed), crop.ID{5}, report.Options{NoForecast: true, PricePerKg: new(4.0)})
		if err != nil {
			t.Fatal(err)
		}
		own := section(t, PlantPage(one, ReportLinks{}), "What it gave")
		if cell := own.Table.Rows[0][len(own.Table.Rows[0])-1]; !strings.Contains(want, strings.ReplaceAll(strings.SplitN(cell, " ", 2)[0], "–", "to")) {
			t.Errorf("%d not weighed: the plant's own page has the value %q, the answer %q", unweighed, cell, want)
		}
		if r := report.Of(wastedTrial(unweighed), report.Options{NoForecast: true}); strings.Contains(rows(section(t, SeasonPage(r, ReportLinks{}), "Yield of a plant, by cultivar")), "0.28") {
			t.Error("a value without a price")
		}
	}
}

// TestWasteOfOneFruit: one fruit that ripened is spoken of as one.
func TestWasteOfOneFruit(t *testing.T) {
	for grade, want := range map[crop.Grade]string{
		crop.Marketable: "The one fruit that ripened wasn't wasted so far.",
		crop.Cull:       "The one fruit that ripened was wasted: lost ripe by a cause other than thinning and clearing, or picked as a cull.",
	} {
		tr := smallTrial()
		tr.Visits, tr.Losses, tr.Pickings = nil, nil, tr.Pickings[:1]
		tr.Pickings[0].Grade = grade
		p := SeasonPage(report.Of(tr, report.Options{NoForecast: true}), ReportLinks{})
		if got := section(t, p, "Waste, by cultivar").Sentence; got != want {
			t.Errorf("%s: got %q, want %q", grade, got, want)
		}
	}
}

package report_test

import (
	"fmt"
	"regexp"
	"testing"

	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

// mostAnswer is how many words and numbers an answer may have, mostFirst how many its first two sentences, which say what stands and
// what wants doing. Adults read 175 to 300 words of plain prose a minute, 238 on average (Brysbaert 2019, J. Mem. Lang. 109:104047;
// from memory): the first two take such a reader about ten seconds, all of it about half a minute.
const (
	mostAnswer = 125
	mostFirst  = 45
)

// TestAnswerIsShort: however large the season and whenever in it, the answer stays short.
func TestAnswerIsShort(t *testing.T) {
	word := regexp.MustCompile(`[\pL\d][^\s–]*`)
	wantShort := func(name string, r *report.Season) {
		t.Helper()
		if n := len(word.FindAllString(text(r.Answer), -1)); n > mostAnswer {
			t.Errorf("%s: %d words, want at most %d:\n%s", name, n, mostAnswer, text(r.Answer))
		}
		if first := text(r.Answer[:min(2, len(r.Answer))]); len(word.FindAllString(first, -1)) > mostFirst {
			t.Errorf("%s: the first sentences have more than %d words:\n%s", name, mostFirst, first)
		}
	}
	for name, trial := range demoseasons.Load(t) {
		last := trial.LastRecord()
		for _, back := range []int{0, 10, 20, 35, 50, 70, 90} {
			wantShort(fmt.Sprintf("%s, %d days back", name, back), report.Of(trial, report.Options{AsOf: last.AddDate(0, 0, -back)}))
		}
	}
	large := largeSeason(200)
	wantShort("200 plants, ripe fruit on all", report.Of(large, report.Options{AsOf: noon.AddDate(0, 0, 62)}))
	wantShort("200 plants, at the end", report.Of(large, report.Options{}))
}

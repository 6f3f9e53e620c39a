package ledger_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"vinetally/analytics/ledger"
	"vinetally/analytics/ledger/ledgertest"
)

// TestScripts runs the hand-worked ledgers of testdata: the records and the numbers expected of them stand in one file,
// the working in its comments.
func TestScripts(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txt")
	if err != nil || len(files) < 12 {
		t.Fatalf("got %d scripts (%v), want at least 12", len(files), err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			script, err := ledgertest.Parse(string(text))
			if err != nil {
				t.Fatalf("%s: %v", file, err)
			}
			book := ledger.Of(script.Records)
			checkInvariants(t, &book)
			c := &checker{T: t, file: file, book: &book}
			for _, line := range script.Expect {
				c.line = line
				c.expect(line.Words)
			}
			if c.contradictions != len(book.Contradictions) {
				t.Errorf("%s names %d contradictions, the ledger found %d: %+v", file, c.contradictions, len(book.Contradictions), book.Contradictions)
			}
		})
	}
}

type checker struct {
	*testing.T
	file           string
	line           ledgertest.Line
	book           *ledger.Book
	contradictions int
}

func (c *checker) equal(what, got, want string) {
	c.Helper()
	if got != want {
		c.Errorf("%s:%d: %s: got %s, want %s", c.file, c.line.Number, what, got, want)
	}
}

func (c *checker) expect(words []string) {
	c.Helper()
	switch words[0] {
	case "visits":
		c.equal("visits", strconv.Itoa(len(c.book.Visits)), words[1])
	case "since":
		taken := map[string][]int{"picked": c.book.SinceLastCount.Picked, "lost": c.book.SinceLastCount.Lost}
		c.equal("since "+words[1], numbers(taken[words[1]]), strings.Join(words[2:], " "))
	case "totals":
		for _, w := range words[1:] {
			key, want, _ := strings.Cut(w, "=")
			c.equal("totals "+key, c.total(key), want)
		}
	case "balance":
		c.balance(words[1], strings.Join(words[2:], " "))
	case "contradiction":
		c.contradiction(words[1:])
	case "warning":
		want := strings.Join(words[1:], " ")
		if !slices.ContainsFunc(c.book.Warnings, func(w string) bool { return strings.Contains(w, want) }) {
			c.Errorf("%s:%d: no warning has %q; got %q", c.file, c.line.Number, want, c.book.Warnings)
		}
	case "warnings":
		c.equal("warnings", fmt.Sprint(len(c.book.Warnings)), words[1])
	default:
		c.visit(words)
	}
}

func (c *checker) total(key string) string {
	t := &c.book.Totals
	switch key {
	case "set_at_least":
		return strconv.Itoa(t.SetAtLeast)
	case "standing":
		return number(t.Standing)
	case "standing_at_least":
		return strconv.Itoa(t.StandingAtLeast)
	case "standing_at_most":
		return number(t.StandingAtMost)
	case "picked_at_most":
		return number(t.PickedAtMost)
	case "lost_at_most":
		return number(t.LostAtMost)
	case "picked":
		return strconv.Itoa(t.Picked)
	case "cull":
		return strconv.Itoa(t.PickedCull)
	case "lost":
		return strconv.Itoa(t.Lost)
	case "unaccounted":
		return strconv.Itoa(t.Unaccounted)
	case "left":
		return number(t.LeftAtRemoval)
	case "unit":
		return strconv.Itoa(t.UnitFruit)
	}
	return "no such total"
}

func (c *checker) balance(stage, want string) {
	c.Helper()
	s := slices.Index(c.book.Scale, stage)
	if s < 0 {
		c.Fatalf("%s:%d: no stage %s", c.file, c.line.Number, stage)
	}
	got := "?"
	if x := c.book.Totals.Balance[s]; x != nil {
		got = fmt.Sprintf("ever=%d standing=%d picked=%d lost=%d unaccounted=%d left=%d", x.EverReached, x.Standing, x.Picked, x.Lost, x.Unaccounted, x.LeftAtRemoval)
	}
	c.equal("balance "+stage, got, want)
}

func (c *checker) contradiction(want []string) {
	c.Helper()
	if c.contradictions >= len(c.book.Contradictions) {
		c.Errorf("%s:%d: no more contradictions, want %v", c.file, c.line.Number, want)
		return
	}
	got := c.book.Contradictions[c.contradictions]
	c.contradictions++
	within := "beyond"
	if got.WithinAllowance {
		within = "within"
	}
	c.equal("contradiction", fmt.Sprintf("%s %s %s %d %s %d", got.Code, got.At, got.Stage, got.Fruits, within, got.Allowance), strings.Join(want, " "))
	if got.Detail == "" || !strings.HasSuffix(got.Detail, ".") {
		c.Errorf("%s:%d: %s has no sentence: %q", c.file, c.line.Number, got.Code, got.Detail)
	}
	c.Logf("%s", got.Detail)
}

func (c *checker) visit(words []string) {
	c.Helper()
	i := slices.IndexFunc(c.book.Visits, func(e ledger.Entry) bool { return e.CountedAt.String() == words[0] })
	if i < 0 {
		c.Errorf("%s:%d: no visit at %s", c.file, c.line.Number, words[0])
		return
	}
	e := &c.book.Visits[i]
	vectors := map[string]string{
		"coverage": strings.Join(e.Coverage, " "), "rows": strconv.Itoa(len(e.Rows)),
		"standing_at_most": optional(e.StandingAtMost), "at_or_beyond_at_most": optional(e.AtOrBeyondAtMost),
		"ever_reached_at_most": optional(e.EverReachedAtMost),
		"counted":              optional(e.Counted), "standing": optional(e.Standing), "standing_at_least": numbers(e.StandingAtLeast),
		"at_or_beyond": optional(e.AtOrBeyond), "at_or_beyond_at_least": numbers(e.AtOrBeyondAtLeast),
		"ever_reached": optional(e.EverReached), "ever_reached_at_least": numbers(e.EverReachedAtLeast),
		"doubted": doubted(e),
		"picked":  numbers(e.Picked), "lost": numbers(e.Lost), "unaccounted": numbers(e.Unaccounted),
	}
	got, ok := vectors[words[1]]
	if !ok {
		c.Fatalf("%s:%d: %q is not a number of a visit", c.file, c.line.Number, words[1])
	}
	c.equal(words[0]+" "+words[1], got, strings.Join(words[2:], " "))
}

func doubted(e *ledger.Entry) string {
	words := make([]string, len(e.StandingAtLeast))
	for s := range words {
		words[s] = map[bool]string{true: "yes", false: "no"}[e.DoubtedAt(s)]
	}
	return strings.Join(words, " ")
}

func number(x *int) string {
	if x == nil {
		return "?"
	}
	return strconv.Itoa(*x)
}

func optional(v []*int) string {
	words := make([]string, len(v))
	for i, x := range v {
		words[i] = number(x)
	}
	return strings.Join(words, " ")
}

func numbers(v []int) string { return strings.Trim(fmt.Sprint(v), "[]") }

package ledger_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"vinetally/analytics/ledger"
	"vinetally/analytics/ledger/ledgertest"
)

var (
	oneAsMany = regexp.MustCompile(`\b1 (?:of \d+ counts|(?:[a-z]+ ){0,4}fruit)(?: more)? (?:are|were)\b|\bThe only count are\b`)
	manyAsOne = regexp.MustCompile(`\b(?:0|[2-9]|\d{2,}) (?:of \d+ counts|(?:[a-z]+ ){0,4}fruit)(?: more)? (?:is|was)\b`)
)

// checkSentences checks what a book says: whole sentences, whose verbs agree with their numbers.
func checkSentences(t reporter, b *ledger.Book) {
	t.Helper()
	said := slices.Clone(b.Warnings)
	for _, c := range b.Contradictions {
		said = append(said, c.Detail)
	}
	for _, s := range said {
		if !strings.HasSuffix(s, ".") || strings.Contains(s, "%!") || strings.Contains(s, "  ") {
			t.Errorf("not a whole sentence: %q", s)
		}
		if oneAsMany.MatchString(s) || manyAsOne.MatchString(s) {
			t.Errorf("the verb doesn't agree with its number: %q", s)
		}
	}
}

// TestNumbersInWords has every sentence that holds a number at none, one and two, where it can be.
func TestNumbersInWords(t *testing.T) {
	for _, c := range []struct{ script, want string }{
		{"count 2026-02-01 red=3\ncount 2026-02-08 red=0", "has 3 red fruit fewer than expected: after the count of 1 Feb 2026 at least 3 should be standing, picked or lost, and 0 are."},
		{"count 2026-02-01 red=3\ncount 2026-02-08 red=1", "at least 3 should be standing, picked or lost, and 1 is."},
		{"count 2026-02-01 red=3\ncount 2026-02-08 red=2", "has 1 red fruit fewer than expected: after the count of 1 Feb 2026 at least 3 should be standing, picked or lost, and 2 are."},
		{"count 2026-02-01 red=1 at_least\ncount 2026-02-08 red=0", "saw at least 1 red fruit, though it was unfinished or of a part only; the count of 8 Feb 2026 leaves room for 1 fewer."},
		{"count 2026-02-01 red=1\ncount 2026-02-01 red=0", "don't agree on red fruit: one has 0, another 1."},
		{"count 2026-02-01 red=0\npick 2026-02-01 red 1", "1 red fruit was picked or lost after the count, which had 0."},
		{"count 2026-02-01 red=1\npick 2026-02-01 red 2", "2 red fruit were picked or lost after the count, which had 1."},
		{"count 2026-02-01 total=0\npick 2026-02-08 red 1", "1 ripe fruit was picked or lost within 30 days and before the next count of all fruit, but only 0 fruit of any stage stood then"},
		{"count 2026-02-01 total=1\npick 2026-02-08 red 2", "2 ripe fruit were picked or lost within 30 days and before the next count of all fruit, but only 1 fruit of any stage stood then"},
		{"plant A1 removed=2026-01-01\ncount 2026-02-01 red=1", "1 fruit was counted on this plant"},
		{"plant A1 removed=2026-01-01\ncount 2026-02-01 red=2", "2 fruit were counted on this plant"},
		{"plant A1 removed=2026-01-01\npick 2026-02-01 red 1", "1 fruit was picked or lost from this plant"},
		{"plant A1 removed=2026-01-01\npick 2026-02-01 red 1\npick 2026-02-02 red 1", "2 fruit were picked or lost from this plant"},
		{"count 2026-02-01 red=1", "The only count is of a part of the plant only"},
		{"count 2026-02-01 red=1\ncount 2026-02-02 red=1", "Both counts are of a part of the plant only"},
		{"count 2026-02-01 red=1\ncount 2026-02-02 green=0 breaker=0 turning=0 red=1", "1 of 2 counts is of a part of the plant only"},
		{"count 2026-02-01 red=1\ncount 2026-02-02 red=1\ncount 2026-02-03 green=0 breaker=0 turning=0 red=1", "2 of 3 counts are of a part of the plant only"},
		{"count 2026-02-01 red=1 about", "The only count is a rough number"},
		{"count 2026-02-01 red=1 about\ncount 2026-02-02 red=1 about", "Both counts are a rough number"},
		{"count 2026-02-01 red=1 about\ncount 2026-02-02 green=1", "1 of 2 counts is a rough number"},
		{"count 2026-02-01 red=1\nunit pick 2026-02-02 red 1", "1 fruit was picked or lost without saying from which plant (first on 2 Feb 2026); it may or may not be of this plant"},
		{"count 2026-02-01 red=1\nunit pick 2026-02-02 red 2", "2 fruit were picked or lost without saying from which plant (first on 2 Feb 2026); between none and all of them are of this plant"},
		{"plant A1 removed=2026-03-01\ncount 2026-02-01 total=1", "with 1 fruit on it by the last count, recorded neither as picked nor as lost"},
		{"plant A1 removed=2026-03-01\ncount 2026-02-01 total=2", "with 2 fruit on it by the last count, recorded neither as picked nor as lost"},
		{"count 2026-02-01 red=0\npick 2026-02-01 red 1", "1 fruit was picked or lost by records that take more than had been counted"},
		{"count 2026-02-01 red=0\npick 2026-02-01 red 2", "2 fruit were picked or lost by records that take more than had been counted"},
	} {
		script, err := ledgertest.Parse(c.script)
		if err != nil {
			t.Fatal(err)
		}
		book := ledger.Of(script.Records)
		checkSentences(t, &book)
		said := strings.Join(book.Warnings, "\n")
		for _, x := range book.Contradictions {
			said += "\n" + x.Detail
		}
		if !strings.Contains(said, c.want) {
			t.Errorf("%q:\nsays %s\nwant %q", c.script, said, c.want)
		}
	}
}

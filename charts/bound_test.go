package charts

import (
	"strings"
	"testing"
)

// TestBound: a cell is broken between its dates and after the dash of a range. “_” stands for a no-break space, “+” for a word joiner.
func TestBound(t *testing.T) {
	for text, want := range map[string]string{
		"27 Aug (23 Aug)":                  "27_Aug (23_Aug)",
		"12 Sep 2026 (3 – 24 Sep 2026)":    "12_Sep_2026 (3_– 24_Sep_2026)",
		"1 Oct 2026 (21 Aug – 4 Oct 2026)": "1_Oct_2026 (21_Aug_– 4_Oct_2026)",
		"36.0 (25.5 – 46.5)":               "36.0 (25.5_–+_46.5)",
		"≈ 301 (291 – 311)":                "≈_301 (291_–+_311)",
		"3 – 8":                            "3_– 8",
		"10 (≤ 22)":                        "10 (≤_22)",
		"2 Marigolds, 5 octets":            "2 Marigolds, 5 octets",
		"–":                                "–",
		"":                                 "",
	} {
		if got := strings.NewReplacer("\u00a0", "_", "\u2060", "+").Replace(bound(text)); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}

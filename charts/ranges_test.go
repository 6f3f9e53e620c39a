package charts

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

func sampleRanges() Ranges {
	return Ranges{Interval: "90 % interval", Value: "mean of the cultivar", Mark: "published time", Basis: "27 counts", Panels: []RangePanel{
		{Title: "Green to breaker", Unit: "standard days", Rows: []RangeRow{{"Amberling", 39, 41.2, 44, new(42.0)}, {"Nightglobe", 36, 40, 45, new(42.0)}}},
		{Title: "Breaker to red", Unit: "standard days", Rows: []RangeRow{{"Amberling", 6.1, 7.2, 8.4, new(8.0)}, {"Little Harrow", 5, 8, 12, nil}}},
	}}
}

// TestStillRanges: every bar reaches from its low to its high end on the axis of its own panel.
func TestStillRanges(t *testing.T) {
	picture := stillOf(t, sampleRanges())
	from, to := numbersOf(t, picture, `class="line" d="M([0-9.]+) [0-9.]+H`), numbersOf(t, picture, `class="line" d="M[0-9.]+ [0-9.]+H([0-9.]+)"`)
	if len(from) != 4 || len(to) != 4 {
		t.Fatalf("%d bars, want 4: %s", len(from), picture)
	}
	for panel, want := range [][4]float64{{39, 44, 36, 45}, {6.1, 8.4, 5, 12}} {
		i := 2 * panel
		unit := (to[i] - from[i]) / (want[1] - want[0])
		if got := (to[i+1] - from[i+1]) / unit; math.Abs(got-(want[3]-want[2])) > 0.1 {
			t.Errorf("panel %d: the second bar is %.2f long, want %.1f", panel, got, want[3]-want[2])
		}
		if got := (from[i+1] - from[i]) / unit; math.Abs(got-(want[2]-want[0])) > 0.1 {
			t.Errorf("panel %d: the second bar begins %.2f after the first, want %.1f", panel, got, want[2]-want[0])
		}
	}
	for _, name := range []string{"Amberling", "Little Harrow", "Green to breaker (standard days)"} {
		if !strings.Contains(picture, name) {
			t.Errorf("the picture doesn't name %s", name)
		}
	}
}

// TestRangesLeaveOut: of many rows a chart shows as many as fit on a sheet, and says so.
func TestRangesLeaveOut(t *testing.T) {
	f := Ranges{Interval: "interval", Value: "median", Panels: []RangePanel{{Title: "Fruit"}}}
	for i := range mostRanges + 5 {
		f.Panels[0].Rows = append(f.Panels[0].Rows, RangeRow{Name: fmt.Sprint(i), High: 1})
	}
	d, err := f.draw()
	if err != nil {
		t.Fatal(err)
	}
	const sheet = 1000 // CSS pixels of A4 less its margins, at the width that reports are printed at
	if want := fmt.Sprintf("first %d of %d rows", mostRanges, mostRanges+5); len(d.notes) != 1 || !strings.Contains(d.notes[0], want) || d.height > sheet {
		t.Errorf("height %d, notes %q; want %q on a sheet of %d", d.height, d.notes, want, sheet)
	}
}

// TestRangesRefuse what is no interval of an amount.
func TestRangesRefuse(t *testing.T) {
	for name, r := range map[string]RangeRow{
		"upside down":   {"A", 3, 2, 1, nil},
		"below nothing": {"A", -1, 0, 1, nil},
		"not a number":  {"A", 0, math.NaN(), 1, nil},
		"mark":          {"A", 0, 0, 1, new(math.Inf(1))},
	} {
		if _, err := (Ranges{Panels: []RangePanel{{Title: "Fruit", Rows: []RangeRow{r}}}}).draw(); err == nil {
			t.Errorf("%s: drawn", name)
		}
	}
	if _, err := (Ranges{Panels: []RangePanel{{Title: "Fruit"}}}).draw(); err == nil {
		t.Error("no rows: drawn")
	}
}

package yield_test

import (
	"slices"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/yield"
)

func TestMasses(t *testing.T) {
	const day = "2026-05-01"
	for _, c := range []struct {
		name     string
		pickings []crop.Picking
		want     []yield.Mass
	}{
		{"no pickings", nil, []yield.Mass{}},
		{"never weighed", []crop.Picking{pick(a1, day, 3)}, []yield.Mass{{}}},
		{"weighed", []crop.Picking{pick(a1, day, 3, grams(27))}, []yield.Mass{{G: 27, Known: true, OnePlant: true, OneCultivar: true}}},
		{"a label alone is an ordinary weighing", []crop.Picking{pick(a1, day, 3, grams(27), weighing("bowl"))},
			[]yield.Mass{{G: 27, Known: true, OnePlant: true, OneCultivar: true}}},
		{"shared by fruits among plants", []crop.Picking{pick(a1, day, 3, weighing("bowl")), pick(a2, day, 1, grams(40), weighing("bowl")), pick(a2, day, 5)},
			[]yield.Mass{{G: 30, Known: true, Estimated: true, Together: 4}, {G: 10, Known: true, Estimated: true, Together: 4}, {}}},
		{"shared within a plant", []crop.Picking{pick(a1, day, 3, weighing("bowl")), pick(a1, "2026-05-02", 1, grams(40), weighing("bowl"))},
			[]yield.Mass{{G: 30, Known: true, Estimated: true, OnePlant: true, OneCultivar: true, Together: 4}, {G: 10, Known: true, Estimated: true, OnePlant: true, OneCultivar: true, Together: 4}}},
		{"several masses add up", []crop.Picking{pick(a1, day, 4, grams(50), weighing("bowl")), pick(a2, day, 4, grams(30), weighing("bowl")), pick(b1, day, 2, weighing("bowl"))},
			[]yield.Mass{{G: 32, Known: true, Estimated: true, Together: 10}, {G: 32, Known: true, Estimated: true, Together: 10}, {G: 16, Known: true, Estimated: true, Together: 10}}},
		{"two labels stay apart", []crop.Picking{pick(a1, day, 1, grams(8), weighing("bowl")), pick(a1, day, 1, grams(12), weighing("tray")), pick(a1, day, 1, weighing("bowl"))},
			[]yield.Mass{{G: 4, Known: true, Estimated: true, OnePlant: true, OneCultivar: true, Together: 2}, {G: 12, Known: true, OnePlant: true, OneCultivar: true}, {G: 4, Known: true, Estimated: true, OnePlant: true, OneCultivar: true, Together: 2}}},
		{"a label without a mass", []crop.Picking{pick(a1, day, 1, weighing("bowl")), pick(a2, day, 1, weighing("bowl"))}, []yield.Mass{{}, {}}},
		{"fruit nobody counted: not shared", []crop.Picking{pick(a1, day, 5, weighing("bowl")), pick(a1, day, notCounted, grams(100), weighing("bowl"))},
			[]yield.Mass{{Elsewhere: true}, {G: 100, Known: true, Estimated: true, Unshared: true, OnePlant: true, OneCultivar: true}}},
		{"two masses, fruit nobody counted", []crop.Picking{pick(a1, day, 5, grams(60), weighing("bowl")), pick(a2, day, notCounted, grams(40), weighing("bowl"))},
			[]yield.Mass{{G: 60, Known: true, Estimated: true, Unshared: true}, {G: 40, Known: true, Estimated: true, Unshared: true}}},
		{"no fruit at all: not shared", []crop.Picking{pick(a1, day, 0, grams(0), weighing("bowl")), pick(a1, day, 0, weighing("bowl"))},
			[]yield.Mass{{G: 0, Known: true, Estimated: true, Unshared: true, OnePlant: true, OneCultivar: true}, {Elsewhere: true}}},
		{"none of its own gets none", []crop.Picking{pick(a1, day, 0, weighing("bowl")), pick(a1, day, 2, grams(18), weighing("bowl"))},
			[]yield.Mass{{G: 0, Known: true, Estimated: true, OnePlant: true, OneCultivar: true, Together: 2}, {G: 18, Known: true, Estimated: true, OnePlant: true, OneCultivar: true, Together: 2}}},
		{"one unit", []crop.Picking{pick(a1, day, 1, of(alder, lisbon), weighing("bowl")), pick(a1, day, 1, of(alder, lisbon), grams(20), weighing("bowl"))},
			[]yield.Mass{{G: 10, Known: true, Estimated: true, OnePlant: true, OneCultivar: true, Together: 2}, {G: 10, Known: true, Estimated: true, OnePlant: true, OneCultivar: true, Together: 2}}},
		{"two stages", []crop.Picking{pick(a1, day, 1, weighing("bowl")), pick(a1, day, 1, stage("green"), grams(20), weighing("bowl"))},
			[]yield.Mass{{G: 10, Known: true, Estimated: true, OnePlant: true, OneCultivar: true, Mixed: true, Together: 2}, {G: 10, Known: true, Estimated: true, OnePlant: true, OneCultivar: true, Mixed: true, Together: 2}}},
		{"a cull and not", []crop.Picking{pick(a1, day, 1, weighing("bowl")), pick(a1, day, 1, cull, grams(20), weighing("bowl"))},
			[]yield.Mass{{G: 10, Known: true, Estimated: true, OnePlant: true, OneCultivar: true, Mixed: true, Together: 2}, {G: 10, Known: true, Estimated: true, OnePlant: true, OneCultivar: true, Mixed: true, Together: 2}}},
		{"two cultivars at one place", []crop.Picking{pick(a1, day, 1, of(alder, lisbon), weighing("bowl")), pick(a1, day, 1, of(birch, lisbon), grams(20), weighing("bowl"))},
			[]yield.Mass{{G: 10, Known: true, Estimated: true, Together: 2}, {G: 10, Known: true, Estimated: true, Together: 2}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			before := slices.Clone(c.pickings)
			got := yield.Masses(c.pickings)
			if !slices.Equal(got, c.want) {
				t.Errorf("\n got %+v\nwant %+v", got, c.want)
			}
			for i := range before {
				if before[i].MassG != c.pickings[i].MassG {
					t.Error("the pickings were changed")
				}
			}
		})
	}
}

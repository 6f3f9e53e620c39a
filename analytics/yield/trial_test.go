package yield_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// The trial of these tests: two cultivars of invented names on the default scale, the third on a scale with a stage after
// the ripe one; plants A1 and A2 of the first and B1 of the second in Lisbon, C1 of the third in Auckland.
var (
	alder, birch, cedar = crop.ID{0: 1, 15: 1}, crop.ID{0: 1, 15: 2}, crop.ID{0: 1, 15: 3}
	lisbon, auckland    = crop.ID{0: 2, 15: 1}, crop.ID{0: 2, 15: 2}
	a1, a2, b1, c1      = crop.ID{0: 3, 15: 1}, crop.ID{0: 3, 15: 2}, crop.ID{0: 3, 15: 3}, crop.ID{0: 3, 15: 4}
)

func trial(pickings ...crop.Picking) *crop.Trial {
	sown := crop.Date{Year: 2026, Month: time.January, Day: 1}
	soft := crop.Scale{ID: crop.ID{0: 4}, Name: "with soft", RipeStage: "red", Stages: []crop.Stage{{Name: "green"}, {Name: "red"}, {Name: "soft"}}}
	plant := func(id, cultivar, place crop.ID, label string) crop.Plant {
		return crop.Plant{ID: id, CultivarID: cultivar, PlaceID: place, Label: label, SownOn: &sown}
	}
	t := &crop.Trial{
		Scales:    []crop.Scale{crop.DefaultScale(), soft},
		Cultivars: []crop.Cultivar{{ID: alder, Name: "Alderling"}, {ID: birch, Name: "Birchling"}, {ID: cedar, Name: "Cedarling", ScaleID: &soft.ID}},
		Places:    []crop.Place{{ID: lisbon, Name: "Bench", TimeZone: "Europe/Lisbon"}, {ID: auckland, Name: "Balcony", TimeZone: "Pacific/Auckland"}},
		Plants:    []crop.Plant{plant(a1, alder, lisbon, "A1"), plant(a2, alder, lisbon, "A2"), plant(b1, birch, lisbon, "B1"), plant(c1, cedar, auckland, "C1")},
		Pickings:  pickings,
	}
	for i := range t.Pickings {
		t.Pickings[i].ID = crop.ID{0: 5, 14: byte(i >> 8), 15: byte(i)}
	}
	t.Arrange()
	return t
}

// pick is a picking of a plant, red and marketable unless changed.
func pick(plant crop.ID, at string, fruits int, change ...func(*crop.Picking)) crop.Picking {
	m, err := crop.ParseMoment(at)
	if err != nil {
		panic(err)
	}
	p := crop.Picking{PlantID: &plant, PickedAt: m, Stage: "red", Grade: crop.Marketable}
	if fruits >= 0 {
		p.Fruits = &fruits
	}
	for _, c := range change {
		c(&p)
	}
	return p
}

const notCounted = -1

func grams(g float64) func(*crop.Picking)       { return func(p *crop.Picking) { p.MassG = &g } }
func weighing(label string) func(*crop.Picking) { return func(p *crop.Picking) { p.Weighing = label } }
func stage(name string) func(*crop.Picking)     { return func(p *crop.Picking) { p.Stage = name } }
func cull(p *crop.Picking)                      { p.Grade = crop.Cull }

// of makes it a picking of a whole unit.
func of(cultivar, place crop.ID) func(*crop.Picking) {
	return func(p *crop.Picking) { p.PlantID, p.Unit = nil, crop.Unit{CultivarID: &cultivar, PlaceID: &place} }
}

func wantMean(t *testing.T, what string, want string, g float64, ok bool) {
	t.Helper()
	got := "none"
	if ok {
		got = fmt.Sprintf("%.3f g", g)
	}
	if got != want {
		t.Errorf("%s: got %s, want %s", what, got, want)
	}
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Max(1, math.Abs(b)) }

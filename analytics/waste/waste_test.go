package waste

import (
	"math"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

var (
	pip, shelf = crop.ID{1}, crop.ID{2}
	asOf       = time.Date(2026, 6, 30, 12, 0, 0, 0, time.UTC)
)

// season is a trial of so many plants of a cultivar on the default scale.
func season(plants int) *crop.Trial {
	sown := crop.Date{Year: 2026, Month: 3, Day: 1}
	t := &crop.Trial{Scales: []crop.Scale{crop.DefaultScale()}, Cultivars: []crop.Cultivar{{ID: pip, Name: "Pipling"}}, Places: []crop.Place{{ID: shelf, TimeZone: "UTC"}}}
	for i := range plants {
		t.Plants = append(t.Plants, crop.Plant{ID: crop.ID{3, byte(i)}, CultivarID: pip, PlaceID: shelf, Label: string(rune('A' + i)), SownOn: &sown})
	}
	return t
}

func at(day int) crop.Moment {
	return crop.InstantMoment(time.Date(2026, 6, day, 9, 0, 0, 0, time.UTC))
}

func picked(t *crop.Trial, plant, day, fruits int, stage string, grade crop.Grade, g float64) {
	p := crop.Picking{ID: crop.ID{4, byte(len(t.Pickings))}, PlantID: &t.Plants[plant].ID, PickedAt: at(day), Stage: stage, Fruits: &fruits, Grade: grade}
	if g > 0 {
		p.MassG = &g
	}
	t.Pickings = append(t.Pickings, p)
}

func lost(t *crop.Trial, plant, day, fruits int, stage string, cause crop.Cause) {
	t.Losses = append(t.Losses, crop.Loss{ID: crop.ID{5, byte(len(t.Losses))}, PlantID: &t.Plants[plant].ID, LostAt: at(day), Stage: stage, Fruits: &fruits, Cause: cause})
}

// TestByHand: of 10 picked red 1 is a cull, 2 red dropped and 1 red was cleared: 13 ripened and 3 are wasted. What was green, thinned or taken
// early is beside it.
func TestByHand(t *testing.T) {
	tr := season(1)
	picked(tr, 0, 1, 9, "red", crop.Marketable, 90)
	picked(tr, 0, 2, 1, "red", crop.Cull, 0)
	picked(tr, 0, 3, 4, "turning", crop.Marketable, 0)
	lost(tr, 0, 4, 2, "red", crop.Dropped)
	lost(tr, 0, 5, 3, "green", crop.Rotted)
	lost(tr, 0, 5, 5, "green", crop.Thinned)
	lost(tr, 0, 6, 1, "red", crop.Cleared)
	tr.Arrange()
	s := Of(tr, asOf, 0)
	if s.Ripened != 13 || s.Wasted != 3 || s.RipeCulls != 1 || s.PickedUnripe != 4 || s.Picked != 14 {
		t.Errorf("got %+v", s.Sum)
	}
	if s.Share == nil || math.Abs(s.Share.Value-3.0/13) > 1e-12 || s.Share.Low != nil {
		t.Errorf("share %+v, want 3/13 without an interval of one plant", s.Share)
	}
	// The two dropped are of fruit weighed at 10 g; the green ones are no waste of ripe fruit.
	if s.LostG.Estimated != 20 || s.LostG.Missing != 0 {
		t.Errorf("lost %+v, want 20 g", s.LostG)
	}
	if len(s.Lost) != 4 || s.Lost[0].Cause != crop.Dropped || s.Lost[3].Cause != crop.Cleared {
		t.Errorf("lost by cause: %+v", s.Lost)
	}
}

// TestShareByPlants: shares of 0, 1, 2 and 5 of ten each. r = 0.2, Σ (w − r·x)² = 4 + 1 + 0 + 9 = 14, se = √(4/3·14)/40 = 0.108, and t of
// three degrees of freedom at 95 % is 2.3534 (tables of Student's t).
func TestShareByPlants(t *testing.T) {
	tr := season(4)
	for i, n := range []int{0, 1, 2, 5} {
		picked(tr, i, 1, 10-n, "red", crop.Marketable, 0)
		if n > 0 {
			lost(tr, i, 2, n, "red", crop.Split)
		}
	}
	tr.Arrange()
	s := Of(tr, asOf, 0)
	se := math.Sqrt(4.0/3*14) / 40
	if s.Share == nil || math.Abs(s.Share.Value-0.2) > 1e-12 || s.Share.High == nil || math.Abs(*s.Share.High-(0.2+2.3534*se)) > 1e-4 || *s.Share.Low != 0 {
		t.Errorf("share %+v", s.Share)
	}
}

// TestSumsAgree: plants, cultivars, weeks and the season count the same fruit.
func TestSumsAgree(t *testing.T) {
	tr := season(5)
	causes := crop.Causes()
	for i := range 40 {
		picked(tr, i%5, 1+i%25, 1+i%4, []string{"red", "turning"}[i%2], []crop.Grade{crop.Marketable, crop.Cull}[i/30], 0)
		lost(tr, i%5, 1+i%27, 1+i%3, []string{"green", "red", "red"}[i%3], causes[i%len(causes)])
	}
	tr.Arrange()
	s := Of(tr, asOf, 0)
	var plants Sum = none()
	for i := range s.Plants {
		plants.add(&s.Plants[i].Sum)
	}
	total := func(all []Loss) (n int) {
		for _, l := range all {
			n += l.Ripe + l.Unripe
		}
		return n
	}
	weeksPicked, weeksLost := 0, 0
	for _, w := range s.Weeks {
		weeksPicked, weeksLost = weeksPicked+w.Picked, weeksLost+total(w.Lost)
	}
	if plants.Picked != s.Picked || plants.Wasted != s.Wasted || plants.Ripened != s.Ripened || total(plants.Lost) != total(s.Lost) {
		t.Errorf("plants %+v\nseason %+v", plants, s.Sum)
	}
	if weeksPicked != s.Picked || weeksLost != total(s.Lost) {
		t.Errorf("weeks: %d picked and %d lost; season %d and %d", weeksPicked, weeksLost, s.Picked, total(s.Lost))
	}
	if empty := Of(season(0), asOf, 0); empty.Share != nil || empty.Picked != 0 {
		t.Errorf("of nothing: %+v", empty)
	}
}

// TestUnitCountedOnce: what was taken from a unit counts once, be the unit of one plant or of two.
func TestUnitCountedOnce(t *testing.T) {
	for plants := 1; plants <= 2; plants++ {
		tr := season(plants)
		picked(tr, 0, 1, 6, "red", crop.Marketable, 0)
		lost(tr, 0, 2, 2, "red", crop.Split)
		tr.Pickings[0].PlantID, tr.Pickings[0].Unit = nil, crop.Unit{PlaceID: &shelf, CultivarID: &pip}
		tr.Losses[0].PlantID, tr.Losses[0].Unit = nil, crop.Unit{PlaceID: &shelf, CultivarID: &pip}
		tr.Arrange()
		if s := Of(tr, asOf, 0); s.Picked != 6 || s.Ripened != 8 || s.Wasted != 2 {
			t.Errorf("%d plants: %d picked, %d wasted of %d; want 6, 2 of 8", plants, s.Picked, s.Wasted, s.Ripened)
		}
	}
}

package waste

import (
	"math"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// TestMassByHand: 15 red fruit of two plants weighed 160 g, so 3 that weren't weighed are taken for 32 g, 2 lost ones for 21.3 g and each that hangs past
// ripe for 10.7 g. Weeks add up to the season.
func TestMassByHand(t *testing.T) {
	tr := season(2)
	picked(tr, 0, 1, 10, "red", crop.Marketable, 100)
	picked(tr, 1, 2, 5, "red", crop.Marketable, 60)
	picked(tr, 1, 16, 3, "red", crop.Marketable, 0)
	lost(tr, 0, 9, 2, "red", crop.Dropped)
	lost(tr, 0, 9, 7, "red", crop.Cleared)
	tr.Visits = append(tr.Visits, crop.Visit{ID: crop.ID{6}, PlantID: tr.Plants[1].ID, CountedAt: at(17), Counts: map[string]int{"green": 0, "breaker": 0, "turning": 0, "red": 4}})
	tr.Arrange()
	s := Of(tr, time.Date(2026, 6, 30, 12, 0, 0, 0, time.UTC), 0)
	const each = 160.0 / 15
	for what, c := range map[string][2]float64{
		"picked": {s.PickedG.G(), 160 + 3*each}, "lost": {s.LostG.G(), 2 * each}, "past ripe": {s.PastRipeG.G(), 4 * each},
		"picked from A": {s.Plants[0].PickedG.G(), 100}, "picked from B": {s.Plants[1].PickedG.G(), 60 + 3*each},
		"picked of the cultivar": {s.Cultivars[0].PickedG.G(), 160 + 3*each},
	} {
		if math.Abs(c[0]-c[1]) > 1e-9 {
			t.Errorf("%s: %v g, want %v", what, c[0], c[1])
		}
	}
	if low, high := s.PickedG.Interval(); low == nil || !(*low < s.PickedG.G() && s.PickedG.G() < *high) {
		t.Errorf("picked %v g, interval %v %v", s.PickedG.G(), low, high)
	}
	pickedG, lostG := 0.0, 0.0
	for _, w := range s.Weeks {
		pickedG, lostG = pickedG+w.PickedG.G(), lostG+w.LostG.G()
	}
	if math.Abs(pickedG-s.PickedG.G()) > 1e-9 || math.Abs(lostG-s.LostG.G()) > 1e-9 {
		t.Errorf("weeks sum to %v g picked and %v lost, the season to %v and %v", pickedG, lostG, s.PickedG.G(), s.LostG.G())
	}
}

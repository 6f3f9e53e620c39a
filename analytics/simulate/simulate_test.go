package simulate

import (
	"reflect"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// refs are the records of a trial as crop.Check asks for them.
type refs struct{ *crop.Trial }

func (r refs) Season(id crop.ID) (*crop.Season, bool) {
	return &r.Trial.Season, id == r.Trial.Season.ID
}

func TestSameSeedSameTrial(t *testing.T) {
	for _, c := range Conducts()[:3] {
		a, b, other := New(c, 3), New(c, 3), New(c, 4)
		if !reflect.DeepEqual(a.Trial.Visits, b.Trial.Visits) || !reflect.DeepEqual(a.Trial.Pickings, b.Trial.Pickings) || !reflect.DeepEqual(a.Trial.Losses, b.Trial.Losses) {
			t.Errorf("%s: one seed gives two trials", c.Name)
		}
		if reflect.DeepEqual(a.Trial.Visits, other.Trial.Visits) {
			t.Errorf("%s: two seeds give one trial", c.Name)
		}
	}
}

// TestRecordsAreRecords: what a simulated grower wrote is what the rules of the trade take.
func TestRecordsAreRecords(t *testing.T) {
	for _, c := range Conducts() {
		w := New(c, 1)
		tr := w.Trial
		later := w.Start.AddDate(1, 0, 0)
		check := func(r crop.Record) {
			if faults := crop.Check(r, refs{tr}, later); len(faults) > 0 {
				t.Errorf("%s: %s: %+v", c.Name, r.RecordKind(), faults)
			}
		}
		for i := range tr.Plants {
			check(&tr.Plants[i])
		}
		for i := range tr.Visits {
			check(&tr.Visits[i])
		}
		for i := range tr.Pickings {
			check(&tr.Pickings[i])
		}
		for i := range tr.Losses {
			check(&tr.Losses[i])
		}
	}
}

// TestEveryFruitHasOneFate: a fruit leaves at most once, not before it set; what is written down as taken is what was taken and
// written, and no count of a careful observer is above what stood.
func TestEveryFruitHasOneFate(t *testing.T) {
	for _, c := range Conducts() {
		w := New(c, 2)
		written := 0
		for p := range w.Plants {
			for i := range w.Plants[p].Fruits {
				f := &w.Plants[p].Fruits[i]
				if f.Gone < f.Enters[Green] {
					t.Fatalf("%s: a fruit left at hour %v before it set at %v", c.Name, f.Gone, f.Enters[Green])
				}
				for s := Green; s < Red; s++ {
					if f.Enters[s+1] < f.Enters[s] {
						t.Fatalf("%s: a fruit goes back a stage: %v", c.Name, f.Enters)
					}
				}
				if f.Written {
					written++
				}
			}
		}
		records := 0
		for i := range w.Trial.Pickings {
			records += *w.Trial.Pickings[i].Fruits
		}
		for i := range w.Trial.Losses {
			records += *w.Trial.Losses[i].Fruits
		}
		if records != written {
			t.Errorf("%s: %d fruit are written down, %d were taken and written", c.Name, records, written)
		}
	}
}

// TestCarefulRecordsAddUp: with nothing overlooked, confused, fallen unseen or taken unwritten the ledger finds no contradiction, and has
// every fruit.
func TestCarefulRecordsAddUp(t *testing.T) {
	c, _ := Named("steady")
	c.SeenGreen, c.Confused, c.Logged, c.Drop = 1, 0, 1, 1e6
	w := New(c, 5)
	for p, r := range w.Trial.ByPlant() {
		for i := range w.Plants[p].Fruits { // but for fruit that abort when small
			if w.Plants[p].Fruits[i].Fate == Aborted {
				r.Plant = nil
			}
		}
		if r.Plant == nil {
			continue
		}
		if b := ledger.Of(r); len(b.Contradictions) > 0 {
			t.Errorf("plant %d: %+v", p, b.Contradictions[0])
		}
	}
}

func TestNewlyRipeAddsUp(t *testing.T) {
	w := New(Conducts()[0], 6)
	for p := range w.Plants {
		sum := 0
		for day := range w.Days {
			from := w.Start.AddDate(0, 0, day)
			sum += w.NewlyRipe(p, from, from.Add(24*time.Hour))
		}
		if whole := w.NewlyRipe(p, w.Start, w.Start.AddDate(0, 0, w.Days)); whole != sum {
			t.Errorf("plant %d: %d ripened in all, %d day by day", p, whole, sum)
		}
	}
}

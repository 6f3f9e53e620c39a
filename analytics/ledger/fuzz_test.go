package ledger_test

import (
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// source reads small numbers from fuzzed bytes.
type source []byte

func (s *source) next(n int) int {
	if len(*s) == 0 {
		return 0
	}
	x := int((*s)[0]) % n
	*s = (*s)[1:]
	return x
}

func (s *source) maybe(n int) *int {
	x := s.next(n + 2)
	if x < 2 {
		return nil
	}
	x -= 2
	return &x
}

// decode makes any records at all, sensible or not, out of bytes.
func decode(data []byte) crop.PlantRecords {
	s := (*source)(&data)
	scale := crop.DefaultScale()
	stage := func() string {
		return []string{"green", "breaker", "turning", "red", "blue"}[s.next(5)]
	}
	at := func() crop.Moment {
		d := crop.Date{Year: 2026, Month: time.January, Day: 1}.AddDays(s.next(50))
		if s.next(3) == 0 {
			return crop.DayMoment(d, time.UTC)
		}
		return crop.InstantMoment(d.Noon(time.UTC).Add(time.Duration(s.next(3)-1) * time.Hour))
	}
	r := crop.PlantRecords{Plant: &crop.Plant{ID: crop.ID{1}, Label: "F"}, Scale: &scale}
	if s.next(4) == 0 {
		r.Plant.RemovedOn = new(at().LocalDate())
	}
	for id := byte(1); len(*s) > 0; id++ {
		switch s.next(7) {
		case 0, 1, 2:
			v := crop.Visit{ID: crop.ID{id}, CountedAt: at(), Counts: map[string]int{}, Total: s.maybe(30), AtLeast: s.next(4) == 0, About: s.next(8) == 0}
			for range s.next(5) {
				v.Counts[stage()] = s.next(12) - 1
			}
			if s.next(3) == 0 {
				v.TrussesCounted, v.TrussesTotal = s.maybe(4), s.maybe(4)
			}
			if s.next(3) == 0 {
				v.Truss, v.TrussesCounted = s.maybe(3), nil
			}
			r.Visits = append(r.Visits, v)
		case 3:
			r.Pickings = append(r.Pickings, crop.Picking{ID: crop.ID{id}, PickedAt: at(), Stage: stage(), Fruits: s.maybe(9), BeforeCount: s.next(3) == 0})
		case 4:
			r.Losses = append(r.Losses, crop.Loss{ID: crop.ID{id}, LostAt: at(), Stage: stage(), Fruits: s.maybe(9), Cause: crop.Causes()[s.next(9)]})
		case 5:
			r.UnitPickings = append(r.UnitPickings, crop.Picking{ID: crop.ID{id}, PickedAt: at(), Stage: stage(), Fruits: s.maybe(9)})
		case 6:
			r.UnitLosses = append(r.UnitLosses, crop.Loss{ID: crop.ID{id}, LostAt: at(), Stage: stage(), Fruits: s.maybe(9), Cause: crop.Pest})
		}
	}
	return r
}

// FuzzOf: no records make the ledger panic or break what holds of every ledger.
func FuzzOf(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte{1, 0, 5, 1, 1, 9, 0, 1, 4, 0, 7, 1, 3, 3, 4, 2, 3, 9, 1, 1, 3, 5, 0})
	f.Add([]byte("a plant counted by a committee with strong opinions and one pencil"))
	f.Fuzz(func(t *testing.T, data []byte) {
		book := ledger.Of(decode(data))
		checkInvariants(t, &book)
	})
}

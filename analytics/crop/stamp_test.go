package crop

import (
	"testing"
	"time"
)

// RFC 3339 section 5.6 gives an offset in hours and minutes only, so an instant in a zone with seconds in its offset must
// be written in another one to stay the same instant.
func TestStampKeepsTheInstant(t *testing.T) {
	for _, c := range []struct {
		name   string
		offset int
		want   string
	}{
		{"whole minutes", 5*3600 + 45*60, "1912-05-01T08:00:00.25+05:45"},
		{"with seconds", 19*60 + 32, "1912-05-01T02:15:00.25Z"},
	} {
		t.Run(c.name, func(t *testing.T) {
			at := time.Date(1912, 5, 1, 2, 15, 0, 250e6, time.UTC).In(time.FixedZone("", c.offset))
			got := InstantMoment(at).String()
			if got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
			back, err := ParseMoment(got)
			if err != nil || !back.At.Equal(at) {
				t.Errorf("read back %s, %v, want the instant %s", back, err, at)
			}
		})
	}
}

func TestTemperatureBeforeAnyLogger(t *testing.T) {
	air := 20.0
	r := &Temperature{ID: DefaultScaleID, PlaceID: DefaultScaleID, AirC: &air, MeasuredAt: time.Date(0, 1, 1, 0, 0, 0, 0, time.UTC)}
	faults := Check(r, placeHere{}, time.Date(2026, 2, 3, 0, 0, 0, 0, time.UTC))
	if len(faults) != 1 || faults[0].Pointer != "/measured_at" {
		t.Errorf("got %v, want one fault at /measured_at", faults)
	}
}

// placeHere answers for any place and nothing else.
type placeHere struct{}

func (placeHere) Place(ID) (*Place, bool)       { return &Place{}, true }
func (placeHere) Scale(ID) (*Scale, bool)       { return nil, false }
func (placeHere) Cultivar(ID) (*Cultivar, bool) { return nil, false }
func (placeHere) Season(ID) (*Season, bool)     { return nil, false }
func (placeHere) Plant(ID) (*Plant, bool)       { return nil, false }

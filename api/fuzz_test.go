package api

import (
	"errors"
	"reflect"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// anything has whatever a record refers to, and so lets every record be stored that is right in itself.
type anything struct{}

func (anything) Place(id crop.ID) (*crop.Place, bool) {
	return &crop.Place{ID: id, TimeZone: "Europe/Lisbon"}, true
}
func (anything) Season(id crop.ID) (*crop.Season, bool)     { return &crop.Season{ID: id}, true }
func (anything) Cultivar(id crop.ID) (*crop.Cultivar, bool) { return &crop.Cultivar{ID: id}, true }
func (anything) Scale(crop.ID) (*crop.Scale, bool)          { return new(crop.DefaultScale()), true }
func (anything) Plant(id crop.ID) (*crop.Plant, bool)       { return &crop.Plant{ID: id}, true }

// FuzzDecodeRecord: whatever the body, decoding ends in a record or in a problem of the body, never in a panic, the same in one
// pass and in pieces; and a record that can be stored is written in a form that reads as the same record.
func FuzzDecodeRecord(f *testing.F) {
	for i, s := range samples() {
		f.Add(uint8(i), []byte(s.body))
		f.Add(uint8(i), []byte(s.replaced))
	}
	for _, body := range []string{
		`{"counts": {"green": null, "red": 1}, "time_known": false, "counted_at": "2026-02-03T23:30:00-11:00"}`,
		`{"stages": ["a", {"name": "b"}, null], "base_version": 3, "version": {"x": [1]}}`,
		`{"moves": [{"on": "2026-02-03"}, null], "origin_id": null}`, `{"a": {"a": {"a": [[[[]]]]}}}`, "{\"name\": \"\xff\"}", `{"name":"\ud800"}`, ``, `null`, `[]`, `{} {}`,
	} {
		f.Add(uint8(5), []byte(body))
		f.Add(uint8(2), []byte(body))
	}
	f.Fuzz(func(t *testing.T, kindAt uint8, body []byte) {
		kind := crop.Kinds()[int(kindAt)%len(crop.Kinds())]
		in, faults, err := decodePieces(kind, body)
		if clean, ok := decodeClean(kind, body); ok != (err == nil && len(faults) == 0) || ok && !reflect.DeepEqual(clean, in) {
			t.Fatalf("%s: in one pass %v %+v, in pieces %+v with %v %v", kind, ok, clean, in, faults, err)
		}
		if err == nil && len(faults) > 0 {
			err = refuseRecord(append(faults, besideForm(kind, faults, crop.Check(in.record, anything{}, testNow))...))
		}
		if err != nil {
			p, ok := errors.AsType[*problem](err)
			if !ok || p.Status != 400 && p.Status != 422 {
				t.Fatalf("%s: refused with %v, want a problem of 400 or 422", kind, err)
			}
			if _, err := marshal(p); err != nil {
				t.Fatalf("problem can't be written: %v", err)
			}
			return
		}
		if in.record.Identity().IsZero() {
			in.record.SetIdentity(crop.ID{0: 1})
		}
		if faults := crop.Check(in.record, anything{}, testNow); len(faults) > 0 {
			return // would not be stored, so never written
		}
		written, err := marshalStored(crop.Stored{Record: in.record, Version: 1, RecordedAt: time.Unix(0, 0)}, struct{}{})
		if err != nil {
			t.Fatalf("%s read from %q can't be written: %v", kind, body, err)
		}
		again, faults, err := decodeRecord(kind, written)
		if err != nil || len(faults) > 0 {
			t.Fatalf("%s: own answer %s is refused: %v %v", kind, written, err, faults)
		}
		if !sameRecord(again.record, in.record) {
			t.Fatalf("%s: %s reads back as %+v, want %+v", kind, written, again.record, in.record)
		}
	})
}

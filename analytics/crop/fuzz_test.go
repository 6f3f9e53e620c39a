package crop_test

import (
	"encoding/json"
	"reflect"
	"testing"

	"vinetally/analytics/crop"
)

// FuzzParseMoment: what is read is written and read again the same.
func FuzzParseMoment(f *testing.F) {
	for _, s := range []string{"2026-02-03", "2026-02-03T08:15:00+01:00", "1985-04-12T23:20:50.52Z", "2026-02-03T8:15:00Z", "2026-02-03T08:15:00,5Z", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := crop.ParseMoment(s)
		if err != nil {
			return
		}
		back, err := crop.ParseMoment(m.String())
		if err != nil || !back.Same(m) {
			t.Errorf("%q is read as %s, and that as %s, %v", s, m, back, err)
		}
		if m.Latest().Before(m.At) || !m.Within(m.Latest()) {
			t.Errorf("%q: latest %s, at %s", s, m.Latest(), m.At)
		}
	})
}

// FuzzParseDate: an accepted date is written as it was read.
func FuzzParseDate(f *testing.F) {
	for _, s := range []string{"2026-02-03", "2024-02-29", "2025-02-29", "+2026-1-1", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if d, err := crop.ParseDate(s); err == nil && d.String() != s {
			t.Errorf("%q is read as %s", s, d)
		}
	})
}

// FuzzParseID: an accepted id is written as one that is read as the same.
func FuzzParseID(f *testing.F) {
	for _, s := range []string{"017F22E2-79B0-7CC3-98C4-DC0C0C07398F", "00000000-0000-0000-0000-000000000000", "é", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		id, err := crop.ParseID(s)
		if err != nil {
			return
		}
		if back, err := crop.ParseID(id.String()); err != nil || back != id {
			t.Errorf("%q is read as %s, and that as %s, %v", s, id, back, err)
		}
	})
}

// FuzzRecord: no JSON body makes decoding or the rules panic; the rules find the same in the same body a second time; and a
// record that keeps them is written and read again the same.
func FuzzRecord(f *testing.F) {
	const plant, place = `"05010000-0000-0000-0000-000000000000"`, `"02010000-0000-0000-0000-000000000000"`
	f.Add(5, []byte(`{"id":"01000000-0000-0000-0000-000000000000","plant_id":`+plant+`,"counted_at":"2026-02-03","counts":{"green":3},"total":4}`))
	f.Add(6, []byte(`{"plant_id":`+plant+`,"picked_at":"2026-02-03T08:00:00Z","stage":"","fruits":2,"mass_g":1e400}`))
	f.Add(7, []byte(`{"plant_id":null,"season_id":`+plant+`,"place_id":`+place+`,"cultivar_id":null,"lost_at":"2026-02-03"}`))
	f.Add(4, []byte(`{"label":"B1","moves":[{"place_id":`+place+`,"on":"2026-02-03"},{"place_id":null,"on":"2026-01-03"}]}`))
	f.Add(2, []byte(`{"name":"x","stages":[{"name":"a"},{"name":"a"}],"ripe_stage":"a"}`))
	f.Add(9, []byte(`{"id":`+plant+`,"place_id":`+place+`,"measured_at":"2026-02-03T08:15:00+24:00","air_c":-0.0}`))
	f.Add(0, []byte(`{"id":`+plant+`,"name":" x ","first_day":"2026-02-03","last_day":null}`))
	f.Add(8, []byte(`{"id":`+plant+`,"season_id":"01010000-0000-0000-0000-000000000000","noted_at":"2026-06-02","kind":"treated","pick_not_before":"2026-06-09"}`))
	f.Add(10, []byte(`{"seeds":-1,"emerged":5,"sown_on":"2026-02-03","counted_on":"2026-02-02"}`))
	f.Fuzz(func(t *testing.T, kind int, body []byte) {
		kinds := crop.Kinds()
		r := crop.New(kinds[uint(kind)%uint(len(kinds))])
		if json.Unmarshal(body, r) != nil {
			return
		}
		refs := site(t)
		faults := crop.Check(r, refs, now)
		twin := crop.New(r.RecordKind())
		if err := json.Unmarshal(body, twin); err != nil {
			t.Fatalf("read once, but not twice: %v", err)
		}
		if again := crop.Check(twin, refs, now); !reflect.DeepEqual(again, faults) {
			t.Errorf("the rules found %+v, then %+v", faults, again)
		}
		if len(faults) > 0 {
			for _, fault := range faults {
				if fault.Detail == "" || fault.Pointer == "" || fault.Pointer[0] != '/' {
					t.Errorf("a fault without a place or words: %+v", fault)
				}
			}
			return
		}
		text, err := json.Marshal(r)
		if err != nil {
			t.Fatalf("a good record can't be written: %v", err)
		}
		back := crop.New(r.RecordKind())
		if err := json.Unmarshal(text, back); err != nil {
			t.Fatalf("what was written can't be read: %v: %s", err, text)
		}
		if faults := crop.Check(back, refs, now); len(faults) > 0 {
			t.Errorf("what was written breaks rules: %+v: %s", faults, text)
		}
		if again, _ := json.Marshal(back); string(again) != string(text) {
			t.Errorf("written %s, then %s", text, again)
		}
	})
}

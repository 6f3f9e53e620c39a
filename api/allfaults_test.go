package api

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// faultsOf lists the faults of a refusal as "pointer detail".
func (r reply) faultsOf(t testing.TB) []string {
	t.Helper()
	list, _ := r.object(t)["errors"].([]any)
	var all []string
	for _, e := range list {
		f := e.(map[string]any)
		at := fmt.Sprint(f["pointer"])
		if line, ok := f["line"]; ok {
			at = fmt.Sprintf("%v:%v", line, f["column"])
		}
		all = append(all, fmt.Sprintf("%s %s", at, f["detail"]))
	}
	return all
}

// wantFaults compares faults with the beginnings of those wanted, in order.
func wantFaults(t *testing.T, r reply, want ...string) {
	t.Helper()
	got := r.faultsOf(t)
	if !slices.EqualFunc(got, want, strings.HasPrefix) {
		t.Errorf("got faults\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// TestAllFaultsOfARecord: values that can't be read and rules that the others break are told at once, and no rule is said to be
// broken that may hold once what can't be read is mended.
func TestAllFaultsOfARecord(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	for _, tc := range []struct {
		name, kind, body string
		want             []string
	}{
		{"types and rules", "counts", `{"plant_id": "PLANT", "counted_at": "2025-09-30", "counts": {"green": "12", "red": 1.5, "pink": 3, "turning": -1}, "observer": 7, "colour": "red"}`, []string{
			`/counts/green is "12"; it must be a whole number, without quotes`, `/counts/red is 1.5; it must be a whole number`,
			`/observer is 7; it must be text in quotes`, `/colour is not a field of counts; its fields are id, plant_id,`,
			`/counted_at is 2025-09-30, before the plant was sown, 2025-10-01;`, `/counts/turning is -1; it must be 0 to 100000 fruit`, `/counts/pink is given for "pink", which is not a stage`,
		}},
		{"an unreadable plant hides what rests on it", "counts", `{"plant_id": "A1", "counted_at": "2025-09-30", "counts": {"pink": 3}, "total": -5}`, []string{
			`/plant_id is "A1", which is not a UUID`,
		}},
		{"an unreadable total may be what was counted", "counts", `{"plant_id": "PLANT", "counted_at": "2026-02-03", "total": "5"}`, []string{`/total is "5"; it must be a whole number`}},
		{"an unreadable sowing day may be before the move", "plants", `{"season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "NOBODY", "label": "", "sown_on": "1.10.2025", "transplanted_on": "2025-10-20", "moves": [{"place_id": "PLACE", "on": "2025-10-05"}, {"place_id": 3, "on": 20251101}, 4]}`, []string{
			`/sown_on is "1.10.2025", which is not a date: want YYYY-MM-DD`, `/moves/1/place_id is 3; it must be a UUID, in quotes`, `/moves/1/on is 20251101; it must be a day as YYYY-MM-DD, in quotes`,
			`/moves/2 is 4; it must be an object`, `/label is empty; give a name`, `/cultivar_id is 0198b2c4-0000-7000-8000-000000000001, but there is no cultivar with this id;`,
		}},
		{"an unreadable mass may be what was picked", "pickings", `{"plant_id": "PLANT", "picked_at": "2026-02-03T08:15", "mass_g": "1,5", "grade": "A", "taste": 11}`, []string{
			`/picked_at is "2026-02-03T08:15", which is not a time: want RFC 3339`, `/mass_g is "1,5"; it must be a number`, `/grade is "A", which is not a grade;`, `/taste is 11; it must be 1 to 9`,
		}},
		{"an unreadable time_known decides how the time is read", "losses", `{"plant_id": "PLANT", "lost_at": "2026-03-01T23:00:00Z", "time_known": "no", "stage": "red", "fruits": 1, "cause": "hail"}`, []string{
			`/time_known is "no"; it must be true or false`, `/cause is "hail", which is not a cause;`,
		}},
		{"an unreadable season decides where the plant belongs", "diary", `{"season_id": [], "plant_id": "PLANT", "noted_at": 5, "kind": "treated", "pick_not_before": "2026-01-01", "ph": 15}`, []string{
			`/season_id is a list; it must be a UUID`, `/noted_at is 5; it must be a time as RFC 3339`, `/ph is 15; it must be 0 to 14`,
		}},
		{"a stage of a scale", "scales", `{"name": "x", "stages": ["a", {"nam": "b"}, 5, null], "ripe_stage": "b", "note": 1}`, []string{
			`/stages/1/nam is not a field here;`, `/stages/2 is 5; it must be an object`, `/note is not a field of scales;`, `/stages/1/name is empty;`, `/stages/3/name is empty;`,
		}},
		{"beside the record", "seasons", `{"name": " ", "base_version": -2, "last_day": "x"}`, []string{
			`/last_day is "x", which is not a date`, `/base_version is -2, which is negative;`, `/name is empty;`,
		}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := &client{t, c.handler}
			body := strings.ReplaceAll(lab.fill(tc.body), "NOBODY", madeID(1))
			wantFaults(t, c.want(422, "POST", "/v1/"+tc.kind, body), tc.want...)
			wantFaults(t, c.want(422, "PUT", "/v1/"+tc.kind+"/"+madeID(0xaa), body), tc.want...)
		})
	}
	var stages []string
	for i := range 3000 {
		stages = append(stages, fmt.Sprintf(`"s%d": "x"`, i))
	}
	r := c.want(422, "POST", "/v1/counts", `{"counts": {`+strings.Join(stages, ",")+`}}`)
	if n := len(r.faultsOf(t)); n != mostFaults || !strings.Contains(r.body, "the first 50 faults") {
		t.Errorf("%d faults are told, want %d and that they are the first: %.300s", n, mostFaults, r.body)
	}
}

// TestAllFaultsOfASync: the same of many records, which may refer to each other.
func TestAllFaultsOfASync(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	stored := `{"kind": "counts", "record": {"id": "` + madeID(7) + `", "plant_id": "PLANT", "counted_at": "2026-02-01", "counts": {"red": 1}}}`
	c.sync(lab.fill(stored))
	bad := `{"kind": "counts", "record": {"id": "` + madeID(1) + `", "plant_id": "PLANT", "counted_at": "2026-02-03", "counts": {"red": "2", "pink": 1}}}`
	for _, tc := range []struct {
		name  string
		items []string
		want  []string
	}{
		{"of a faulty item and of a whole one", []string{bad, `{"kind": "counts", "record": {"id": "` + madeID(2) + `", "plant_id": "PLANT", "counted_at": "2025-02-03", "counts": {"red": 2}}}`}, []string{
			`/items/0/record/counts/red is "2"; it must be a whole number`, `/items/0/record/counts/pink is given for "pink"`, `/items/1/record/counted_at is 2025-02-03, before the plant was sown`,
		}},
		{"what refers to a faulty item waits", []string{
			`{"kind": "plants", "record": {"id": "` + madeID(3) + `", "season_id": "SEASON", "place_id": "PLACE", "cultivar_id": 5, "label": "B1", "sown_on": "2025-12-01"}}`,
			`{"kind": "counts", "record": {"id": "` + madeID(4) + `", "plant_id": "` + madeID(3) + `", "counted_at": "2025-02-03", "counts": {"pink": 2}}}`,
			`{"kind": "counts", "record": {"id": "` + madeID(5) + `", "plant_id": "` + madeID(6) + `", "counted_at": "2026-02-03", "counts": {"red": 2}}}`,
		}, []string{`/items/0/record/cultivar_id is 5;`, `/items/2/record/plant_id is ` + madeID(6) + `, but there is no plant`}},
		{"an item that names no record may be what others refer to", []string{
			`{"kind": "plants", "record": {"id": "x", "season_id": "SEASON"}}`,
			`{"kind": "counts", "record": {"id": "` + madeID(5) + `", "plant_id": "` + madeID(6) + `", "counted_at": "2026-02-03", "counts": {"red": 2}}}`,
		}, []string{`/items/0/record/id is "x", which is not a UUID`}},
		{"what was stored before is right for good", []string{stored, bad, `{"kind": "plants", "id": "PLANT", "base_version": 1, "delete": true}`}, []string{
			`/items/1/record/counts/red is "2"`, `/items/1/record/plant_id is PLANT, but there is no plant`,
		}},
		{"a record that stands twice", []string{`{"kind": "cultivars", "record": {"id": "` + madeID(8) + `", "name": "x", "scale_id": "` + crop.ColourClassScaleID.String() + `"}}`,
			`{"kind": "cultivars", "record": {"id": "` + madeID(8) + `", "name": ""}, "more": 1}`}, []string{`/items/1/more is not a field here`, `/items/1/record/name is empty`}},
		{"faults beside the record", []string{`{"kind": "fruit"}`, `{"record": {}}`, `{"kind": 3, "id": 4}`, `{"kind": "counts"}`, `{"kind": "counts", "record": [1]}`, `{"kind": "seasons", "id": 4, "delete": true}`}, []string{
			`/items/0/kind is "fruit", which is no kind of record; write one of seasons, places`, `/items/1/kind is missing; write one of`, `/items/2/kind is 3; it must be text`, `/items/2/id is 4; it must be a UUID`,
			`/items/3/record is missing`, `/items/4/record is a list; it must be an object`, `/items/5/id is 4; it must be a UUID`, `/items/5/base_version is missing`,
		}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := &client{t, c.handler}
			r := c.want(422, "POST", "/v1/sync", lab.fill(syncBody(tc.items...)))
			for i := range tc.want {
				tc.want[i] = lab.fill(tc.want[i])
			}
			wantFaults(t, r, tc.want...)
		})
	}
	if n := len(c.want(200, "GET", "/v1/counts", "").items(t)); n != 1 {
		t.Errorf("%d counts are stored, want the one from before", n)
	}
	c.want(200, "GET", "/v1/plants/"+lab.plant, "")
}

// TestAllFaultsOfReadings: the same of temperatures in bulk, as JSON and as CSV.
func TestAllFaultsOfReadings(t *testing.T) {
	c := testClient(t)
	c.add(crop.Places, `{"name": "bay"}`)
	r := c.bulk(422, "application/json", "", `[
		{"place": "bog", "measured_at": "yesterday", "air_c": -300, "rh": 50},
		{"place": 5, "measured_at": "2027-02-03T08:00:00Z", "air_c": "18"},
		{"measured_at": "2026-02-03T08:00:00Z", "air_c": true}]`)
	wantFaults(t, r,
		`/0/measured_at is "yesterday"`, `/0/rh is not a field of a reading; its fields are place_id or place, measured_at, air_c`, `/0/place is "bog", but there is no such place;`, `/0/air_c is -300; it must be -273.15`,
		`/1/place is 5; it must be text`, `/1/air_c is "18"; it must be a number`, `/1/measured_at is 2027-02-03T08:00:00Z, which is in the future`,
		`/2/air_c is true; it must be a number`, `/2/place_id is missing; name the place`)
	r = c.bulk(422, "text/csv", "", "place,measured_at,air_c\nbog,yesterday,-300\nbay,,\"18,5\"\n,2027-02-03T08:00:00Z,x\n")
	wantFaults(t, r,
		`2:place is "bog", but there is no such place`, `2:measured_at "yesterday" is not a date; write a time as`, `2:air_c is -300; it must be`,
		`3:measured_at is empty`, `3:air_c "18,5" has a comma; write a decimal point`,
		`4:air_c "x" is not a number`, `4:place is missing`, `4:measured_at is 2027-02-03T08:00:00Z, which is in the future`)
}

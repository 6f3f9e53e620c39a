package api

import (
	"errors"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
)

// fuzzServer has nothing behind it but a place, which is all that reading needs.
func fuzzServer() *server {
	return &server{store: newMemory(), now: func() time.Time { return testNow }, limits: DefaultLimits()}
}

func fuzzContext(body string) *gin.Context {
	c, _ := gin.CreateTestContext(httptest.NewRecorder())
	c.Request = httptest.NewRequest("POST", "/", strings.NewReader(body))
	return c
}

// wantProblem demands that a refusal is the body's fault and can be written.
func wantProblem(t *testing.T, err error) {
	t.Helper()
	p, ok := errors.AsType[*problem](err)
	if !ok || p.Status != 400 && p.Status != 422 || p.Detail == "" {
		t.Fatalf("refused with %v, want a problem of 400 or 422", err)
	}
	if len(p.Errors) > mostFaults {
		t.Fatalf("%d faults are told, at most %d may be", len(p.Errors), mostFaults)
	}
	body, err := marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	if err := served().checkBody(reply{body: string(body)}, "components", "schemas", "Problem"); err != nil {
		t.Fatal(err)
	}
}

// FuzzSync: whatever the body, reading it ends in changes that can be sent again safely or in a problem of the body.
func FuzzSync(f *testing.F) {
	whole := syncBody(seasonBatch()...)
	f.Add(whole)
	for _, at := range []int{1, len(whole) / 3, len(whole) / 2, len(whole) - 2} { // cut off, and with bytes that don't belong there
		f.Add(whole[:at])
		f.Add(whole[:at] + "\x00" + whole[at:])
		f.Add(whole[:at] + whole[:at] + whole[at:])
	}
	for _, change := range []string{`0`, `-1`, `1.5`, `9223372036854775808`, `1e3`, `null`, `"0"`, `[0]`} {
		f.Add(strings.Replace(whole, `"base_version": 0`, `"base_version": `+change, 1))
	}
	f.Add(syncBody(`{"kind": "counts", "id": "` + madeID(1) + `", "record": {"id": "` + madeID(2) + `", "base_version": 2}, "base_version": 3}`))
	f.Add(syncBody(`{"kind": "seasons", "kind": "places", "id": "`+madeID(1)+`"}`, `{"kind": "harvests"}`, `null`, `{"delete": true, "kind": "plants", "record": {}}`))
	f.Add(`{"items": [{"kind": "seasons", "id": "` + madeID(1) + `", "base_version": 1, "delete": true}]}`)
	for _, body := range []string{``, `[]`, `{}`, `{"items": null}`, `{"items": [{"kind": "seasons", "record": {"a": [[[]]]}}]}`, `{"items": [`, "{\"items\": [\"\xff\"]}"} {
		f.Add(body)
	}
	s := fuzzServer()
	f.Fuzz(func(t *testing.T, body string) {
		items, err := s.readSync(fuzzContext(body))
		if err != nil {
			wantProblem(t, err)
			return
		}
		order := inOrderOfBase(items)
		seen := make([]bool, len(items))
		for _, at := range order {
			if seen[at] {
				t.Fatalf("the order %v has item %d twice", order, at)
			}
			seen[at] = true
		}
		for i, c := range items {
			if c.Record == nil || c.Record.Identity().IsZero() || c.Base != nil && *c.Base < 0 || c.Delete && c.Base == nil {
				t.Fatalf("item %d of %s became %+v", i, body, c)
			}
		}
	})
}

// FuzzBulk: the same of temperatures as CSV and as JSON; what is taken is a temperature.
func FuzzBulk(f *testing.F) {
	f.Add(bulkCSVExample, true)
	f.Add(`[{"place": "balcony", "measured_at": "2026-02-03T08:00:00Z", "air_c": 18.5}]`, false)
	f.Add("\ufeffplace,air_c,measured_at\r\n\"balcony\",1e2,2026-02-03T08:00:00+01:00\r\n", true)
	f.Add("place,measured_at,air_c\n\"balcony", true)
	f.Add(`{"items": []}`, false)
	inList := `{"items": [{"place_id": "` + (crop.ID{0: 1}).String() + `", "measured_at": "2026-02-03T08:00:00+01:00", "air_c": -1.5e1}]}`
	f.Add(inList, false)
	for _, at := range []int{1, len(inList) / 2, len(inList) - 1} {
		f.Add(inList[:at], false)
		f.Add(inList[:at]+inList[at-1:], false)
	}
	for _, at := range []int{5, len(bulkCSVExample) / 2, len(bulkCSVExample) - 1} {
		f.Add(bulkCSVExample[:at], true)
		f.Add(bulkCSVExample[:at]+"\x00\xff\""+bulkCSVExample[at:], true)
	}
	for _, air := range []string{"-273.15", "-273.16", "1e400", "0x1p4", "NaN", "1_000", "18,5", "", "-0"} {
		f.Add("place,measured_at,air_c\nbalcony,2026-02-03T08:00:00Z,"+air+"\n", true)
	}
	f.Add("place_id;measured_at;air_c\nbalcony;2026-02-03;1\n", true)
	f.Add("air_c,measured_at,place,place\n1,2026-02-03T08:00:00Z,balcony\n", true)
	s := fuzzServer()
	f.Fuzz(func(t *testing.T, body string, file bool) {
		places := []crop.Place{{ID: crop.ID{0: 1}, Name: "balcony"}}
		b := newBulk(s, &crop.Catalogue{Places: places})
		read := b.readJSON
		if file {
			read = func(body *bulkReader) error { return b.readCSV(t.Context(), body, places) }
		}
		err := read(s.bulkBody(fuzzContext(body)))
		if err == nil {
			err = b.faults.problem(invalidRecord)
		}
		if err != nil {
			wantProblem(t, err)
			return
		}
		for _, r := range b.readings {
			if !(r.airC >= -273.15 && r.airC <= 1000) || r.at > testNow.UnixMilli() || r.place != (crop.ID{0: 1}) {
				t.Fatalf("%q became %+v", body, r)
			}
		}
	})
}

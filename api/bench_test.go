package api

import (
	"fmt"
	"net/http/httptest"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

func BenchmarkGetOne(b *testing.B) {
	c := testClient(b)
	lab := newTrial(c)
	id := c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-02-03T08:15:00Z", "counts": {"green": 12, "red": 1}}`))
	for b.Loop() {
		w := httptest.NewRecorder()
		c.handler.ServeHTTP(w, httptest.NewRequest("GET", "/v1/counts/"+id, nil))
		if w.Code != 200 {
			b.Fatalf("status %d: %s", w.Code, w.Body)
		}
	}
}

func BenchmarkPostOne(b *testing.B) {
	c := testClient(b)
	lab := newTrial(c)
	n := 0
	for b.Loop() {
		n++
		body := lab.fill(fmt.Sprintf(`{"plant_id": "PLANT", "counted_at": "2026-02-03T08:15:00Z", "counts": {"green": %d, "red": 1}}`, n%1000))
		r := httptest.NewRequest("POST", "/v1/counts", strings.NewReader(body))
		r.Header.Set("Content-Type", "application/json")
		w := httptest.NewRecorder()
		c.handler.ServeHTTP(w, r)
		if w.Code != 201 {
			b.Fatalf("status %d: %s", w.Code, w.Body)
		}
	}
}

func BenchmarkDecode(b *testing.B) {
	body := []byte(`{"plant_id": "0198b2c4-0000-7000-8000-00000000000a", "counted_at": "2026-02-03T08:15:00Z", "counts": {"green": 12, "breaker": 3, "turning": 1, "red": 2}, "note": "sunny"}`)
	for b.Loop() {
		if _, faults, err := decodeRecord(crop.Visits, body); err != nil || len(faults) > 0 {
			b.Fatal(err)
		}
	}
}

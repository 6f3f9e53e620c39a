package api

import (
	"net/http/httptest"
	"testing"

	"vinetally/analytics/simulate"
)

// benchForecast asks for the forecast of so many plants with so many counts each, of a server that has just started and of one that has
// answered it before.
func benchForecast(b *testing.B, plants, visits int) {
	conduct, _ := simulate.Named("steady")
	conduct.Plants, conduct.Every = plants, [2]float64{2, 2}
	start, season := simulated(b, conduct, 38+2*(visits-1))
	at := "/v1/seasons/" + season + "/forecast"
	get := func(b *testing.B, c *client) {
		w := httptest.NewRecorder()
		c.handler.ServeHTTP(w, httptest.NewRequest("GET", at, nil))
		if w.Code != 200 {
			b.Fatalf("status %d: %s", w.Code, w.Body)
		}
		b.ReportMetric(float64(w.Body.Len()), "bytes/answer")
	}
	b.Run("cold", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			get(b, start())
		}
	})
	b.Run("cached", func(b *testing.B) {
		c := start()
		get(b, c)
		for b.Loop() {
			get(b, c)
		}
	})
}

func BenchmarkForecast4x40(b *testing.B)    { benchForecast(b, 4, 40) }
func BenchmarkForecast1000x50(b *testing.B) { benchForecast(b, 1000, 50) }

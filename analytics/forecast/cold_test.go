package forecast_test

import (
	"slices"
	"strings"
	"testing"

	"vinetally/analytics/forecast"
)

// TestCold: where it is too cold for fruit to ripen the forecast says so, and not where it isn't.
func TestCold(t *testing.T) {
	trial, asOf := grown("steady", 6)
	m := modelOf(trial.AsOf(asOf), asOf)
	for airC, want := range map[float64]bool{4: true, 8: true, 11: false, 20: false} {
		f := forecast.Of(m, forecast.Options{Days: 14, AirC: &airC})
		sane(t, f)
		if got := slices.ContainsFunc(f.Warnings, func(w string) bool { return strings.Contains(w, "fruit hardly ripens") }); got != want {
			t.Errorf("at %v °C it is too cold: %v, %q", airC, got, f.Warnings)
		}
	}
}

// TestHot: what isn't known of fruit in the heat is said where somebody says how hot it will be.
func TestHot(t *testing.T) {
	trial, asOf := grown("steady", 6)
	m := modelOf(trial.AsOf(asOf), asOf)
	for airC, want := range map[float64]string{20: "", 26: "", 28: "No published times go beyond 26 °C", 34: "hardly turns red"} {
		f := forecast.Of(m, forecast.Options{Days: 14, AirC: &airC})
		for _, words := range []string{"No published times go beyond 26 °C", "hardly turns red"} {
			if got := slices.ContainsFunc(f.Warnings, func(w string) bool { return strings.Contains(w, words) }); got != (words == want) {
				t.Errorf("at %v °C %q is said: %v", airC, words, got)
			}
		}
	}
}

package glm

import (
	"errors"
	"math"
	"testing"
)

func TestRatesRefused(t *testing.T) {
	_, negative := RateOf(-1, 2, 0.9)
	_, nowhere := RateOf(1, 0, 0.9)
	_, certain := RateOf(1, 2, 1)
	_, nothing := Compare(0, 1, 0, 1, 0.9)
	_, backwards := Compare(1, 1, -1, 1, 0.9)
	_, unexposed := Compare(1, math.NaN(), 1, 1, 0.9)
	_, sure := Compare(1, 1, 1, 1, 1)
	for name, err := range map[string]error{
		"a count below 0": negative, "no exposure": nowhere, "certainty": certain,
		"no counts to compare": nothing, "a second count below 0": backwards, "an exposure of no number": unexposed, "certainty of a ratio": sure,
	} {
		if r := new(Refusal); !errors.As(err, &r) {
			t.Errorf("%s: got %v, want a refusal", name, err)
		}
	}
}

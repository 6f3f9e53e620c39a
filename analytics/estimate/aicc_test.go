package estimate

import (
	"errors"
	"math"
	"testing"
)

// By hand: AICc 10, 12 and 10 + 2·ln 4 give e⁰ : e⁻¹ : 1/4.
func TestRankByHand(t *testing.T) {
	ranked, best, err := Rank([]Scored{{"second", 12}, {"first", 10}, {"third", 10 + 2*math.Log(4)}})
	if err != nil {
		t.Fatal(err)
	}
	sum := 1 + math.Exp(-1) + 0.25
	for i, want := range []float64{math.Exp(-1) / sum, 1 / sum, 0.25 / sum} {
		if math.Abs(ranked[i].Weight-want) > 1e-15 {
			t.Errorf("weight of %s: got %v, want %v", ranked[i].Name, ranked[i].Weight, want)
		}
	}
	if best != 1 || ranked[0].Delta != 2 {
		t.Errorf("got best %d, delta %v; want 1, 2", best, ranked[0].Delta)
	}
}

func TestRankEdges(t *testing.T) {
	if _, best, err := Rank([]Scored{{"a", 5}, {"b", 5}}); best != 0 || err != nil {
		t.Errorf("a tie: got %d, %v; want the first", best, err)
	}
	ranked, _, err := Rank([]Scored{{"a", -1e308}, {"b", 1e308}})
	if err != nil || ranked[0].Weight != 1 || ranked[1].Weight != 0 || !allFinite(ranked[1].Delta) {
		t.Errorf("far apart: got %+v, %v", ranked, err)
	}
	for name, bad := range map[string][]Scored{"none": nil, "NaN": {{"a", math.NaN()}}, "infinite": {{"a", 1}, {"b", math.Inf(1)}}} {
		if _, _, err := Rank(bad); !errors.As(err, new(*Invalid)) {
			t.Errorf("%s: got %v, want Invalid", name, err)
		}
	}
}

package api

import (
	"testing"
)

// TestCountFit: every count of a plant but its first is held against what was expected of it, and they add up; a plant with one count has none.
func TestCountFit(t *testing.T) {
	c := newClient(t, newSite(t))
	lab := newTrial(c)
	colouring(c, lab)
	at := "/v1/seasons/" + lab.season + "/fit"
	a := decoded[countFitAnswer](t, c.want(200, "GET", at, "").body)
	if len(a.Plants) == 0 || len(a.Cultivars) == 0 {
		t.Fatalf("%+v", a)
	}
	counts, numbers, squared := 0, 0, 0.0
	for _, p := range a.Plants {
		if p.Fit.Counts != len(p.Visits) {
			t.Errorf("%s: %d counts, %d listed", p.Plant, p.Fit.Counts, len(p.Visits))
		}
		for _, v := range p.Visits {
			if v.Chance < 0 || v.Chance > 1 || len(v.Numbers) == 0 || v.Squared < 0 {
				t.Errorf("%s: %+v", p.Plant, v)
			}
			counts, numbers, squared = counts+1, numbers+len(v.Numbers), squared+v.Squared
		}
		if (p.Fit.Squared == nil) != (len(p.Visits) == 0) {
			t.Errorf("%s: %+v", p.Plant, p.Fit)
		}
	}
	sum := a.Cultivars[0].Fit
	if counts == 0 || sum.Counts != counts || sum.Numbers != numbers || sum.Squared == nil {
		t.Fatalf("%d counts of %d numbers, the cultivar has %+v", counts, numbers, sum)
	}
	if got := *sum.Squared * float64(numbers); got < squared-0.1*float64(numbers) || got > squared+0.1*float64(numbers) {
		t.Errorf("the cultivar's squared deviations add up to %v, those of its counts to %v", got, squared)
	}
	early := decoded[countFitAnswer](t, c.want(200, "GET", at+"?as_of=2020-01-01T00:00:00Z", "").body)
	if len(early.Plants) != 0 {
		t.Errorf("before any count: %+v", early.Plants)
	}
	c.want(404, "GET", "/v1/seasons/0198b2c4-0000-7000-8000-000000000001/fit", "")
	c.want(400, "GET", at+"?as_of=yesterday", "")
}

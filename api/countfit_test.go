package api

import (
	"reflect"
	"strings"
	"testing"

	"vinetally/analytics/crop"
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

// TestMisfits: a slip is named with its count; asked for one plant the answer holds that alone; one that isn't of the season is refused.
func TestMisfits(t *testing.T) {
	c := newClient(t, newSite(t))
	lab := newTrial(c)
	colouring(c, lab)
	at := "/v1/seasons/" + lab.season + "/fit"
	none := decoded[countFitAnswer](t, c.want(200, "GET", at, "").body)
	if len(none.Misfits) > 0 || len(none.Warnings) != 1 || !strings.HasPrefix(none.Warnings[0], "No temperatures are recorded") || none.Clock.Kind == "" || none.RestsOn.Plants != 1 || none.RestsOn.Visits != 5 {
		t.Errorf("without a slip: %+v", none)
	}
	id := c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-02-27", "counts": {"green": 4, "breaker": 1, "turning": 1, "red": 14}}`))
	a := decoded[countFitAnswer](t, c.want(200, "GET", at, "").body)
	if len(a.Misfits) == 0 || len(a.Warnings) != 2 {
		t.Fatalf("fourteen red fruit of four: %+v", a)
	}
	if x := a.Misfits[0]; x.VisitID.String() != id || x.PlantID.String() != lab.plant || x.TimeKnown || x.Stage == nil || *x.Stage != "red" || x.Seen != 14 || x.Chance > 0.001 {
		t.Errorf("the slip %s: %+v", id, x)
	}
	last := a.Plants[0].Visits[len(a.Plants[0].Visits)-1]
	if last.VisitID.String() != id || len(last.VisitIDs) != 1 || last.TimeKnown || a.Plants[0].Fit.Unlikely != len(a.Misfits) {
		t.Errorf("its visit: %+v", last)
	}
	one := decoded[countFitAnswer](t, c.want(200, "GET", at+"?plant_id="+lab.plant, "").body)
	if !reflect.DeepEqual(one.Plants, a.Plants) || !reflect.DeepEqual(one.Misfits, a.Misfits) {
		t.Errorf("the plant alone: %+v", one)
	}
	c.want(400, "GET", at+"?plant_id=0198b2c4-0000-7000-8000-000000000001", "")
	c.want(400, "GET", at+"?plant_id=B1", "")
}

package api

import (
	"context"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// counted is a store that counts how often seasons were loaded.
type counted struct {
	Store
	loads atomic.Int32
}

func (c *counted) LoadSeason(ctx context.Context, id crop.ID, temperatures bool) (*crop.Trial, error) {
	c.loads.Add(1)
	return c.Store.LoadSeason(ctx, id, temperatures)
}

// TestKeptAnswersAreFresh: whatever is written, an answer is that of a server that keeps nothing from before.
func TestKeptAnswersAreFresh(t *testing.T) {
	store := newSite(t)
	c := newClient(t, store)
	lab := newTrial(c)
	colouring(c, lab)
	before := c.add(crop.Seasons, `{"name": "Winter 2024", "first_day": "2024-10-01", "last_day": "2025-04-01"}`)
	old := c.add(crop.Plants, lab.fill(`{"season_id": "`+before+`", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "label": "A1", "sown_on": "2024-10-01"}`))
	r := rand.New(rand.NewPCG(6, 1))
	var made []string
	add := func(kind crop.Kind, body string) { made = append(made, string(kind)+"/"+c.add(kind, lab.fill(body))) }
	day := func(first int) string {
		return fmt.Sprintf("2026-02-%02dT%02d:30:00Z", first+r.IntN(28-first), r.IntN(24))
	}
	writes := []func(){
		func() {
			add(crop.Visits, fmt.Sprintf(`{"plant_id": "PLANT", "counted_at": %q, "counts": {"green": %d, "breaker": %d, "turning": 1, "red": %d}}`, day(8), r.IntN(9), r.IntN(3), r.IntN(4)))
		},
		func() {
			add(crop.Pickings, fmt.Sprintf(`{"plant_id": "PLANT", "picked_at": %q, "fruits": 1, "mass_g": %d}`, day(20), 5+r.IntN(6)))
		},
		func() {
			add(crop.Losses, fmt.Sprintf(`{"plant_id": "PLANT", "lost_at": %q, "stage": "red", "fruits": 1, "cause": "split"}`, day(20)))
		},
		func() {
			add(crop.Diary, fmt.Sprintf(`{"season_id": "SEASON", "noted_at": %q, "kind": "treated", "pick_not_before": "2026-03-%02d"}`, day(8), 1+r.IntN(14)))
		},
		func() {
			readings := "place,measured_at,air_c\n"
			for h := range 24 * 8 {
				readings += fmt.Sprintf("balcony,%s,%d\n", time.Date(2026, 2, 20, h, 0, 0, 0, time.UTC).Format(time.RFC3339), 12+r.IntN(15))
			}
			c.want(200, "POST", "/v1/temperatures/bulk?replace=true", readings, "Content-Type", "text/csv")
		},
		func() { // of the season before
			add(crop.Visits, fmt.Sprintf(`{"plant_id": %q, "counted_at": "2025-02-%02dT09:00:00Z", "counts": {"green": %d, "breaker": 1, "turning": 0, "red": %d}}`, old, 1+r.IntN(27), r.IntN(9), r.IntN(9)))
		},
		func() {
			c.want(200, "PUT", "/v1/cultivars/"+lab.cultivar, fmt.Sprintf(`{"name": "Pip", "hold_days": %d}`, 2+r.IntN(9)))
		},
		func() {
			at := r.IntN(len(made))
			c.want(204, "DELETE", "/v1/"+made[at], "")
			made = append(made[:at], made[at+1:]...)
		},
	}
	at := "/v1/seasons/" + lab.season
	asked := []string{at + "/forecast", at + "/forecast?as_of=2026-02-27T09:00:00Z", at + "/forecast?days=3&weekdays=mon&tolerated=0.2", at + "/forecast?air_c=24", at + "/past-ripe", at + "/past-ripe?hold_days=3", at + "/past-ripe?hold_days=3&as_of=2026-02-25T12:00:00Z",
		at + "/waste", at + "/fit", "/calendar.ics", "/reports/seasons/" + lab.season, "/reports/seasons/" + lab.season + "?hold_days=3&as_of=2026-02-25T12:00:00Z", "/reports/plants/" + lab.plant}
	const rounds = 16
	changed := 0
	last := map[string]string{}
	for i := range rounds {
		writes[i%len(writes)]()
		fresh := newClient(t, store)
		for _, target := range asked {
			kept, again := c.want(200, "GET", target, ""), c.want(200, "GET", target, "")
			if want := fresh.want(200, "GET", target, ""); kept.body != want.body || again.body != want.body {
				t.Fatalf("write %d: %s\n kept %s\nfresh %s", i%len(writes), target, kept.body, want.body)
			}
			if last[target] != kept.body {
				changed++
			}
			last[target] = kept.body
		}
	}
	if changed < rounds*len(asked)/2 {
		t.Errorf("of %d answers only %d differ from the one before, so little was tried", rounds*len(asked), changed)
	}
}

// TestNowLeavesOutNothing: an answer of now uses what was recorded within the current minute, and none of what comes after its moment.
func TestNowLeavesOutNothing(t *testing.T) {
	store := newSite(t)
	now := testNow.Add(40 * time.Second)
	c := &client{t, New(Config{Store: store, Now: func() time.Time { return now }, Logger: slog.New(slog.DiscardHandler), Hosts: testHosts})}
	lab := newTrial(c)
	colouring(c, lab)
	at := "/v1/seasons/" + lab.season + "/forecast"
	get := func() forecastAnswer { t.Helper(); return decoded[forecastAnswer](t, c.want(200, "GET", at, "").body) }
	if a := get(); !a.AsOf.Equal(testNow) {
		t.Errorf("at %s as_of is %s, want the minute", now, a.AsOf)
	}
	// The store's clock stands at testNow, so that nothing later may be recorded.
	now = testNow
	c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-03-01T11:59:30Z", "counts": {"green": 2, "breaker": 0, "turning": 0, "red": 6}}`))
	now = testNow.Add(-20 * time.Second)
	a := get()
	if want := testNow.Add(-30 * time.Second); !a.AsOf.Equal(want) || !a.Plants[0].LastCount.Equal(want) {
		t.Errorf("as_of %s, last count %s; want both to be the count within the minute, %s", a.AsOf, a.Plants[0].LastCount, want)
	}
	if b := decoded[forecastAnswer](t, c.want(200, "GET", at+"?as_of="+a.AsOf.Format(time.RFC3339), "").body); b.Season.NewlyRipe[6] != a.Season.NewlyRipe[6] {
		t.Errorf("asked for again %+v, before %+v", b.Season.NewlyRipe[6], a.Season.NewlyRipe[6])
	}
}

// TestAskedAtOnce: many requests at one time share one load and one fit, also where they ask for different forecasts by it.
func TestAskedAtOnce(t *testing.T) {
	store := &counted{Store: newSite(t)}
	c := newClient(t, store)
	lab := newTrial(c)
	colouring(c, lab)
	var asked []string
	want := map[string]string{}
	for _, query := range []string{"/forecast", "/forecast?days=3", "/forecast?air_c=25", "/past-ripe?hold_days=3", "/waste"} {
		target := "/v1/seasons/" + lab.season + query
		asked, want[target] = append(asked, target), newClient(t, store.Store).want(200, "GET", target, "").body
	}
	var all sync.WaitGroup
	for i := range 20 {
		target := asked[i%len(asked)]
		all.Go(func() {
			if got := c.do("GET", target, ""); got.status != 200 || got.body != want[target] {
				t.Errorf("%s: status %d: %s", target, got.status, got.body)
			}
		})
	}
	all.Wait()
	if n := store.loads.Load(); n != 1 {
		t.Errorf("the season was loaded %d times", n)
	}
}

// TestReportsAreKept: a report is made once for all who ask for it, and anew after a write; a refusal isn't kept.
func TestReportsAreKept(t *testing.T) {
	store := &counted{Store: newSite(t)}
	c := newClient(t, store)
	lab := newTrial(c)
	colouring(c, lab)
	page := "/reports/seasons/" + lab.season
	first := c.want(200, "GET", page, "").body
	for range 3 {
		if again := c.want(200, "GET", page, "").body; again != first {
			t.Error("asked again it is another page")
		}
	}
	if n := store.loads.Load(); n != 1 {
		t.Errorf("the season was loaded %d times for one report", n)
	}
	c.want(200, "GET", page+"?hold_days=2", "")
	c.want(400, "GET", page+"?from_day=2026-03-01&to_day=2026-02-01", "")
	c.want(400, "GET", page+"?from_day=2026-03-01&to_day=2026-02-01", "")
	if n := store.loads.Load(); n != 4 {
		t.Errorf("the season was loaded %d times, want once more for another report and for each refusal", n)
	}
	c.add(crop.Pickings, lab.fill(`{"plant_id": "PLANT", "picked_at": "2026-02-27T10:00:00Z", "fruits": 1}`))
	if c.want(200, "GET", page, "").body == first {
		t.Error("after a picking it is the same page")
	}
}

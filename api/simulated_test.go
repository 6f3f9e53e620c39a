package api

import (
	"context"
	"slices"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/simulate"
)

// simulated starts servers with a simulated trial in their store, cut to some days after its beginning, where their clock stands.
func simulated(t testing.TB, conduct simulate.Conduct, days int) (restart func() *client, season string) {
	t.Helper()
	w := simulate.New(conduct, 1)
	now := w.Start.AddDate(0, 0, days).Add(20*time.Hour + 30*time.Minute)
	store := newSiteAt(t, now)
	trial := w.Trial.AsOf(now)
	changes := slices.Concat(all[*crop.Place](trial.Places), all[*crop.Cultivar](trial.Cultivars), all[*crop.Plant](trial.Plants), all[*crop.Visit](trial.Visits),
		all[*crop.Picking](trial.Pickings), all[*crop.Loss](trial.Losses), all[*crop.DiaryEntry](trial.Diary), all[*crop.Temperature](trial.Temperatures))
	changes = append(changes, crop.Change{Record: &trial.Season})
	if _, err := store.Apply(context.Background(), changes, crop.ApplyOptions{}); err != nil {
		t.Fatal(err)
	}
	return func() *client { return newClientAt(t, store, now) }, trial.Season.ID.String()
}

func all[P interface {
	*T
	crop.Record
}, T any](rows []T) []crop.Change {
	var changes []crop.Change
	for i := range rows {
		changes = append(changes, crop.Change{Record: P(&rows[i])})
	}
	return changes
}

// TestWasteIntervals: on neglected plants the longer the wait the more would be lost, and the wait that cost most is named.
func TestWasteIntervals(t *testing.T) {
	conduct, _ := simulate.Named("neglected")
	start, season := simulated(t, conduct, 130)
	c := start()
	w := decoded[wasteAnswer](t, c.want(200, "GET", "/v1/seasons/"+season+"/waste", "").body)
	if len(w.Intervals) != 5 || w.Costliest == nil || !w.Costliest.From.Before(w.Costliest.To) || w.Costliest.Passed.Mean < 0.5 {
		t.Fatalf("intervals %+v, costliest %+v, warnings %q", w.Intervals, w.Costliest, w.Warnings)
	}
	last := 0.0
	for i, days := range []int{1, 2, 3, 4, 7} {
		x := w.Intervals[i]
		if x.EveryDays != days || x.LostShare.Value <= last || x.LostShare.Low > x.LostShare.Value || x.LostShare.High < x.LostShare.Value {
			t.Errorf("%+v after %v", x, last)
		}
		last = x.LostShare.Value
	}
}

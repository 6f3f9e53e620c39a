package api

import (
	"context"
	"html"
	"log/slog"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
)

// todayPage is the page of today, once its forecast is there.
func todayPage(c *client, target string) string {
	c.Helper()
	for range 30 {
		page := html.UnescapeString(c.want(200, "GET", target, "").body)
		if !strings.Contains(page, stillWorking) {
			return page
		}
		time.Sleep(time.Second)
	}
	c.Fatal("the forecast never came")
	return ""
}

// TestToday: the page says what to pick, what hangs too long and what to count, in words that stand in the page itself.
func TestToday(t *testing.T) {
	c := testClient(t)
	has := func(page string, all ...string) {
		t.Helper()
		for _, want := range all {
			if !strings.Contains(page, want) {
				t.Errorf("the page lacks %q", want)
			}
		}
	}
	if page := todayPage(c, "/"); strings.Contains(page, "Today:") || !strings.Contains(page, "There are no seasons yet") {
		t.Error("without seasons the page speaks of today, or doesn't say that there are none")
	}
	lab := newTrial(c)
	has(todayPage(c, "/"), "Today: Winter 2025", "There is nothing to forecast yet: no plant that stands has been counted", "/reports/seasons/"+lab.season)
	colouring(c, lab)
	page := todayPage(c, "/")
	has(page, "As of 1 Mar 2026, 12:00", "about", "fruit (90 % interval", "on A1", "Picking days", "/reports/plants/"+lab.plant, "/calendar.ics?season="+lab.season, "doesn't mean safe to eat")
	// Six ripe fruit that nobody has picked for weeks.
	c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-02-08T09:00:00Z", "counts": {"green": 10, "breaker": 0, "turning": 0, "red": 0}}`))
	old := c.add(crop.Plants, lab.fill(`{"season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "label": "B7", "sown_on": "2025-10-01"}`))
	for day, counts := range map[string]string{"05": `"green": 7, "breaker": 1, "turning": 1, "red": 5`, "12": `"green": 5, "breaker": 1, "turning": 1, "red": 7`, "26": `"green": 2, "breaker": 1, "turning": 1, "red": 10`} {
		c.add(crop.Visits, `{"plant_id": "`+old+`", "counted_at": "2026-02-`+day+`T09:00:00Z", "counts": {`+counts+`}}`)
	}
	page = todayPage(c, "/")
	has(page, "Pick today: about", "Ripe for too long: about", "on B7", "of them for certain if the records are complete", "Look at these first", "90 % interval")
	c.add(crop.Diary, `{"season_id": "`+lab.season+`", "plant_id": "`+old+`", "noted_at": "2026-02-27T10:00:00Z", "kind": "treated", "pick_not_before": "2026-03-20"}`)
	has(todayPage(c, "/"), "B7 was treated: it isn't to be picked before 20 Mar 2026")
	other := c.add(crop.Seasons, `{"name": "Spring 2026", "first_day": "2026-02-01"}`)
	has(todayPage(c, "/"), "Today: Spring 2026", "Today in other seasons", "/?season="+lab.season)
	has(todayPage(c, "/?season="+lab.season), "Today: Winter 2025", "/?season="+other)
	c.want(404, "GET", "/?season=x", "")
}

func TestCurrentSeasons(t *testing.T) {
	day := func(month time.Month, day int) *crop.Date { return &crop.Date{Year: 2026, Month: month, Day: day} }
	c := &crop.Catalogue{Places: []crop.Place{{TimeZone: "Pacific/Auckland"}}, Seasons: []crop.Season{
		{Name: "without days"}, {Name: "over", FirstDay: day(1, 1), LastDay: day(2, 28)}, {Name: "last day", FirstDay: day(1, 2), LastDay: day(3, 2)},
		{Name: "first day", FirstDay: day(3, 2)}, {Name: "to come", FirstDay: day(3, 3)}}}
	var names []string
	// In Auckland it is 2 March at one in the morning.
	for _, s := range current(c, testNow) {
		names = append(names, s.Name)
	}
	if got := strings.Join(names, ", "); got != "first day, last day, without days" {
		t.Errorf("under way: %s", got)
	}
}

func TestShortWords(t *testing.T) {
	for n, want := range map[float64]string{0: "no fruit", 0.4: "no fruit", 0.6: "1 fruit", 2.4: "2 fruit"} {
		if got := fruitWords(n); got != want {
			t.Errorf("%v: %q, want %q", n, got, want)
		}
	}
	if got := some([]string{"A", "B", "C", "D", "E", "F", "G", "H"}); got != "A, B, C, D, E, F and 2 more" {
		t.Errorf("eight plants: %q", got)
	}
}

// TestTodayBefore: the page as it was at a moment says that it isn't today's, and knows of nothing later.
func TestTodayBefore(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	colouring(c, lab)
	page := todayPage(c, "/?as_of=2026-02-18T20:00:00Z")
	for _, want := range []string{"As it was: Winter 2025", "As of 18 Feb 2026, 20:00", "This is not today: it is what this page said on Wednesday, 18 Feb 2026", "Picking days"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if strings.Contains(page, "Today:") {
		t.Error("a page of the past speaks of today")
	}
	c.want(400, "GET", "/?as_of=yesterday", "")
}

// TestNoneUnderWay: where every season is over the page says so and leads to the report; where the records are made up it shows the moment that it was
// given, and says that it isn't today.
func TestNoneUnderWay(t *testing.T) {
	site := newSite(t)
	c := newClient(t, site)
	lab := newTrial(c)
	colouring(c, lab)
	c.want(200, "PUT", "/v1/seasons/"+lab.season, `{"name": "Winter 2025", "first_day": "2025-10-01", "last_day": "2026-02-27"}`)
	page := todayPage(c, "/")
	for _, want := range []string{"No season is under way", "Winter 2025 ended on 27 Feb 2026", "/reports/seasons/" + lab.season} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	invented := &client{t, New(Config{Store: site, Now: func() time.Time { return testNow }, Logger: slog.New(slog.DiscardHandler), Hosts: testHosts, Invented: "Made up.", InventedAt: time.Date(2026, 2, 18, 20, 0, 0, 0, time.UTC)})}
	page = todayPage(invented, "/")
	for _, want := range []string{"Made up.", "No season is under way today: this is what this page said on", "As it was: Winter 2025", "Picking days"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page of made-up records lacks %q", want)
		}
	}
	c.want(200, "PUT", "/v1/seasons/"+lab.season, `{"name": "Winter 2025", "first_day": "2025-10-01"}`)
	if page := todayPage(invented, "/"); !strings.Contains(page, "Today: Winter 2025") || strings.Contains(page, "As it was") {
		t.Error("a season is under way, and the page doesn't speak of today")
	}
}

// slowStore takes longer to load a season than the page of today waits.
type slowStore struct{ Store }

func (s slowStore) LoadSeason(ctx context.Context, id crop.ID, temperatures bool) (*crop.Trial, error) {
	time.Sleep(patience + 500*time.Millisecond)
	return s.Store.LoadSeason(ctx, id, temperatures)
}

// TestTodayLater: a page whose forecast isn't there yet says so and asks a browser to look again, which then finds it.
func TestTodayLater(t *testing.T) {
	site := newSite(t)
	c := newClient(t, site)
	colouring(c, newTrial(c))
	slow := newClient(t, slowStore{site})
	r := slow.want(200, "GET", "/", "")
	if !strings.Contains(html.UnescapeString(r.body), stillWorking) || r.header.Get("Refresh") != askAgain {
		t.Errorf("the page of a forecast under way: Refresh %q", r.header.Get("Refresh"))
	}
	if page := todayPage(slow, "/"); !strings.Contains(page, "Picking days") {
		t.Errorf("the page of a forecast that is there:\n%s", page)
	}
	if r := slow.want(200, "GET", "/", ""); r.header.Get("Refresh") != "" {
		t.Errorf("later: Refresh %q", r.header.Get("Refresh"))
	}
}

// TestRipestFirst: of more plants than the page lists it lists those with most to be picked.
func TestRipestFirst(t *testing.T) {
	plants := make([]forecast.Plant, mostRows+5)
	for i := range plants {
		plants[i].RipeNow.Mean = float64(i)
	}
	got := ripestFirst(plants)
	if len(got) != mostRows || got[0].RipeNow.Mean != float64(len(plants)-1) {
		t.Errorf("%d plants, the first with %v ripe", len(got), got[0].RipeNow.Mean)
	}
	if got := ripestFirst(plants[:mostRows]); got[0] != &plants[0] || got[mostRows-1] != &plants[mostRows-1] {
		t.Error("few enough plants aren't in their order")
	}
}

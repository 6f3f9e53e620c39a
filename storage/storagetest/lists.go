package storagetest

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// walk reads a list page by page and calls between after each.
func walk(f *farm, kind crop.Kind, filter crop.Filter, between func()) []crop.Stored {
	f.tb.Helper()
	var all []crop.Stored
	for {
		page, err := f.store.List(f.ctx, kind, filter)
		if err != nil {
			f.tb.Fatalf("list %s: %v", kind, err)
		}
		all = append(all, page.Items...)
		if page.Next == "" {
			return all
		}
		if len(page.Items) != filter.Limit {
			f.tb.Fatalf("list %s: a page of %d before the last, want %d", kind, len(page.Items), filter.Limit)
		}
		filter.Cursor = page.Next
		between()
	}
}

func testLists(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	all := samples(f)
	f.put(all...)
	f.put(g2(f, "B")[0], f.newPlant("A10"), f.newVisit("2026-05-01T08:30:00.125+01:00", 1), f.newVisit("2026-05-02", 1))
	for _, kind := range crop.Kinds() {
		whole := walk(f, kind, crop.Filter{Limit: 500}, nil)
		if len(whole) == 0 {
			t.Errorf("%s: nothing listed", kind)
		}
		for limit := 1; limit <= 3; limit++ {
			paged := walk(f, kind, crop.Filter{Limit: limit}, func() {})
			if got, want := text(paged), text(whole); got != want {
				t.Errorf("%s in pages of %d:\n got %s\nwant %s", kind, limit, got, want)
			}
		}
		for _, s := range whole {
			if one := f.get(kind, s.Record.Identity()); text(one) != text(s) {
				t.Errorf("%s: list and get differ:\n%s\n%s", kind, text(s), text(one))
			}
		}
	}
	empty, err := f.store.List(f.ctx, crop.Visits, crop.Filter{PlantID: new(f.store.NewID())})
	if err != nil || len(empty.Items) != 0 || empty.Next != "" || empty.Items == nil {
		t.Errorf("an empty list is %+v, %v", empty, err)
	}
}

func testFilters(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	all := samples(f)
	f.put(all...)
	balcony, lantern, twin := all[1].Identity(), all[3].Identity(), all[4].Identity()
	on := func(s string) *time.Time { return new(moment(s).At) }
	for _, c := range []struct {
		kind   crop.Kind
		name   string
		filter crop.Filter
		want   int
	}{
		{crop.Plants, "season", crop.Filter{SeasonID: &f.season.ID}, 2},
		{crop.Plants, "other season", crop.Filter{SeasonID: new(all[0].Identity())}, 0},
		{crop.Plants, "place moved to", crop.Filter{PlaceID: &balcony}, 1},
		{crop.Plants, "cultivar", crop.Filter{CultivarID: &lantern}, 0},
		{crop.Visits, "plant", crop.Filter{PlantID: &f.plant.ID}, 2},
		{crop.Visits, "other plant", crop.Filter{PlantID: &twin}, 0},
		{crop.Visits, "season", crop.Filter{SeasonID: &f.season.ID}, 2},
		{crop.Visits, "cultivar", crop.Filter{CultivarID: &f.cultivar.ID}, 2},
		{crop.Visits, "place", crop.Filter{PlaceID: &f.place.ID}, 2},
		{crop.Visits, "other place", crop.Filter{PlaceID: &balcony}, 0},
		{crop.Visits, "from", crop.Filter{From: on("2026-05-01T08:30:00.125+01:00")}, 2},
		{crop.Visits, "from after", crop.Filter{From: on("2026-05-01T08:30:00.126+01:00")}, 1},
		{crop.Visits, "to", crop.Filter{To: on("2026-05-01T08:30:00.125+01:00")}, 1},
		{crop.Pickings, "season, of plants and units", crop.Filter{SeasonID: &f.season.ID}, 2},
		{crop.Pickings, "cultivar", crop.Filter{CultivarID: &f.cultivar.ID}, 2},
		{crop.Pickings, "plant", crop.Filter{PlantID: &f.plant.ID}, 1},
		{crop.Losses, "place", crop.Filter{PlaceID: &f.place.ID}, 2},
		{crop.Losses, "place and time", crop.Filter{PlaceID: &f.place.ID, To: on("2026-05-04T12:00:00+01:00")}, 1},
		{crop.Diary, "season", crop.Filter{SeasonID: &f.season.ID}, 1},
		{crop.Diary, "plant", crop.Filter{PlantID: &twin}, 0},
		{crop.Temperatures, "place", crop.Filter{PlaceID: &f.place.ID}, 1},
		{crop.Temperatures, "time", crop.Filter{From: on("2026-05-07")}, 0},
		{crop.Germinations, "season", crop.Filter{SeasonID: &f.season.ID, CultivarID: &f.cultivar.ID}, 1},
		{crop.Germinations, "to its day", crop.Filter{To: on("2026-03-09")}, 1},
		{crop.Germinations, "to the day before", crop.Filter{To: on("2026-03-08")}, 0},
	} {
		page, err := f.store.List(f.ctx, c.kind, c.filter)
		if err != nil || len(page.Items) != c.want {
			t.Errorf("%s by %s: %d, %v; want %d", c.kind, c.name, len(page.Items), err, c.want)
		}
	}
}

// testBounds lists a row of each kind at either end of a span: a day is that of the place, and what was recorded of a plant is at
// the place where it stood. Kiritimati begins a day 14 hours before UTC; Pago Pago ends it 11 hours after.
func testBounds(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	id := f.store.NewID
	east := &crop.Place{ID: id(), Name: "east", TimeZone: "Pacific/Kiritimati"}
	west := &crop.Place{ID: id(), Name: "west", TimeZone: "Pacific/Pago_Pago"}
	plant := &crop.Plant{ID: id(), SeasonID: f.season.ID, PlaceID: east.ID, CultivarID: f.cultivar.ID, Label: "E1", SownOn: date("2026-03-01"),
		Moves: []crop.Move{{PlaceID: west.ID, On: *date("2026-05-10")}}}
	f.put(east, west, plant)
	unit := func(p *crop.Place) crop.Unit {
		return crop.Unit{SeasonID: &f.season.ID, PlaceID: &p.ID, CultivarID: &f.cultivar.ID}
	}
	for _, at := range []string{
		"2026-05-01T23:59:59.999+14:00", "2026-05-02T00:00:00+14:00", "2026-05-02", "2026-05-02T23:59:59.999+14:00", "2026-05-03T00:00:00+14:00", // in the east
		"2026-05-11T23:59:59.999-11:00", "2026-05-12T00:00:00-11:00", "2026-05-12", "2026-05-12T23:59:59.999-11:00", "2026-05-13T00:00:00-11:00", // in the west
	} {
		there := east
		if at > "2026-05-10" {
			there = west
		}
		f.put(&crop.Visit{ID: id(), PlantID: plant.ID, CountedAt: moment(at), Total: new(1)},
			&crop.Picking{ID: id(), PlantID: &plant.ID, PickedAt: moment(at), Fruits: new(1)},
			&crop.Picking{ID: id(), Unit: unit(there), PickedAt: moment(at), Fruits: new(1)},
			&crop.Loss{ID: id(), PlantID: &plant.ID, LostAt: moment(at), Stage: "red", Fruits: new(1), Cause: crop.Split},
			&crop.Loss{ID: id(), Unit: unit(there), LostAt: moment(at), Stage: "red", Fruits: new(1), Cause: crop.Split},
			&crop.DiaryEntry{ID: id(), SeasonID: f.season.ID, PlantID: &plant.ID, NotedAt: moment(at), Kind: "note"})
		if moment(at).TimeKnown() {
			f.put(&crop.Temperature{ID: id(), PlaceID: there.ID, MeasuredAt: moment(at).At, AirC: new(20.0)})
		}
		f.put(&crop.Germination{ID: id(), SeasonID: f.season.ID, CultivarID: f.cultivar.ID, SownOn: date("2026-03-01"), CountedOn: date(at[:10]), Seeds: new(9), Emerged: new(1)})
	}
	east2, west2 := date("2026-05-02"), date("2026-05-12")
	for _, c := range []struct {
		name     string
		filter   crop.Filter
		want     int // of a plant, with a day alone at each place
		readings int
	}{
		{"a day in the east", crop.Filter{FromDay: east2, ToDay: east2}, 3, 2},
		{"from a day in the east", crop.Filter{FromDay: east2}, 9, 7},
		{"to a day in the east", crop.Filter{ToDay: east2}, 4, 3},
		{"a day in the west", crop.Filter{FromDay: west2, ToDay: west2}, 3, 2},
		{"from a day in the west", crop.Filter{FromDay: west2}, 4, 3},
		{"to a day in the west", crop.Filter{ToDay: west2}, 9, 7},
		{"days turned round", crop.Filter{FromDay: west2, ToDay: east2}, 0, 0},
		{"the first place", crop.Filter{PlaceID: &east.ID}, 5, 4},
		{"the second place", crop.Filter{PlaceID: &west.ID}, 5, 4},
		{"the second place on a day of the first", crop.Filter{PlaceID: &west.ID, ToDay: east2}, 0, 0},
		{"another place", crop.Filter{PlaceID: &f.place.ID}, 0, 0},
		{"an instant and after", crop.Filter{From: new(moment("2026-05-02T23:59:59.999+14:00").At)}, 7, 6},
		{"an instant and before", crop.Filter{To: new(moment("2026-05-02T23:59:59.999+14:00").At)}, 4, 3},
	} {
		for _, kind := range []crop.Kind{crop.Visits, crop.Pickings, crop.Losses, crop.Diary, crop.Temperatures, crop.Germinations} {
			want := c.want
			switch {
			case kind == crop.Pickings || kind == crop.Losses:
				want *= 2 // of the plant, and of a unit
			case kind == crop.Germinations && (c.filter.PlaceID != nil || c.filter.From != nil || c.filter.To != nil):
				continue
			case kind == crop.Temperatures:
				want = c.readings
			}
			for _, limit := range []int{1, 2, 100} {
				c.filter.Limit = limit
				if got := len(walk(f, kind, c.filter, func() {})); got != want {
					t.Errorf("%s of %s, %d a page: %d, want %d", kind, c.name, limit, got, want)
				}
			}
		}
	}
}

// testGrowingList adds and deletes records before and after the cursor: what stays is listed once, in order.
func testGrowingList(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	at := func(minute int) string {
		return moment("2026-05-01T08:00:00Z").At.Add(time.Duration(minute) * time.Minute).Format(time.RFC3339)
	}
	stay := map[crop.ID]bool{}
	var go1 *crop.Visit
	for i := range 30 {
		v := f.newVisit(at(10*i/2), i) // two of each time
		f.put(v)
		if i == 15 {
			go1 = v
		} else {
			stay[v.ID] = true
		}
	}
	round := 0
	var seen []crop.ID
	for _, s := range walk(f, crop.Visits, crop.Filter{Limit: 4}, func() {
		if round == 3 { // the last of the page just read
			f.apply(removal(go1))
		}
		f.put(f.newVisit(at(0), 0), f.newVisit(at(1000+round), 0))
		round++
		if round > 20 {
			t.Fatal("the list never ends")
		}
	}) {
		seen = append(seen, s.Record.Identity())
	}
	count := map[crop.ID]int{}
	for _, id := range seen {
		count[id]++
	}
	for id := range stay {
		if count[id] != 1 {
			t.Errorf("record %s was listed %d times", id, count[id])
		}
	}
	for id, n := range count {
		if n > 1 {
			t.Errorf("record %s was listed %d times", id, n)
		}
	}
}

func testBadLists(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	f.put(f.newVisit("2026-05-01", 1), f.newVisit("2026-05-02", 1))
	page, err := f.store.List(f.ctx, crop.Visits, crop.Filter{Limit: 1})
	if err != nil || page.Next == "" {
		t.Fatalf("page %+v, %v", page, err)
	}
	for _, c := range []struct {
		name    string
		kind    crop.Kind
		filter  crop.Filter
		pointer string
	}{
		{"cursor of another list", crop.Pickings, crop.Filter{Cursor: page.Next}, "/cursor"},
		{"no base64", crop.Visits, crop.Filter{Cursor: "!"}, "/cursor"},
		{"no cursor", crop.Visits, crop.Filter{Cursor: "bm9uZQ"}, "/cursor"},
		{"cut cursor", crop.Visits, crop.Filter{Cursor: page.Next[:9]}, "/cursor"},
		{"limit too large", crop.Visits, crop.Filter{Limit: 501}, "/limit"},
		{"negative limit", crop.Visits, crop.Filter{Limit: -1}, "/limit"},
		{"season of places", crop.Places, crop.Filter{SeasonID: &f.season.ID}, "/season_id"},
		{"plant of readings", crop.Temperatures, crop.Filter{PlantID: &f.plant.ID}, "/plant_id"},
		{"time of plants", crop.Plants, crop.Filter{From: &Now}, "/from"},
	} {
		_, err := f.store.List(f.ctx, c.kind, c.filter)
		if crop.CodeOf(err) != crop.Invalid {
			t.Errorf("%s: %v, want invalid", c.name, err)
			continue
		}
		if e := asError(t, err); len(e.Faults) != 1 || e.Faults[0].Pointer != c.pointer {
			t.Errorf("%s: faults %+v, want one at %s", c.name, e.Faults, c.pointer)
		}
	}
	if _, err := f.store.List(f.ctx, "beans", crop.Filter{}); crop.CodeOf(err) != crop.NotFound {
		t.Errorf("list of an unknown kind: %v", err)
	}
	c, err := f.store.Catalogue(f.ctx)
	if err != nil {
		t.Fatal(err)
	}
	names := fmt.Sprint(len(c.Seasons), len(c.Places), len(c.Cultivars), len(c.Scales))
	if names != "1 1 1 2" || !slices.IsSortedFunc(c.Scales, func(a, b crop.Scale) int { return compare(a.Name, b.Name) }) {
		t.Errorf("catalogue %s", names)
	}
}

func compare(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

package storage

import (
	"regexp"
	"runtime"
	"strings"
	"testing"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// TestQueryCount: loading and listing take as many queries for much as for little.
func TestQueryCount(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	small, large := newTrial(s, "small", 2), newTrial(s, "large", 400)
	for _, tr := range []*trial{small, large} {
		mustApply(t, s, tr.base())
		mustApply(t, s, tr.visits(s, len(tr.plants)/40+1))
		mustApply(t, s, tr.rest(s))
	}
	var w watch
	w.on(db)
	ctx := t.Context()
	count := func(f func(tr *trial) (int, error)) (queries, records [2]int) {
		for i, tr := range []*trial{small, large} {
			n, err := f(tr)
			if err != nil {
				t.Fatal(err)
			}
			queries[i], records[i] = len(w.take()), n
		}
		return queries, records
	}
	second := 0 // the look whether a second connection sees the same
	if runtime.GOMAXPROCS(0) > 1 {
		second = 1
	}
	for _, c := range []struct {
		name string
		want int
		do   func(tr *trial) (int, error)
	}{
		{"LoadSeason", 15 + second, func(tr *trial) (int, error) {
			got, err := s.LoadSeason(ctx, tr.season.ID, Selection{})
			if err != nil {
				return 0, err
			}
			return len(got.Visits) + len(got.Pickings), nil
		}},
		{"LoadSeason again, with readings", 12 + second, // the counts are kept
			func(tr *trial) (int, error) {
				got, err := s.LoadSeason(ctx, tr.season.ID, Selection{Temperatures: true})
				if err != nil {
					return 0, err
				}
				return len(got.Visits) + len(got.Temperatures), nil
			}},
		{"LoadPlant", 13, func(tr *trial) (int, error) {
			got, err := s.LoadPlant(ctx, tr.plants[0].ID, Selection{})
			if err != nil {
				return 0, err
			}
			return len(got.Visits) + len(got.Plants), nil
		}},
		{"List", 4, func(tr *trial) (int, error) { // rows, then their plants, the moves of those, the places
			page, err := s.List(ctx, crop.Visits, crop.Filter{SeasonID: &tr.season.ID, Limit: 500})
			return len(page.Items), err
		}},
	} {
		queries, records := count(c.do)
		if queries != [2]int{c.want, c.want} {
			t.Errorf("%s: %d queries for %d records, %d for %d; want %d", c.name, queries[0], records[0], queries[1], records[1], c.want)
		}
		if records[1] <= records[0] {
			t.Errorf("%s: %d and %d records, so the comparison says nothing", c.name, records[0], records[1])
		}
	}
}

// TestBatchQueryCount: a batch takes a statement for hundreds of rows, not one for each.
func TestBatchQueryCount(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "batch", 20)
	mustApply(t, s, tr.base())
	var w watch
	w.on(db)
	visits := tr.visits(s, 250) // 5,000 counts
	for _, c := range []struct {
		name string
		most int
		do   func()
	}{
		{"new", 60, func() { mustApply(t, s, visits) }},
		{"the same again", 30, func() { mustApply(t, s, visits) }},
		{"edited", 60, func() {
			for i := range visits {
				visits[i].Record.(*crop.Visit).Note = "edited"
			}
			mustApply(t, s, visits)
		}},
		{"deleted", 80, func() {
			for i := range visits {
				visits[i].Delete = true
			}
			mustApply(t, s, visits)
		}},
	} {
		c.do()
		if n := len(w.take()); n > c.most {
			t.Errorf("%s: %d statements for 5,000 counts, want at most %d", c.name, n, c.most)
		}
	}
}

// wholeSite matches a step of a query plan that goes through all rows of a table, or all of the site's.
var wholeSite = regexp.MustCompile(`^SCAN |\((site_id=\?|ANY\(site_id\).*)\)$`)

// TestPlans: no statement goes through all of a site's rows of a kind that grows, whatever it is about.
func TestPlans(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	var w watch
	w.on(db)
	ctx := t.Context()
	tr := newTrial(s, "plans", 3)
	mustApply(t, s, tr.base())
	visits := tr.visits(s, 3)
	mustApply(t, s, visits)
	mustApply(t, s, tr.rest(s))
	for _, with := range []bool{false, true} {
		if _, err := s.LoadSeason(ctx, tr.season.ID, Selection{Temperatures: with}); err != nil {
			t.Fatal(err)
		}
		if _, err := s.LoadPlant(ctx, tr.plants[0].ID, Selection{Temperatures: with}); err != nil {
			t.Fatal(err)
		}
	}
	for _, kind := range []crop.Kind{crop.Plants, crop.Visits, crop.Pickings, crop.Losses, crop.Diary, crop.Temperatures} {
		page, err := s.List(ctx, kind, crop.Filter{Limit: 1})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.List(ctx, kind, crop.Filter{Limit: 1, Cursor: page.Next}); err != nil {
			t.Fatal(err)
		}
		if _, err := s.History(ctx, kind, page.Items[0].Record.Identity()); err != nil {
			t.Fatal(err)
		}
	}
	lists := 0
	for _, kind := range crop.Kinds() {
		for _, f := range narrowings(tr) {
			if _, err := s.List(ctx, kind, f); err == nil {
				lists++
			} else if crop.CodeOf(err) != crop.Invalid { // the kind has no such field
				t.Fatal(err)
			}
		}
	}
	if lists < 60 {
		t.Errorf("only %d narrowed lists were read", lists)
	}
	if _, err := s.LoadEvidence(ctx, tr.plants[0].ID); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Temperatures(ctx, tr.place.ID, testNow, testNow); err != nil {
		t.Fatal(err)
	}
	// Edits that look at what rests on a record.
	tr.place.TimeZone = "America/Lima"
	tr.plants[0].SownOn = &crop.Date{Year: 2026, Month: 1, Day: 2}
	tr.plants[1].OriginID = &tr.plants[0].ID
	tr.plants[2].SeasonID = s.NewID()
	season := &crop.Season{ID: tr.plants[2].SeasonID, Name: "other"}
	cultivar := &crop.Cultivar{ID: tr.cultivar.ID, Name: "plans", ScaleID: &crop.ColourClassScaleID}
	for _, changes := range [][]crop.Change{
		{{Record: tr.place}, {Record: tr.plants[0]}, {Record: tr.plants[1]}}, {{Record: season}, {Record: tr.plants[2]}}, {{Record: cultivar}},
		{{Record: tr.place, Delete: true}}, {{Record: tr.plants[0], Delete: true}}, {{Record: tr.season, Delete: true}},
		{{Record: tr.cultivar, Delete: true}}, {visits[0], {Record: visits[0].Record, Delete: true}},
	} {
		// Some are refused, and all make their queries first.
		if _, err := s.Apply(ctx, changes, crop.ApplyOptions{}); err != nil && crop.CodeOf(err) != crop.Conflict {
			t.Fatal(err)
		}
	}
	seen := map[string]bool{}
	for _, st := range w.take() {
		if seen[st.query] {
			continue
		}
		seen[st.query] = true
		plan, err := s.plan(t, st)
		if err != nil {
			t.Errorf("explain %s: %v", st.query, err)
			continue
		}
		for _, step := range plan {
			if wholeSite.MatchString(step) && !harmless(step, st.query) {
				t.Errorf("plan goes through the whole site: %s\n%s\nin %s", step, strings.Join(plan, "\n"), st.query[:min(len(st.query), 400)])
			}
		}
	}
	if len(seen) < 120 {
		t.Errorf("only %d different statements were looked at", len(seen))
	}
}

// small matches steps over what is never large: lists in the statement itself, walks that end, and the kinds of which a
// site has few, and imports under way.
var small = regexp.MustCompile(`VALUES CLAUSE|^SCAN (w|s|up|\d+ CONSTANT ROWS?)$|CONSTANT ROW|(_| )(sites|imports|seasons|places|scales|cultivars)( |_|$)`)

// narrowed matches the conditions of lists that ask for more than a time: these must not read the site in the order of time
// until a page is full, which for a plant of long ago is never.
var narrowed = regexp.MustCompile(`(season|place|cultivar|plant)_id (=|IN)`)

// harmless tells whether a step is over something small, or reads a whole list in the order of an index, which ends with
// its page.
func harmless(step, query string) bool {
	return small.MatchString(step) || strings.Contains(query, "ORDER BY") && strings.Contains(query, "LIMIT") &&
		!narrowed.MatchString(query) && !strings.Contains(step, "PRIMARY KEY")
}

// narrowings are filters by each field, alone and with others.
func narrowings(tr *trial) (all []crop.Filter) {
	from, to := testNow.AddDate(0, -1, 0), testNow
	for _, f := range []crop.Filter{
		{PlantID: &tr.plants[0].ID}, {SeasonID: &tr.season.ID}, {CultivarID: &tr.cultivar.ID}, {PlaceID: &tr.place.ID},
		{SeasonID: &tr.season.ID, PlaceID: &tr.place.ID}, {SeasonID: &tr.season.ID, CultivarID: &tr.cultivar.ID},
		{PlantID: &tr.plants[0].ID, SeasonID: &tr.season.ID}, {},
	} {
		withTime := f
		withTime.From, withTime.To = &from, &to
		all = append(all, f, withTime)
	}
	return all
}

func (s *Site) plan(t *testing.T, st statement) (steps []string, err error) {
	return planOver(t, s.db.pools[0], st)
}

func planOver(t *testing.T, q gorm.ConnPool, st statement) (steps []string, err error) {
	rows, err := q.QueryContext(t.Context(), "EXPLAIN QUERY PLAN "+st.query, st.args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var id, parent, unused int
		var detail string
		if err := rows.Scan(&id, &parent, &unused, &detail); err != nil {
			return nil, err
		}
		steps = append(steps, detail)
	}
	return steps, rows.Err()
}

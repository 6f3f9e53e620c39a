package storage

import (
	"database/sql"
	"slices"
	"testing"

	"vinetally/analytics/crop"
)

// A heavy session takes triggers and indexes off and puts them on again, where there are few rows and where there are many.
func TestHeavySession(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "heavy", 100)
	mustApply(t, s, tr.base())
	all := recordsIn(tr.visits(s, 3*heavy/100), crop.Visits)
	was := objects(t, db)
	for _, part := range [][]crop.Record{all[:heavy], all[heavy : 2*heavy], all[2*heavy:]} {
		if err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error { return ses.Add(t.Context(), crop.Visits, part) }); err != nil {
			t.Fatal(err)
		}
		if is := objects(t, db); !slices.Equal(is, was) {
			t.Errorf("of the tables there is %v, was %v", is, was)
		}
	}
	// Every one of them replaced.
	err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
		for part := range slices.Chunk(all[:2*heavy], 4096) {
			var changes []crop.Change
			for _, r := range part {
				v := *r.(*crop.Visit)
				v.Note = "again"
				changes = append(changes, crop.Change{Record: &v})
			}
			if err := ses.Apply(t.Context(), changes); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if is := objects(t, db); !slices.Equal(is, was) {
		t.Errorf("of the tables there is %v, was %v", is, was)
	}
	if n := countOf(t, s, crop.Visits); n != len(all) {
		t.Errorf("%d counts, want %d", n, len(all))
	}
	// What a trigger refuses is refused when it is kept aside.
	err = s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
		_, err := ses.st.q.ExecContext(t.Context(), "INSERT INTO aside.visits (site_id, id, counts) VALUES (1, zeroblob(16), '{\"red\":-1}')")
		return translate(t.Context(), err)
	})
	if crop.CodeOf(err) != crop.Invalid {
		t.Errorf("a count below nothing: %v, want invalid", err)
	}
	wantSoundSite(t, s)
}

// objects are the definitions of tables, indexes and triggers, and the planner's statistics.
func objects(t *testing.T, db *DB) (all []string) {
	t.Helper()
	rows, err := db.pools[0].Query("SELECT type || ' ' || name || ' ' || coalesce(sql, '') FROM sqlite_schema UNION ALL SELECT tbl || idx || stat FROM sqlite_stat1")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var text sql.NullString
		if err := rows.Scan(&text); err != nil {
			t.Fatal(err)
		}
		all = append(all, text.String)
	}
	slices.Sort(all)
	return all
}

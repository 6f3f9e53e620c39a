package csvfile

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/storage"
)

// site is the real store.
type site struct{ *storage.Site }

func (s site) Season(ctx context.Context, id crop.ID) (*crop.Trial, error) {
	return s.LoadSeason(ctx, id, storage.Selection{})
}

func (s site) Session(ctx context.Context, o crop.ApplyOptions, f func(Session) error) error {
	return s.Site.Session(ctx, o, func(t *storage.Session) error { return f(t) })
}

func openSite(t testing.TB) site {
	t.Helper()
	db, err := storage.Open(t.Context(), "sqlite:"+filepath.Join(t.TempDir(), "trial.db"), storage.Options{Now: func() time.Time { return testNow }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	return site{db.Site()}
}

func TestRoundTripThroughTheStore(t *testing.T) {
	one := openSite(t)
	mustImport(t, one, full, options())
	if s := mustImport(t, one, full, options()); s.Changed() != 0 {
		t.Errorf("the second import changed records:\n%s", s)
	}
	first := readFiles(t, exportDir(t, one))
	two := openSite(t)
	mustImport(t, two, first, options())
	sameFiles(t, readFiles(t, exportDir(t, two)), first)
	for _, in := range []files{first, full} {
		if s := mustImport(t, two, in, options()); s.Changed() != 0 {
			t.Errorf("importing what is stored changed records:\n%s", s)
		}
	}
}

func TestReplacingKeepsTheHistory(t *testing.T) {
	s := openSite(t)
	mustImport(t, s, files{"plants.csv": onePlant, "counts.csv": oneCount}, options())
	opts := options()
	opts.Replace, opts.Actor = true, "Inés"
	mustImport(t, s, files{"counts.csv": "season,plant,counted_at,green\n2026,A1,2026-04-05T08:15,13\n"}, opts)
	page, err := s.List(t.Context(), crop.Visits, crop.Filter{})
	if err != nil || len(page.Items) != 1 {
		t.Fatalf("got %+v, %v, want one count", page, err)
	}
	if got := page.Items[0]; got.Version != 2 || got.Actor != "Inés" {
		t.Errorf("got version %d by %q, want 2 by Inés", got.Version, got.Actor)
	}
	history, err := s.History(t.Context(), crop.Visits, page.Items[0].Record.Identity())
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, v := range history {
		found = found || v.Record.(*crop.Visit).Counts["green"] == 12
	}
	if !found {
		t.Errorf("got %+v, want the earlier count of 12 in the history", history)
	}
}

// Only the store sees that the new sowing date makes a stored count wrong.
func TestStoredRecordsThatWouldBecomeWrong(t *testing.T) {
	s := openSite(t)
	mustImport(t, s, files{"plants.csv": onePlant, "counts.csv": oneCount}, options())
	before, err := s.Catalogue(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	opts := options()
	opts.Replace = true
	_, err = importInto(s, files{"plants.csv": "season,place,cultivar,plant,sown_on\n2026,north bench,Amberlin,A1,2026-05-01\n",
		"seasons.csv": "season,first_day\n2026,2026-02-01\n"}, opts)
	faults, ok := err.(*FaultError)
	if !ok || faults.Faults[0].File != "plants.csv" || faults.Faults[0].Line != 2 || faults.Faults[0].Column != "sown_on" {
		t.Fatalf("got %v, want plants.csv:2: sown_on: …", err)
	}
	after, err := s.Catalogue(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if after.Change != before.Change {
		t.Error("a refused import stored something")
	}
}

func TestDeletedRecordComesBack(t *testing.T) {
	s := openSite(t)
	mustImport(t, s, files{"plants.csv": onePlant, "counts.csv": oneCount}, options())
	saved := readFiles(t, exportDir(t, s))
	page, err := s.List(t.Context(), crop.Visits, crop.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Apply(t.Context(), []crop.Change{{Record: page.Items[0].Record, Delete: true}}, crop.ApplyOptions{}); err != nil {
		t.Fatal(err)
	}
	got := mustImport(t, s, saved, options())
	if got.Changed() != 1 {
		t.Errorf("got %s, want the count new", got)
	}
	sameFiles(t, readFiles(t, exportDir(t, s)), saved)
}

// Two plants trade their labels: the store must never see them both with one.
func TestTradedLabels(t *testing.T) {
	s := openSite(t)
	head := "id,season,place,cultivar,plant,sown_on\n"
	mustImport(t, s, files{"plants.csv": head + idA + ",2026,bench,Amberlin,A1,2026-02-01\n" + idB + ",2026,bench,Amberlin,A2,2026-02-01\n",
		"counts.csv": "season,plant,counted_at,green\n2026,A1,2026-04-05,1\n"}, options())
	opts := options()
	opts.Replace = true
	traded := files{"plants.csv": head + idA + ",2026,bench,Amberlin,A2,2026-02-01\n" + idB + ",2026,bench,Amberlin,A1,2026-02-01\n",
		"counts.csv": "season,plant,counted_at,green\n2026,A2,2026-04-05,1\n"}
	got := mustImport(t, s, traded, opts)
	if got.Files[0].Replaced != 2 || got.Files[1].Unchanged != 1 {
		t.Errorf("got %s, want two plants replaced and the count, now of A2, stored already", got)
	}
}

func TestDryRunThroughTheStore(t *testing.T) {
	s := openSite(t)
	opts := options()
	opts.DryRun = true
	mustImport(t, s, full, opts)
	c, err := s.Catalogue(t.Context())
	if err != nil || len(c.Seasons) != 0 {
		t.Errorf("got %+v, %v, want nothing stored", c.Seasons, err)
	}
}

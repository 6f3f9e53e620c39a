package curve_test

import (
	"context"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
	"vinetally/analytics/ledger"
	"vinetally/api/csvfile"
	"vinetally/storage"
	"vinetally/testdata"
)

// site is the store in the shape that importing asks for.
type site struct{ *storage.Site }

func (s site) Season(ctx context.Context, id crop.ID) (*crop.Trial, error) {
	return s.LoadSeason(ctx, id, storage.Selection{})
}

// demo imports the invented demo trial and returns its seasons by name.
func demo(t *testing.T) map[string]*crop.Trial {
	t.Helper()
	ctx := context.Background()
	db, err := storage.Open(ctx, "sqlite:"+filepath.Join(t.TempDir(), "demo.db"), storage.Options{Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	names, err := fs.Glob(testdata.Demo(), "*.csv")
	if err != nil {
		t.Fatal(err)
	}
	var sources []csvfile.Source
	for _, name := range names {
		sources = append(sources, csvfile.Source{Name: name, Open: func() (io.ReadCloser, error) { return testdata.Demo().Open(name) }})
	}
	s := site{db.Site()}
	if _, err := csvfile.Import(ctx, s, sources, csvfile.Options{}); err != nil {
		t.Fatal(err)
	}
	catalogue, err := s.Catalogue(ctx)
	if err != nil {
		t.Fatal(err)
	}
	trials := map[string]*crop.Trial{}
	for _, season := range catalogue.Seasons {
		if trials[season.Name], err = s.Season(ctx, season.ID); err != nil {
			t.Fatal(err)
		}
	}
	return trials
}

func curvesOf(trial *crop.Trial) curve.Result {
	plants := trial.ByPlant()
	books := make([]ledger.Book, len(plants))
	for i := range plants {
		books[i] = ledger.Of(plants[i])
	}
	return curve.Season(plants, books, trial)
}

// demoAutumn is the invented autumn season: Brambury flowers again after its first crop, the other two bear once.
const demoAutumn = "Autumn 2026 (invented)"

func TestDemoTrial(t *testing.T) {
	r := curvesOf(demo(t)[demoAutumn])
	ripe := map[string]string{"Brambury": "red", "Pebblewick": "red", "Quincelet": "orange"}
	pooled := map[string]*curve.Curve{}
	for i, c := range r.Curves {
		if c.Scope == curve.ScopeCultivar && c.Stage == ripe[c.Cultivar] {
			pooled[c.Cultivar] = &r.Curves[i]
		}
	}
	for _, cultivar := range []string{"Pebblewick", "Quincelet"} {
		c := pooled[cultivar]
		if c == nil || c.T50 == nil || c.T50.Low == nil {
			t.Errorf("%s bears once: got no t50 with an interval from its 4 plants", cultivar)
			continue
		}
		if c.RestsOn.Plants != 4 || c.RestsOn.Visits < 100 {
			t.Errorf("%s rests on %+v, want 4 plants and over 100 counts", cultivar, c.RestsOn)
		}
	}
	if pooled["Brambury"] != nil {
		t.Error("Brambury bears twice: got one curve")
	}
	wantRefusal(t, r, curve.ScopeCultivar, "Brambury", "", "red", crop.NoFit,
		"The counts show two flushes of red, around 10 September 2026 and 11 October 2026; one curve can't describe both.")
	for _, c := range r.Curves {
		// One count of B2 says 44 red for 4, the demo's own account of its mistakes.
		wrong := c.Plant == "B2" || c.Cultivar == "Brambury" && c.Scope == curve.ScopeCultivar
		if got := slices.ContainsFunc(c.Warnings, func(w string) bool { return strings.HasPrefix(w, "Once the number that reached") }); got != wrong {
			t.Errorf("%s %s%s, %s: warned of a fall %t, want %t: %q", c.Scope, c.Cultivar, c.Plant, c.Stage, got, wrong, c.Warnings)
		}
	}
}

func wantRefusal(t *testing.T, r curve.Result, scope curve.Scope, cultivar, plant, stage string, code crop.Code, reason string) {
	t.Helper()
	for _, x := range r.Refused {
		if x.Scope == scope && x.Cultivar == cultivar && x.Plant == plant && x.Stage == stage {
			if x.Code != code || x.Reason != reason {
				t.Errorf("%s %s%s, %s: got %s %q, want %s %q", scope, cultivar, plant, stage, x.Code, x.Reason, code, reason)
			}
			return
		}
	}
	t.Errorf("%s %s%s, %s: not refused, want %q", scope, cultivar, plant, stage, reason)
}

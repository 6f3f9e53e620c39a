package csvfile

import (
	"errors"
	"io"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// meanwhile is a source whose text has been read to the end before f is called, once.
func meanwhile(name, text string, f func()) Source {
	s := textSource(name, text)
	s.Open = func() (io.ReadCloser, error) {
		return io.NopCloser(io.MultiReader(strings.NewReader(text), readerFunc(func([]byte) (int, error) {
			if f != nil {
				f()
				f = nil
			}
			return 0, io.EOF
		}))), nil
	}
	return s
}

type readerFunc func([]byte) (int, error)

func (f readerFunc) Read(p []byte) (int, error) { return f(p) }

// TestChangesMeanwhile: what others change while an import reads comes to the same as if they had changed it before.
func TestChangesMeanwhile(t *testing.T) {
	plants := onePlant + "2026,north bench,Amberlin,A2,2026-02-01\n"
	counts := "season,plant,counted_at,green\n2026,A1,2026-04-05T08:15,12\n2026,A2,2026-04-05T08:15,7\n"
	count := func(s site, plant crop.Plant, green int) crop.Change {
		m := crop.InstantMoment(testNow.AddDate(0, -1, 0))
		c, err := s.Catalogue(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		clock, err := crop.ParseClockTime("2026-04-05T08:15")
		if err != nil {
			t.Fatal(err)
		}
		if m.At, err = clock.At(c.Places[0].Location()); err != nil {
			t.Fatal(err)
		}
		return crop.Change{Record: &crop.Visit{ID: s.NewID(), PlantID: plant.ID, CountedAt: m, Counts: map[string]int{"green": green}}}
	}
	for _, c := range []struct {
		name    string
		replace bool
		change  func(s site, a1, a2 crop.Plant) crop.Change
		fault   string // "" if the import goes well
		summary string
		counts  int
	}{
		{"another plant's record", false, func(s site, a1, _ crop.Plant) crop.Change {
			return crop.Change{Record: &crop.Picking{ID: s.NewID(), PlantID: &a1.ID, PickedAt: crop.InstantMoment(testNow), Fruits: new(1)}}
		}, "", "counts.csv: 2 rows: 2 new\n", 2},
		{"the plant is deleted", false, func(_ site, _, a2 crop.Plant) crop.Change { return crop.Change{Record: &a2, Delete: true} },
			`counts.csv:3: plant: there is no plant "A2" in season "2026"`, "", 0},
		{"the plant gets another label", false, func(_ site, _, a2 crop.Plant) crop.Change { a2.Label = "A3"; return crop.Change{Record: &a2} },
			`counts.csv:3: plant: there is no plant "A2" in season "2026"`, "", 0},
		{"the plant was sown later", false, func(_ site, _, a2 crop.Plant) crop.Change {
			a2.SownOn = &crop.Date{Year: 2026, Month: 5, Day: 1}
			return crop.Change{Record: &a2}
		}, "counts.csv:3: counted_at: ", "", 0},
		{"the same count", false, func(s site, a1, _ crop.Plant) crop.Change { return count(s, a1, 12) }, "", "counts.csv: 2 rows: 1 new, 1 stored already\n", 2},
		{"another count of that time", false, func(s site, a1, _ crop.Plant) crop.Change { return count(s, a1, 13) },
			"counts.csv:2: green: the stored count differs (stored → here: green 13 → 12)", "", 1},
		{"another count of that time, to be replaced", true, func(s site, a1, _ crop.Plant) crop.Change { return count(s, a1, 13) },
			"", "counts.csv: 2 rows: 1 new, 1 replaced\n", 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := openSite(t)
			mustImport(t, s, files{"plants.csv": plants}, options())
			catalogue, err := s.Catalogue(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			trial, err := s.Season(t.Context(), catalogue.Seasons[0].ID)
			if err != nil {
				t.Fatal(err)
			}
			o := options()
			o.Replace = c.replace
			summary, err := Import(t.Context(), s, []Source{meanwhile("counts.csv", counts, func() {
				if _, err := s.Apply(t.Context(), []crop.Change{c.change(s, trial.Plants[0], trial.Plants[1])}, crop.ApplyOptions{}); err != nil {
					t.Errorf("meanwhile: %v", err)
				}
			})}, o)
			if faults, refused := errors.AsType[*FaultError](err); refused != (c.fault != "") || err != nil && !refused || refused && !strings.HasPrefix(faults.Error(), c.fault) {
				t.Errorf("got %v, want %q", err, c.fault)
			}
			if c.fault == "" && summary.String() != c.summary {
				t.Errorf("got %q, want %q", summary, c.summary)
			}
			page, err := s.List(t.Context(), crop.Visits, crop.Filter{})
			if err != nil || len(page.Items) != c.counts {
				t.Errorf("%d counts, %v; want %d", len(page.Items), err, c.counts)
			}
		})
	}
}

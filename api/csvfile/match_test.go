package csvfile

import (
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

const (
	idA = "0198c000-0000-7000-8000-00000000000a"
	idB = "0198c000-0000-7000-8000-00000000000b"
	idC = "0198c000-0000-7000-8000-00000000000c"
)

// setup is a season with one plant and one count, known by the ids A (plant) and B (count).
func setup(t *testing.T) *memory {
	t.Helper()
	m := newMemory()
	mustImport(t, m, files{
		"plants.csv": "id,season,place,cultivar,plant,sown_on\n" + idA + ",2026,bench,Amberlin,A1,2026-02-01\n",
		"counts.csv": "id,season,plant,counted_at,green\n" + idB + ",2026,A1,2026-04-05T08:15,1\n",
	}, options())
	return m
}

func TestIDsAreKept(t *testing.T) {
	m := setup(t)
	if got := list[crop.Plant](m, nil)[0].ID.String(); got != idA {
		t.Errorf("plant: got %s, want %s", got, idA)
	}
	if got := list[crop.Visit](m, nil)[0].ID.String(); got != idB {
		t.Errorf("count: got %s, want %s", got, idB)
	}
}

func TestMatching(t *testing.T) {
	head := "id,season,plant,counted_at,green\n"
	for _, c := range []struct {
		name    string
		in      files
		replace bool
		want    string // the fault, or the summary's first line
		counts  int    // afterwards
	}{
		{"by id, another time", files{"counts.csv": head + idB + ",2026,A1,2026-04-06T08:15,1\n"}, true, "counts.csv: 1 row: 1 replaced", 1},
		{"by id, another time, not asked to replace", files{"counts.csv": head + idB + ",2026,A1,2026-04-06T08:15,1\n"}, false,
			"counts.csv:2: counted_at: the stored count differs (stored → here: counted_at 2026-04-05T08:15:00Z → 2026-04-06T08:15:00Z); mend the row, or import with --replace to let it take the stored one's place", 1},
		{"new id, new key", files{"counts.csv": head + idC + ",2026,A1,2026-04-06T08:15,1\n"}, false, "counts.csv: 1 row: 1 new", 2},
		{"new id, stored key", files{"counts.csv": head + idC + ",2026,A1,2026-04-05T08:15,1\n"}, false,
			"counts.csv:2: id: the same count is stored already with the id " + idB + "; leave the id empty to mean that one", 1},
		{"two ids, one key", files{"counts.csv": head + idC + ",2026,A1,2026-04-05T08:15,1\n" + idB + ",2026,A1,2026-04-05T08:15,1\n"}, false, "counts.csv: 2 rows: 1 new, 1 stored already", 2},
		{"the same id twice", files{"counts.csv": head + idB + ",2026,A1,2026-04-05T08:15,1\n" + idB + ",2026,A1,2026-04-06T08:15,1\n"}, false,
			"counts.csv:3: id: the same id stands in line 2 already; an id is of one record", 1},
		{"with and without id", files{"counts.csv": head + idB + ",2026,A1,2026-04-05T08:15,1\n,2026,A1,2026-04-05T08:15,1\n"}, false,
			"counts.csv:3: plant+counted_at: the same count stands in line 2 already; keep one of the two", 1},
		{"a row by key of a record that another has by id", files{"counts.csv": head + idB + ",2026,A1,2026-04-06T08:15,1\n,2026,A1,2026-04-05T08:15,1\n"}, true,
			"counts.csv:3: plant+counted_at: this is the record that line 2 has by its id; keep one of the two", 1},
		{"plant renamed by id, count under the new label", files{
			"plants.csv": "id,season,place,cultivar,plant,sown_on\n" + idA + ",2026,bench,Amberlin,B1,2026-02-01\n",
			"counts.csv": "season,plant,counted_at,green\n2026,B1,2026-04-05T08:15,1\n"}, true, "plants.csv: 1 row: 1 replaced", 1},
		{"plant with a taken label", files{"plants.csv": "id,season,place,cultivar,plant,sown_on\n" + idC + ",2026,bench,Amberlin,A1,2026-02-01\n"}, false,
			"plants.csv:2: plant: \"A1\" is the label of another plant of the season, with another id; leave the id empty to mean that plant, or choose another label", 1},
		{"season with a taken name", files{"seasons.csv": "id,season\n" + idC + ",2026\n"}, false,
			"seasons.csv:2: season: \"2026\" is the name of another season, with another id; leave the id empty to mean that one, or choose another name", 1},
		{"id of a record in another season", files{
			"plants.csv": "season,place,cultivar,plant,sown_on\n2027,bench,Amberlin,A1,2026-02-01\n",
			"counts.csv": head + idB + ",2027,A1,2026-04-05T08:15,1\n"}, true,
			`counts.csv:2: id: is the id of a record in season "2026"; leave it empty to store another record`, 1},
		{"trusses of one visit", files{"counts.csv": "season,plant,counted_at,green,truss\n2026,A1,2026-04-07,1,1\n2026,A1,2026-04-07,1,2\n"}, false, "counts.csv: 2 rows: 2 new", 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := setup(t)
			opts := options()
			opts.Replace = c.replace
			s, err := importInto(m, c.in, opts)
			got := ""
			if err != nil {
				got = err.Error()
			} else {
				got, _, _ = strings.Cut(s.String(), "\n")
			}
			if got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
			if n := len(list[crop.Visit](m, nil)); n != c.counts {
				t.Errorf("got %d counts, want %d", n, c.counts)
			}
		})
	}
}

func TestSeveralStoredMatch(t *testing.T) {
	m := setup(t)
	mustImport(t, m, files{"counts.csv": "id,season,plant,counted_at,green\n" + idB + ",2026,A1,2026-04-05T08:15,1\n" + idC + ",2026,A1,2026-04-05T08:15,1\n"}, options())
	_, err := importInto(m, files{"counts.csv": "season,plant,counted_at,green\n2026,A1,2026-04-05T08:15,1\n"}, options())
	want := "counts.csv:2: plant+counted_at: 2 stored records are alike in this; add the id column to say which one is meant"
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

func TestReadingsByID(t *testing.T) {
	head := "id,place,measured_at,air_c\n"
	for _, c := range []struct{ name, rows, want string }{
		{"replaced", idA + ",bench,2026-04-05T08:15Z,21\n", "temperatures.csv: 1 row: 1 replaced"},
		{"known", idA + ",bench,2026-04-05T08:15Z,20\n", "temperatures.csv: 1 row: 1 stored already"},
		{"id of another time", idA + ",bench,2026-04-09T08:15Z,20\n", "temperatures.csv:2: id: is the id of a reading of another place or time; leave it empty to store another reading"},
		{"new id, taken time", idB + ",bench,2026-04-05T08:15Z,20\n", "temperatures.csv:2: id: the same reading is stored already with the id " + idA + "; leave the id empty to mean that one"},
		{"two ids, one time", idB + ",bench,2026-04-06T08:15Z,20\n" + idC + ",bench,2026-04-06T08:15Z,20\n", "temperatures.csv:3: place+measured_at: another reading of this place and time stands in line 2; a place has one reading at a time"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := newMemory()
			mustImport(t, m, files{"temperatures.csv": head + idA + ",bench,2026-04-05T08:15Z,20\n"}, options())
			opts := options()
			opts.Replace = true
			s, err := importInto(m, files{"temperatures.csv": head + c.rows}, opts)
			got, _, _ := strings.Cut(s.String(), "\n")
			if err != nil {
				got = err.Error()
			}
			if got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestMoves(t *testing.T) {
	m := setup(t)
	moves := "season,plant,place,moved_on\n2026,A1,ledge,2026-04-01\n2026,A1,bench,2026-03-01\n"
	s := mustImport(t, m, files{"moves.csv": moves}, options())
	if got := s.Files[0]; got.Created != 2 {
		t.Errorf("got %+v, want two new moves", got)
	}
	p := list[crop.Plant](m, nil)[0]
	if len(p.Moves) != 2 || p.Moves[0].On.String() != "2026-03-01" {
		t.Errorf("got %+v, want both moves by date", p.Moves)
	}
	// The same plant row and moves again, and one move more.
	s = mustImport(t, m, files{"plants.csv": "season,place,cultivar,plant,sown_on\n2026,bench,Amberlin,A1,2026-02-01\n",
		"moves.csv": moves + "2026,A1,ledge,2026-05-01\n"}, options())
	if got := s.Files[1]; got.Created != 1 || got.Unchanged != 2 || s.Files[0].Unchanged != 1 {
		t.Errorf("got %+v, want one new move and the rest stored already", s.Files)
	}
	_, err := importInto(m, files{"moves.csv": "season,plant,place,moved_on\n2026,A1,bench,2026-04-01\n"}, options())
	want := "moves.csv:2: place: the stored move differs (stored → here: place ledge → bench); mend the row, or import with --replace to let it take the stored one's place"
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	_, err = importInto(m, files{"moves.csv": "id,season,plant,place,moved_on\n" + idC + ",2026,A1,bench,2026-06-01\n"}, options())
	if err == nil || !strings.HasPrefix(err.Error(), "moves.csv:2: id: is not the id of plant \"A1\"") {
		t.Errorf("got %v, want the id of another plant refused", err)
	}
}

func TestScales(t *testing.T) {
	head := "scale,position,stage,ripe,description\n"
	stored := head + "s,1,a,,\ns,2,b,yes,ripe\n"
	for _, c := range []struct {
		name, in string
		replace  bool
		want     string
	}{
		{"same", stored, false, "scales.csv: 2 rows: 2 stored already"},
		{"without descriptions", "scale,position,stage,ripe\ns,2,b,1\ns,1,a,0\n", false, "scales.csv: 2 rows: 2 stored already"},
		{"another stage", stored + "s,3,c,,\n", false, "scales.csv:2: stage: the stored scale differs (stored → here: stages a, b → a, b, c); mend the row, or import with --replace to let it take the stored one's place"},
		{"replaced", stored + "s,3,c,,\n", true, "scales.csv: 3 rows: 3 replaced"},
		{"another ripe stage", head + "s,1,a,,\ns,3,c,yes,\ns,2,b,,ripe\n", false, "scales.csv:2: stage: the stored scale differs (stored → here: stages a, b → a, b, c); mend the row, or import with --replace to let it take the stored one's place"},
		{"another description", head + "s,1,a,,\ns,2,b,yes,\n", false, "scales.csv:3: description: the stored scale differs (stored → here: description ripe → nothing); mend the row, or import with --replace to let it take the stored one's place"},
		{"ids that differ", "id," + head + idA + ",s,1,a,,\n" + idB + ",s,2,b,yes,\n", true, "scales.csv:3: id: differs from the id in line 2; all rows of a scale have its id"},
		{"new id, taken name", "id," + head + idA + ",s,1,a,,\n" + idA + ",s,2,b,yes,\n", true, "scales.csv:2: scale: \"s\" is the name of another scale, with another id; leave the id empty to mean that one, or choose another name"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := newMemory()
			mustImport(t, m, files{"scales.csv": stored}, options())
			opts := options()
			opts.Replace = c.replace
			s, err := importInto(m, files{"scales.csv": c.in}, opts)
			got, _, _ := strings.Cut(s.String(), "\n")
			if err != nil {
				got = err.Error()
			}
			if got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

// An origin may stand in a later line; it is stored first all the same.
func TestOriginInALaterLine(t *testing.T) {
	m := newMemory()
	mustImport(t, m, files{"plants.csv": "season,place,cultivar,plant,sown_on,origin\n2026,bench,Amberlin,A1c,2026-02-01,A1b\n" +
		"2026,bench,Amberlin,A1b,2026-02-01,A1\n2026,bench,Amberlin,A1,2026-02-01,\n"}, options())
	for _, p := range list[crop.Plant](m, nil) {
		if (p.OriginID == nil) != (p.Label == "A1") {
			t.Errorf("%s: got origin %v", p.Label, p.OriginID)
		}
	}
}

func TestSeveralFilesOfAKind(t *testing.T) {
	sources := []Source{textSource("north/plants.csv", onePlant), textSource("south/plants.csv", onePlant)}
	_, err := Import(t.Context(), newMemory(), sources, options())
	want := "south/plants.csv:2: season+plant: the same plant stands in north/plants.csv:2 already; keep one of the two"
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

package csvfile

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// with returns the fixture's plants, with the given files in place of others.
func with(f files) files {
	all := files{
		"places.csv": "place,time_zone\nbench,Europe/Berlin\nledge,Europe/Lisbon\n",
		"plants.csv": "season,place,cultivar,plant,sown_on\n2026,bench,Amberlin,A1,2026-02-01\n2026,ledge,Amberlin,A2,2026-02-01\n",
	}
	for name, text := range f {
		all[name] = text
	}
	return all
}

const count = "season,plant,counted_at,green,red\n"

func TestFaults(t *testing.T) {
	zone := `write a time as 2026-02-03T08:15+01:00 (without the offset it is read by the place's clock), or a day alone as 2026-02-03`
	for _, c := range []struct {
		name string
		in   files
		want string
	}{
		{"empty file", files{"counts.csv": ""}, "counts.csv:1: is empty; the first line names the columns"},
		{"separators alone", files{"counts.csv": ",,,\n"}, "counts.csv:1: is empty; the first line names the columns"},
		{"UTF-16", files{"counts.csv": "\xff\xfes\x00"}, "counts.csv:1: is UTF-16 text; save it as UTF-8"},
		{"spreadsheet", files{"counts.csv": "PK\x03\x04abc"}, "counts.csv:1: is a spreadsheet or an archive, not text; save the sheet as CSV (UTF-8)"},
		{"binary", files{"counts.csv": "se\x00son"}, "counts.csv:1: is not text; save it as CSV (UTF-8)"},
		{"CR alone", files{"counts.csv": "season,plant\r2026,A1\r"}, "counts.csv:1: ends its lines with CR alone; save it with CRLF or LF"},
		{"unknown column", files{"counts.csv": "season,plant,counted_at,green,mauve\n"},
			"counts.csv:1: mauve: is not a column of this file; its columns are [id], season, plant, counted_at, [green], [breaker], [turning], [red], [breakers], [pink], [light red], [total], [truss], [trusses_counted], [trusses_total], [at_least], [about], [observer], [note]; the stages are those of the scales in use, and a new one wants a scale in scales.csv"},
		{"unknown column and a bad row", files{"counts.csv": "season,plant,counted_at,green,mauve\n2026,A1,2026-05-01,-4,1\n"},
			"counts.csv:1: mauve: is not a column of this file; its columns are [id], season, plant, counted_at, [green], [breaker], [turning], [red], [breakers], [pink], [light red], [total], [truss], [trusses_counted], [trusses_total], [at_least], [about], [observer], [note]; the stages are those of the scales in use, and a new one wants a scale in scales.csv\n" +
				"counts.csv:2: green: is -4; it must be 0 to 100000 fruit"},
		{"doubled column", files{"counts.csv": "season,plant,counted_at,green,Green\n"}, "counts.csv:1: Green: stands twice in the header; keep one of the two columns"},
		{"cell in a column without a name", files{"counts.csv": "season,plant,counted_at,green,,\n2026,A1,2026-04-05,1,,\n2026,A1,2026-04-06,-1,,\"a, b\"\n"},
			"counts.csv:3: has \"a, b\" in column 6, which has no name; name the column in the first line, or empty it\n" +
				"counts.csv:3: green: is -1; it must be 0 to 100000 fruit"},
		{"no header", files{"temperatures.csv": "bench,2026-04-05T08:00,18.5\n"},
			"temperatures.csv:1: names no column of this file; the first line must be the names of the columns, which are [id], place, measured_at, air_c"},
		{"missing column", files{"counts.csv": "plant,counted_at,green\n2026,A1,x\n"}, "counts.csv:1: season: the column is missing; the header must name it"},
		{"nothing to count in", files{"counts.csv": "season,plant,counted_at\n"}, "counts.csv:1: the header lacks a column to count in; name at least one stage, or total"},
		{"no plant column", files{"losses.csv": "season,lost_at,stage,fruits,cause\n"}, "losses.csv:1: the header lacks the column plant; or give place and cultivar for fruit of a whole unit"},
		{"no fruits", files{"pickings.csv": "season,plant,picked_at\n"}, "pickings.csv:1: the header lacks the column fruits; or give mass_g where fruit was weighed and not counted"},
		{"no dates of plants", files{"plants.csv": "season,place,cultivar,plant\n"}, "plants.csv:1: the header lacks the column sown_on; or give transplanted_on for plants whose sowing date isn't known"},
		{"too few cells", files{"counts.csv": count + "2026,A1,2026-04-05,1\n"}, "counts.csv:2: has 4 cells where the header has 5; mend the separators, or quote a cell that contains one"},
		{"bare quote", files{"counts.csv": count + "2026,A\"1,2026-04-05,1,1\n"}, `counts.csv:2: has a quote inside a cell that isn't quoted; write the cell as "…" with every quote in it doubled`},
		{"open quote", files{"counts.csv": count + "2026,A1,2026-04-05,1,\"1\n2026\n"}, "counts.csv:2: has a quoted cell that is not closed properly by line 3; close the quote, and double quotes inside it"},
		{"text after a quote", files{"counts.csv": count + "2026,\"A1\"x,2026-04-05,1,1\n"}, "counts.csv:2: has a quoted cell that is not closed properly; close the quote, and double quotes inside it"},
		{"not UTF-8", files{"counts.csv": count + "2026,A1\xff,2026-04-05,1,1\n"}, "counts.csv:2: plant: is not UTF-8; save the file as UTF-8"},
		{"required cell empty", files{"counts.csv": count + "2026,,2026-04-05,1,1\n"}, "counts.csv:2: plant: is empty; every row needs it"},
		{"no stage counted", files{"counts.csv": count + "2026,A1,2026-04-05,,\n"}, "counts.csv:2: names no stage; give at least one of green, breaker, turning, red, or total"},
		{"not a whole number", files{"counts.csv": count + "2026,A1,2026-04-05,1.5,1\n"}, `counts.csv:2: green: "1.5" is not a whole number; write it with digits alone`},
		{"comma in a whole number", files{"counts.csv": count + "2026,A1,2026-04-05,\"1,5\",1\n"}, `counts.csv:2: green: "1,5" has a comma; write whole numbers with digits alone`},
		{"negative", files{"counts.csv": count + "2026,A1,2026-04-05,-3,1\n"}, "counts.csv:2: green: is -3; it must be 0 to 100000 fruit"},
		{"stage of another scale", files{"counts.csv": "season,plant,counted_at,green,pink\n2026,A1,2026-04-05,1,1\n"}, `counts.csv:2: pink: is given for "pink", which is not a stage of the plant's scale; use one of green, breaker, turning, red`},
		{"yes or no", files{"counts.csv": "season,plant,counted_at,green,at_least\n2026,A1,2026-04-05,1,perhaps\n"}, `counts.csv:2: at_least: "perhaps" is neither yes nor no; write yes, no, true, false, 1, 0 or leave it empty`},
		{"no such plant", files{"counts.csv": count + "2026,B7,2026-04-05,1,1\n"}, `counts.csv:2: plant: there is no plant "B7" in season "2026"; write a line for it in plants.csv`},
		{"day first", files{"counts.csv": count + "2026,A1,03/02/2026,1,1\n"}, `counts.csv:2: counted_at: "03/02/2026" could mean two different days; write the year first, YYYY-MM-DD`},
		{"day first with a time", files{"counts.csv": count + "2026,A1,3.2.26 08:15,1,1\n"}, `counts.csv:2: counted_at: "3.2.26 08:15" could mean two different days; write the year first, YYYY-MM-DD`},
		{"slashes", files{"counts.csv": count + "2026,A1,2026/02/03,1,1\n"}, `counts.csv:2: counted_at: "2026/02/03" is not how dates are written here; use hyphens, YYYY-MM-DD`},
		{"no such day", files{"counts.csv": count + "2026,A1,2026-02-30,1,1\n"}, `counts.csv:2: counted_at: "2026-02-30" is not a day that exists; ` + zone},
		{"serial number of a spreadsheet", files{"counts.csv": count + "2026,A1,46056,1,1\n"}, `counts.csv:2: counted_at: "46056" is a number, as which a spreadsheet keeps a date; have its cells shown as YYYY-MM-DD and save the file again`},
		{"no such time", files{"counts.csv": count + "2026,A1,2026-02-03T25:00,1,1\n"}, `counts.csv:2: counted_at: the time of day in "2026-02-03T25:00" can't be read; ` + zone},
		{"half of the day", files{"counts.csv": count + "2026,A1,2026-02-03 8:15 pm,1,1\n"}, `counts.csv:2: counted_at: the time of day in "2026-02-03 8:15 pm" can't be read; ` + zone},
		{"day first, as it must be", files{"counts.csv": count + "2026,A1,13.2.2026,1,1\n"}, `counts.csv:2: counted_at: "13.2.2026" is not how dates are written here; write the year first, YYYY-MM-DD`},
		{"month in letters", files{"counts.csv": count + "2026,A1,3 Feb 2026,1,1\n"}, `counts.csv:2: counted_at: "3 Feb 2026" is not a date; ` + zone},
		{"more than a number holds", files{"counts.csv": count + "2026,A1,2026-04-05,99999999999999999999,1\n"}, `counts.csv:2: green: "99999999999999999999" is too large to be meant; mend it`},
		// Europe/Berlin went from 02:00 to 03:00 on 29 March 2026 (IANA time zone database, rule EU).
		{"skipped time", files{"counts.csv": count + "2026,A1,2026-03-29T02:30,1,1\n"}, "counts.csv:2: counted_at: 2026-03-29 02:30 was skipped by a clock change in Europe/Berlin; mend the time, or write it with its offset"},
		{"before sowing", files{"counts.csv": count + "2026,A1,2026-01-31T23:59,1,1\n"}, "counts.csv:2: counted_at: is 2026-01-31T23:59:00+01:00, before the plant was sown, 2026-02-01; mend this day, or the plant's"},
		{"future", files{"counts.csv": count + "2026,A1,2026-09-02,1,1\n"}, "counts.csv:2: counted_at: is 2026-09-02, which is in the future (it is now 2026-09-01T14:00:00+02:00); mend it, or record it once it has happened"},
		{"decimal comma", files{"pickings.csv": "season,plant,picked_at,fruits,mass_g\n2026,A1,2026-04-05,1,\"12,5\"\n"}, `pickings.csv:2: mass_g: "12,5" has a comma; write a decimal point, and nothing between thousands`},
		{"decimal comma between semicolons", files{"pickings.csv": "season;plant;picked_at;fruits;mass_g\n2026;A1;2026-04-05;1;12,5\n"}, `pickings.csv:2: mass_g: "12,5" has a comma; write a decimal point, and nothing between thousands`},
		{"infinity", files{"pickings.csv": "season,plant,picked_at,mass_g\n2026,A1,2026-04-05,Inf\n"}, `pickings.csv:2: mass_g: "Inf" is not a number; write it with digits, a decimal point and, below zero, a minus sign`},
		{"neither fruits nor mass", files{"pickings.csv": "season,plant,picked_at,fruits,mass_g\n2026,A1,2026-04-05,,\n"}, "pickings.csv:2: fruits: is missing; give the number of fruit, or mass_g where they were only weighed"},
		{"plant and unit", files{"pickings.csv": "season,plant,place,cultivar,picked_at,fruits\n2026,A1,bench,,2026-04-05,1\n"}, "pickings.csv:2: plant: is given together with place or cultivar; leave these two empty where the plant is known"},
		{"neither plant nor unit", files{"pickings.csv": "season,plant,place,cultivar,picked_at,fruits\n2026,,bench,,2026-04-05,1\n"}, "pickings.csv:2: plant: is empty; name the plant, or place and cultivar where it isn't known from which plant the fruit is"},
		{"grade", files{"pickings.csv": "season,plant,picked_at,fruits,grade\n2026,A1,2026-04-05,1,best\n"}, `pickings.csv:2: grade: is "best", which is not a grade; write marketable or cull`},
		{"cause", files{"losses.csv": "season,plant,lost_at,stage,fruits,cause\n2026,A1,2026-04-05,red,1,hail\n"}, `losses.csv:2: cause: is "hail", which is not a cause; write one of dropped, split, dried, rotted, pest, disease, thinned, cleared, other`},
		{"day alone of a reading", files{"temperatures.csv": "place,measured_at,air_c\nbench,2026-04-05,20\n"}, "temperatures.csv:2: measured_at: 2026-04-05 is a day without a time; a reading needs the time, such as 2026-04-05T08:15"},
		{"several zones", files{"diary.csv": "season,plant,noted_at,kind\n2026,,2026-04-05 10:00,note\n"}, `diary.csv:2: noted_at: the plants of season "2026" stand in several time zones; write the time with its offset`},
		{"kind", files{"diary.csv": "season,noted_at,kind\n2026,2026-04-05,watered\n"}, `diary.csv:2: kind: is "watered", which is not a kind of entry; write one of sown, emerged, thinned, transplanted, first bud, first flower, first fruit, pruned, solution changed, solution measured, cleaned, moved, treated, note`},
		{"germination", files{"germination.csv": "season,cultivar,lot,sown_on,seeds,counted_on,emerged\n2026,Amberlin,x,2026-02-01,4,2026-02-09,5\n"}, "germination.csv:2: emerged: is 5, more than the seeds, 4; mend one of the two numbers"},
		{"zone", files{"places.csv": "place,time_zone\nbench,Middle/Earth\n"}, `places.csv:2: time_zone: is "Middle/Earth", which is not a zone of the IANA database; write a name such as Europe/Lisbon or UTC`},
		{"seasons the wrong way round", files{"seasons.csv": "season,first_day,last_day\n2026,2026-03-01,2026-02-01\n"}, "seasons.csv:2: last_day: is 2026-02-01, before the first day, 2026-03-01; mend one of the two days"},
		{"scale", files{"cultivars.csv": "cultivar,scale\nAmberlin,five\n"}, `cultivars.csv:2: scale: there is no ripeness scale "five"; write its stages in scales.csv`},
		{"origin", files{"plants.csv": "season,place,cultivar,plant,sown_on,origin\n2026,bench,Amberlin,A1,2026-02-01,A9\n"}, `plants.csv:2: origin: there is no plant "A9" in season "2026"; name the plant that this one was separated from`},
		{"origins in a ring", files{"plants.csv": "season,place,cultivar,plant,sown_on,origin\n2026,bench,Amberlin,A1,2026-02-01,A2\n2026,bench,Amberlin,A2,2026-02-01,A1\n"}, "plants.csv:2: origin: the plants come from one another in a ring; one of them must have no origin"},
		{"own origin", files{"plants.csv": "season,place,cultivar,plant,sown_on,origin\n2026,bench,Amberlin,A1,2026-02-01,A1\n"}, "plants.csv:2: origin: is the plant's own id; name the plant it was separated from"},
		{"no date of a plant", files{"plants.csv": "season,place,cultivar,plant,sown_on\n2026,bench,Amberlin,A1,\n"}, "plants.csv:2: sown_on: is missing; give the sowing date, or transplanted_on for a plant whose sowing date isn't known"},
		{"move before sowing", files{"moves.csv": "season,plant,place,moved_on\n2026,A1,ledge,2026-03-01\n2026,A1,ledge,2026-01-01\n"}, "moves.csv:3: moved_on: is 2026-01-01, before the plant was sown, 2026-02-01; mend one of the two days"},
		{"name too long", files{"seasons.csv": "season\n" + strings.Repeat("x", 201) + "\n"}, "seasons.csv:2: season: has 201 characters; it may have at most 200, so shorten it"},
		{"made name too long", files{"plants.csv": "season,place,cultivar,plant,sown_on\n2026," + strings.Repeat("é", 201) + ",Amberlin,A1,2026-02-01\n"}, "plants.csv:2: place: has 201 characters; it may have at most 200, so shorten it"},
		{"control character", files{"counts.csv": "season,plant,counted_at,green,note\n2026,A1,2026-04-05,1,a\x07b\n"}, "counts.csv:2: note: has the control character U+0007; take it out"},
		{"id", files{"seasons.csv": "id,season\n123,2026\n"}, `seasons.csv:2: id: "123" is not a UUID: want 32 hexadecimal digits as 8-4-4-4-12; leave it empty to know the row by its key`},
		{"scale without a ripe stage", files{"scales.csv": "scale,position,stage,ripe\ns,1,a,\ns,2,b,no\n"}, `scales.csv:2: ripe: no stage of "s" is marked; write yes at the one stage at which fruit counts as ripe`},
		{"scale with two ripe stages", files{"scales.csv": "scale,position,stage,ripe\ns,1,a,\ns,2,b,yes\ns,3,c,yes\n"}, `scales.csv:4: ripe: "b" is marked ripe already; mark one stage of the scale`},
		{"ripe from the start", files{"scales.csv": "scale,position,stage,ripe\ns,1,a,yes\ns,2,b,\n"}, `scales.csv:2: ripe: is "a", the first stage; name a later one, or add a stage before it`},
		{"position twice", files{"scales.csv": "scale,position,stage,ripe\ns,1,a,\ns,1,b,yes\n"}, `scales.csv:3: position: 1 is the place of "a" already, in line 2; number the stages from unripe to ripe`},
		{"stage twice", files{"scales.csv": "scale,position,stage,ripe\ns,1,a,\ns,2,a,yes\n"}, "scales.csv:3: scale+stage: the same stage stands in line 2 already; keep one of the two"},
		{"stage with the name of a column", files{"scales.csv": "scale,position,stage,ripe\ns,2,note,yes\ns,1,a,\n"}, `scales.csv:2: stage: is "note", which is the name of another column of counts.csv; choose another word`},
		{"count twice", files{"counts.csv": count + "2026,A1,2026-04-05T08:15,1,1\n2026,A1,2026-04-05T08:15:00+02:00,1,1\n"}, "counts.csv:3: plant+counted_at: the same count stands in line 2 already; keep one of the two"},
		{"picking twice", files{"pickings.csv": "season,plant,picked_at,stage,fruits,grade\n2026,A1,2026-04-05,,1,\n2026,A1,2026-04-05,red,2,marketable\n"}, "pickings.csv:3: plant+picked_at+stage+grade: the same picking stands in line 2 already; keep one of the two"},
		{"plant twice", files{"plants.csv": "season,place,cultivar,plant,sown_on\n2026,bench,Amberlin,A1,2026-02-01\n2026,ledge,Amberlin, A1,2026-02-01\n"}, "plants.csv:3: season+plant: the same plant stands in line 2 already; keep one of the two"},
		{"place twice", files{"places.csv": "place\nbench\nbench\n"}, "places.csv:3: place: the same place stands in line 2 already; keep one of the two"},
		{"reading twice", files{"temperatures.csv": "place,measured_at,air_c\nbench,2026-04-05T08:15,20\nbench,2026-04-05T06:15Z,20\n"}, "temperatures.csv:3: place+measured_at: the same reading stands in line 2 already; keep one of the two"},
		{"move twice", files{"moves.csv": "season,plant,place,moved_on\n2026,A1,ledge,2026-03-01\n2026,A1,bench,2026-03-01\n"}, "moves.csv:3: plant+moved_on: the same move stands in line 2 already; keep one of the two"},
		{"line after line breaks in quotes", files{"counts.csv": "season,plant,counted_at,green,note\r\n2026,A1,2026-04-05,1,\"a\r\nb\r\n\"\r\n\r\n2026,A1,2026-04-06,x,\"c\nd\"\r\n"}, `counts.csv:6: green: "x" is not a whole number; write it with digits alone`},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := newMemory()
			before := m.dump()
			_, err := importInto(m, with(c.in), options())
			if err == nil || err.Error() != c.want {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
			if crop.CodeOf(err) != crop.Invalid {
				t.Errorf("code: got %q, want %q", crop.CodeOf(err), crop.Invalid)
			}
			if m.dump() != before {
				t.Error("something was stored")
			}
		})
	}
}

// Faults of rows that others refer to must not make faults of the others.
func TestFaultsDontCascade(t *testing.T) {
	counts := count + "2026,A1,2026-04-05,1,1\n2026,A2,2026-04-05,1,1\n"
	for _, c := range []struct {
		name string
		in   files
		want []string
	}{
		{"plant row", files{"plants.csv": "season,place,cultivar,plant,sown_on\n2026,bench,Amberlin,A1,x\n2026,bench,Amberlin,A2,2026-02-01\n", "counts.csv": counts}, []string{"plants.csv:2"}},
		{"plant rule", files{"plants.csv": "season,place,cultivar,plant,sown_on\n2026,bench,Amberlin,A1,\n2026,bench,Amberlin,A2,2026-02-01\n", "counts.csv": counts}, []string{"plants.csv:2"}},
		{"plants header", files{"plants.csv": "season,location,cultivar,plant,sown_on\n2026,bench,Amberlin,A1,2026-02-01\n", "counts.csv": counts}, []string{"plants.csv:1", "plants.csv:1"}},
		{"plants syntax", files{"plants.csv": "season,place,cultivar,plant,sown_on\n\"2026\n", "counts.csv": counts}, []string{"plants.csv:2"}},
		{"scale", files{"scales.csv": "scale,position,stage,ripe\ns,1,a,\ns,x,b,yes\n", "cultivars.csv": "cultivar,scale\nAmberlin,s\n",
			"counts.csv": "season,plant,counted_at,green\n2026,A1,2026-04-05,1\n"}, []string{"scales.csv:3"}},
		{"all files are read", files{"scales.csv": "scale\n", "seasons.csv": "season\n\xff\n", "counts.csv": counts + "2026,A1,x,,\n"},
			[]string{"seasons.csv:2", "scales.csv:1", "scales.csv:1", "scales.csv:1", "counts.csv:4", "counts.csv:4"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := importInto(newMemory(), with(c.in), options())
			faults, ok := errors.AsType[*FaultError](err)
			if !ok {
				t.Fatalf("got %v, want faults", err)
			}
			var got []string
			for _, f := range faults.Faults {
				got = append(got, fmt.Sprintf("%s:%d", f.File, f.Line))
			}
			if strings.Join(got, " ") != strings.Join(c.want, " ") {
				t.Errorf("got %v, want %v\n%v", got, c.want, err)
			}
		})
	}
}

func TestAtMostFiftyFaults(t *testing.T) {
	rows := strings.Repeat("2026,A1,x,1,1\n", 70)
	_, err := importInto(newMemory(), with(files{"counts.csv": count + rows, "losses.csv": ""}), options())
	faults, ok := errors.AsType[*FaultError](err)
	if !ok || len(faults.Faults) != MaxFaults || !faults.More {
		t.Fatalf("got %v, want %d faults and that there may be more", err, MaxFaults)
	}
	if last := faults.Faults[MaxFaults-1]; last.Line != 51 {
		t.Errorf("last fault: got line %d, want 51", last.Line)
	}
	if !strings.HasSuffix(err.Error(), "\nstopped after 50 faults; mend these and import again") {
		t.Errorf("got %q", err)
	}
}

func TestRowTooLong(t *testing.T) {
	endless := io.MultiReader(strings.NewReader(count+"2026,A1,\""), filler{})
	src := Source{Name: "counts.csv", Open: func() (io.ReadCloser, error) { return io.NopCloser(endless), nil }}
	_, err := Import(t.Context(), newMemory(), append(with(nil).sources(), src), options())
	if want := "counts.csv:2: a row is longer than 1 MiB; look for a quote that is never closed"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// filler is text without end.
type filler struct{}

func (filler) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = 'x'
	}
	return len(p), nil
}

// What only the store can know comes back with the line as well.
func TestFaultsOfTheStore(t *testing.T) {
	in := files{
		"plants.csv": "season,place,cultivar,plant,sown_on\n2026,bench,Amberlin,A1,2026-02-01\n",
		"moves.csv":  "season,plant,place,moved_on\n2026,A1,bench,2026-03-02\n2026,A1,bench,2026-03-01\n",
		"counts.csv": count + "2026,A1,2026-04-05,1,1\n2026,A1,2026-04-06,1,1\n"}
	for _, c := range []struct {
		name           string
		ofApply, ofAdd []crop.Fault
		want           string
	}{
		{"of what rows refer to", []crop.Fault{{Item: 3, Pointer: "/moves/1/on", Detail: "is late"}, {Item: 0, Pointer: "/name", Detail: "is taken"}}, nil,
			"plants.csv:2: season: is taken\nmoves.csv:2: moved_on: is late"},
		{"of rows", nil, []crop.Fault{{Item: 1, Pointer: "/counts/red", Detail: "is odd"}}, "counts.csv:3: red: is odd"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := newMemory()
			before := m.dump()
			m.wrap = func(s Session) Session { return refusing{s, c.ofApply, c.ofAdd} }
			_, err := importInto(m, in, options())
			if err == nil || err.Error() != c.want {
				t.Errorf("got\n%v\nwant\n%s", err, c.want)
			}
			if m.dump() != before {
				t.Error("something was stored")
			}
		})
	}
}

type refusing struct {
	Session
	ofApply, ofAdd []crop.Fault
}

func (r refusing) Apply(ctx context.Context, changes []crop.Change) error {
	if err := r.Session.Apply(ctx, changes); err != nil || len(r.ofApply) == 0 {
		return err
	}
	return &crop.Error{Code: crop.Invalid, Message: "refused", Faults: r.ofApply}
}

func (r refusing) Add(context.Context, crop.Kind, []crop.Record) error {
	return &crop.Error{Code: crop.Invalid, Message: "refused", Faults: r.ofAdd}
}

package csvfile

import (
	"encoding/csv"
	"errors"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestGuard(t *testing.T) {
	for _, c := range []struct{ in, out string }{
		{"", ""}, {"A1", "A1"}, {"=1+1", "'=1+1"}, {"+1", "'+1"}, {"-1", "'-1"}, {"@home", "'@home"}, {"\tx", "'\tx"}, {"\nx", "'\nx"},
		{"'tis", "'tis"}, {"'", "'"}, {"'=x", "''=x"}, {"''=x", "'''=x"}, {"''x", "''x"}, {"a=b", "a=b"},
		{"\uff1d1", "'\uff1d1"}, {"\uff0b1", "'\uff0b1"}, {"\uff0d1", "'\uff0d1"}, {"\uff20x", "'\uff20x"}, {"\uff21x", "\uff21x"}, {"\xff=", "\xff="},
	} {
		if got := guard(c.in); got != c.out {
			t.Errorf("guard(%q): got %q, want %q", c.in, got, c.out)
		}
		if got := unguard(c.out); got != c.in {
			t.Errorf("unguard(%q): got %q, want %q", c.out, got, c.in)
		}
	}
}

func TestGuardIsUndone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOf(rapid.SampledFrom([]rune("''=+-@\t\r\n\uff1dab"))).Draw(t, "text")
		guarded := guard(s)
		if triggered(guarded) {
			t.Errorf("guard(%q) = %q still runs as a formula", s, guarded)
		}
		if got := unguard(guarded); got != s {
			t.Errorf("unguard(guard(%q)): got %q", s, got)
		}
	})
}

// The line of each row is where the row starts, counted from the text itself.
func TestLinesOfRows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ending := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "ending")
		cells := rapid.SliceOfN(rapid.StringOf(rapid.SampledFrom([]rune("ab,\";\t\n"))), 2, 2)
		rows := rapid.SliceOfN(cells, 1, 6).Draw(t, "rows")
		text := "\ufeff"
		var lines []int
		var want [][]string
		for _, row := range rows {
			for range rapid.IntRange(0, 2).Draw(t, "blank lines") {
				text += ending
			}
			if strings.TrimSpace(row[0]+row[1]) == "" {
				row = []string{"x", "y"}
			}
			lines = append(lines, 1+strings.Count(text, "\n"))
			want = append(want, row)
			quoted := make([]string, 2)
			for i, cell := range row {
				quoted[i] = `"` + strings.ReplaceAll(strings.ReplaceAll(cell, `"`, `""`), "\n", ending) + `"`
			}
			text += strings.Join(quoted, ",") + ending
		}
		r, problem, err := newRowReader(t.Context(), strings.NewReader(text))
		if err != nil || problem != "" {
			t.Fatalf("got %v, %s", err, problem)
		}
		for i := range want {
			if problem, err := r.next(); problem != "" || err != nil {
				t.Fatalf("row %d of %q: got %s, %v", i, text, problem, err)
			}
			if r.line != lines[i] {
				t.Errorf("row %d of %q: got line %d, want %d", i, text, r.line, lines[i])
			}
			if strings.Join(r.cells, "|") != strings.Join(want[i], "|") {
				t.Errorf("row %d of %q: got %q, want %q", i, text, r.cells, want[i])
			}
		}
	})
}

// FuzzImport imports arbitrary bytes as counts and as plants: nothing panics, a refusal stores nothing and names lines
// that the file has, and what was accepted is there the second time.
func FuzzImport(f *testing.F) {
	f.Add([]byte(oneCount), []byte(onePlant))
	f.Add([]byte("\ufeff"+strings.ReplaceAll(full["counts.csv"], "\n", "\r\n")), []byte(full["plants.csv"]))
	f.Add([]byte("season;plant;counted_at;green\n2026;A1;2026-03-29 02:30;1\n"), []byte(onePlant))
	f.Add([]byte("season,plant,counted_at,green,note\n2026,A1,2026-04-05,1,\"a\n\"\"\n"), []byte("season,place,cultivar,plant,sown_on,origin\n2026,b,c,A1,2026-01-01,A1\n"))
	f.Add([]byte("season,plant,counted_at,green,\n2026,A1,2026-04-05,1,l\xab\n"), []byte(onePlant)) // in a column without a name, not UTF-8
	f.Add([]byte("id,season\n,,\"\n"), []byte("\xef\xbb\xbf\"se\nason\""))
	f.Fuzz(func(t *testing.T, counts, plants []byte) {
		m := newMemory()
		before := m.dump()
		in := files{"counts.csv": string(counts), "plants.csv": string(plants)}
		opts := options()
		_, err := importInto(m, in, opts)
		if err == nil {
			s, err := importInto(m, in, opts)
			if err != nil || s.Changed() != 0 {
				t.Errorf("the second import: got %v, %d rows changed, want nothing", err, s.Changed())
			}
			return
		}
		if m.dump() != before {
			t.Error("a refused import stored something")
		}
		faults, ok := errors.AsType[*FaultError](err)
		if !ok {
			t.Fatalf("got %v, want faults", err)
		}
		for _, fault := range faults.Faults {
			text := in[fault.File]
			if lines := 1 + strings.Count(text, "\n"); fault.Line < 1 || fault.Line > lines {
				t.Errorf("%s: got line %d of %d", fault, fault.Line, lines)
			}
			if !utf8.ValidString(fault.String()) {
				t.Errorf("%q is not UTF-8", fault)
			}
		}
	})
}

// FuzzRows reads arbitrary bytes; where they are plain CSV the rows are those that reading all at once gives.
func FuzzRows(f *testing.F) {
	for _, text := range full {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, problem, err := newRowReader(t.Context(), strings.NewReader(string(data)))
		if err != nil {
			t.Fatal(err)
		}
		if problem != "" {
			return
		}
		all := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(data), "\ufeff")))
		all.FieldsPerRecord, all.Comma = -1, r.csv.Comma
		want, wantErr := all.ReadAll()
		for _, row := range want {
			if blank(row) {
				continue
			}
			if problem, err := r.next(); problem != "" || err != nil {
				if wantErr != nil {
					return
				}
				t.Fatalf("got %s, %v, want the row %q", problem, err, row)
			}
			if strings.Join(r.cells, "\x00") != strings.Join(row, "\x00") {
				t.Fatalf("got %q, want %q", r.cells, row)
			}
		}
	})
}

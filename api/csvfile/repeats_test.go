package csvfile

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// far is more rows than are held at a time, so that what is said of the rows after them can't come from memory.
const far = chunkRows + 100

// manyRows are counts of plant A1, a minute apart, from line 2 on. Green is 1.
func manyRows(ids bool) string {
	var b strings.Builder
	at := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	for i := range far {
		if ids {
			b.WriteString(rowID(i) + ",")
		}
		fmt.Fprintf(&b, "2026,A1,%s,1\n", at.Add(time.Duration(i)*time.Minute).Format(time.RFC3339))
	}
	return b.String()
}

func rowID(i int) string { return fmt.Sprintf("0198c000-0000-7000-8000-%012x", i+100) }

// Rows that repeat others are told from stored ones however far apart they stand.
func TestRepetitionsFarApart(t *testing.T) {
	const head, headID = "season,plant,counted_at,green\n", "id,season,plant,counted_at,green\n"
	last := far + 2 // the line after the rows
	plants := "season,place,cultivar,plant,sown_on\n2026,bench,Amberlin,A1,2026-02-01\n"
	plain := files{"plants.csv": plants, "counts.csv": head + manyRows(false)}
	withIDs := files{"plants.csv": plants, "counts.csv": headID + manyRows(true)}
	same := fmt.Sprintf("counts.csv:%d: plant+counted_at: the same count stands in line 2 already; keep one of the two", last)
	for _, c := range []struct {
		name          string
		stored        files
		first, second string // rows before and after many, which have ids
		in            string // instead of these
		replace       bool
		want          string
	}{
		{name: "new", in: head + manyRows(false) + "2026,A1,2026-03-01T08:00:00Z,1\n", want: same},
		{name: "new, and other contents", in: head + manyRows(false) + "2026,A1,2026-03-01T08:00:00Z,2\n", want: same},
		{name: "new, to be replaced", in: head + manyRows(false) + "2026,A1,2026-03-01T08:00:00Z,2\n", replace: true, want: same},
		{name: "stored", stored: plain, in: head + manyRows(false) + "2026,A1,2026-03-01T08:00:00Z,1\n", want: same},
		{name: "stored, and other contents", stored: plain, in: head + manyRows(false) + "2026,A1,2026-03-01T08:00:00Z,2\n", want: same},
		{name: "after a fault", in: head + "2026,A1,2026-03-01T08:00:00Z,x\n" + manyRows(false) + "2026,A1,2026-03-01T08:01:00Z,1\n",
			want: "counts.csv:2: green: \"x\" is not a whole number; write it with digits alone\n" +
				fmt.Sprintf("counts.csv:%d: plant+counted_at: the same count stands in line 4 already; keep one of the two", last+1)},
		{name: "id", first: idA + ",2026,A1,2026-02-20T08:00:00Z,1\n", second: idA + ",2026,A1,2026-02-21T08:00:00Z,1\n",
			want: fmt.Sprintf("counts.csv:%d: id: the same id stands in line 2 already; an id is of one record", last+1)},
		{name: "stored id", stored: withIDs, second: rowID(0) + ",2026,A1,2026-02-21T08:00:00Z,1\n", replace: true,
			want: fmt.Sprintf("counts.csv:%d: id: the same id stands in line 2 already; an id is of one record", last)},
		{name: "with and without id", second: ",2026,A1,2026-03-01T08:00:00Z,1\n", want: same},
		{name: "without and with id", first: ",2026,A1,2026-02-20T08:00:00Z,1\n", second: idA + ",2026,A1,2026-02-20T08:00:00Z,1\n",
			want: fmt.Sprintf("counts.csv:%d: plant+counted_at: the same count stands in line 2 already; keep one of the two", last+1)},
		{name: "two ids, one key", second: idA + ",2026,A1,2026-03-01T08:00:00Z,1\n", want: ""},
		{name: "the id of what a row without id is of", stored: withIDs, in: headID + ",2026,A1,2026-03-01T08:00:00Z,1\n" +
			strings.Replace(manyRows(true), rowID(0)+",2026,A1,2026-03-01T08:00:00Z,1\n", "", 1) + rowID(0) + ",2026,A1,2026-02-20T08:00:00Z,1\n", replace: true,
			want: fmt.Sprintf("counts.csv:%d: id: the same id stands in line 2 already; an id is of one record", last)},
		{name: "a stored key and new ids", stored: files{"plants.csv": plants, "counts.csv": headID + idA + ",2026,A1,2026-03-01T08:00:00Z,1\n"},
			want: "counts.csv:2: id: the same count is stored already with the id " + idA + "; leave the id empty to mean that one"},
		{name: "a stored key, a new id, and the stored one later", stored: files{"plants.csv": plants, "counts.csv": headID + idA + ",2026,A1,2026-03-01T08:00:00Z,1\n"},
			second: idA + ",2026,A1,2026-03-01T08:00:00Z,1\n", want: ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := openSite(t)
			mustImport(t, s, files{"plants.csv": plants}, options())
			if c.stored != nil {
				mustImport(t, s, c.stored, options())
			}
			before, err := s.Catalogue(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			in := c.in
			if in == "" {
				in = headID + c.first + manyRows(true) + c.second
			}
			opts := options()
			opts.Replace = c.replace
			_, err = importInto(s, files{"counts.csv": in}, opts)
			if got := errorText(err); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
			after, err := s.Catalogue(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			if c.want != "" && after.Change != before.Change {
				t.Error("something was stored")
			}
		})
	}
}

// What was seen is never forgotten, and little is taken for seen that wasn't.
func TestSeen(t *testing.T) {
	s := newSeen(1 << 20) // 256 KiB, so 32 bits for each of:
	const entries = 1 << 16
	for i := range entries {
		s.add(hashOf(i, keyWithoutID))
	}
	wrong := 0
	for i := range entries {
		if !s.has(hashOf(i, keyWithoutID)) {
			t.Fatalf("%d is forgotten", i)
		}
		if s.has(hashOf(-1-i, keyWithoutID)) {
			wrong++
		}
	}
	// With 16 entries in each block of 512 bits, 6·16 bits of it are set at most: (96/512)^6 is 1 in 23,000; blocks that
	// happen to get more entries make it a few times as many.
	if wrong > entries/2000 {
		t.Errorf("%d of %d taken for seen", wrong, entries)
	}
}

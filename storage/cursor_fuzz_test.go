package storage

import (
	"bytes"
	"cmp"
	"encoding/base64"
	"errors"
	"slices"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// compareCursors is the order of a list: by what its column holds, then by id, each byte by byte.
func compareCursors(a, b cursor) int {
	return cmp.Or(cmp.Compare(a.Time, b.Time), strings.Compare(a.Text, b.Text), bytes.Compare(a.ID[:], b.ID[:]))
}

// wholeList reads a list at once and makes the cursor of each record in it.
func wholeList(tb testing.TB, s *Site, kind crop.Kind) []cursor {
	tb.Helper()
	page, err := s.List(tb.Context(), kind, crop.Filter{Limit: maxLimit})
	if err != nil || page.Next != "" || len(page.Items) < 2 {
		tb.Fatalf("the whole list of %s: %d records, next %q, %v; want two or more and no next", kind, len(page.Items), page.Next, err)
	}
	var all []cursor
	for _, item := range page.Items {
		r, err := tables[kind].toRow(item.Record)
		if err != nil {
			tb.Fatal(err)
		}
		r.base().ID = key(item.Record.Identity())
		all = append(all, tables[kind].cursorAfter(r))
	}
	return all
}

// cursorKinds have lists ordered by a name, by an instant and by a day.
var cursorKinds = []crop.Kind{crop.Seasons, crop.Plants, crop.Visits, crop.Temperatures, crop.Germinations}

// FuzzCursor: whatever a client passes on as a cursor, the answer is a refusal that names it, or those records of the list
// that come after the place it stands for, and what was taken is written in a form that is taken for the same place.
func FuzzCursor(f *testing.F) {
	db := openTest(f)
	s := db.Site()
	tr := newTrial(s, "cursors", 6)
	mustApply(f, s, append(tr.base(), crop.Change{Record: &crop.Season{ID: s.NewID(), Name: "Ünder “quotes”, 種"}}))
	mustApply(f, s, append(tr.visits(s, 2), tr.rest(s)[len(tr.plants)*3:]...))
	for _, day := range []int{3, 3, 9} {
		on := crop.Date{Year: 2026, Month: 2, Day: day}
		mustApply(f, s, []crop.Change{{Record: &crop.Germination{ID: s.NewID(), SeasonID: tr.season.ID, CultivarID: tr.cultivar.ID,
			Lot: "L" + s.NewID().String(), SownOn: &on, CountedOn: &on, Seeds: new(9), Emerged: new(day)}}})
	}
	lists := map[crop.Kind][]cursor{}
	for i, kind := range cursorKinds {
		lists[kind] = wholeList(f, s, kind)
		for _, c := range lists[kind][:2] {
			text := c.String()
			f.Add(uint8(i), text)
			f.Add(uint8(i+1), text) // of another list
			f.Add(uint8(i), text[:len(text)/2])
			f.Add(uint8(i), text[:len(text)-1])
			f.Add(uint8(i), text+"=")
			f.Add(uint8(i), strings.Repeat(text, 2))
		}
	}
	for _, plain := range []string{
		``, `{}`, `null`, `[]`, `{"k":"counts"}`, `{"k":"counts","t":-9223372036854775808}`, `{"k":"counts","t":1e400}`, `{"k":"counts","t":"1"}`,
		`{"k":"counts","t":1,"i":"x"}`, `{"k":"seasons","s":"\u0000"}`, `{"k":"seasons","s":"\ud800"}`, `{"k":"seasons","k":"counts"}`, `{"k":"counts"} {}`,
		`{"k":"germination","s":"2026-02-03"}`, `{"k":"germination","s":"not a day"}`, `{"k":"seasons","s":"' OR 1=1 --"}`,
	} {
		f.Add(uint8(0), base64.RawURLEncoding.EncodeToString([]byte(plain)))
		f.Add(uint8(2), base64.RawURLEncoding.EncodeToString([]byte(plain)))
		f.Add(uint8(4), plain)
	}
	f.Fuzz(func(t *testing.T, at uint8, text string) {
		kind := cursorKinds[int(at)%len(cursorKinds)]
		page, err := s.List(t.Context(), kind, crop.Filter{Cursor: text, Limit: maxLimit})
		if err != nil {
			e, ok := errors.AsType[*crop.Error](err)
			if !ok || e.Code != crop.Invalid || len(e.Faults) != 1 || e.Faults[0].Pointer != "/cursor" || e.Faults[0].Detail == "" {
				t.Fatalf("%s after %q: %v, want a refusal of the cursor", kind, text, err)
			}
			return
		}
		var got []crop.ID
		for _, item := range page.Items {
			got = append(got, item.Record.Identity())
		}
		start := cursor{}
		if text != "" {
			if start, err = parseCursor(kind, text); err != nil {
				t.Fatalf("%s after %q: %v, though the list was read", kind, text, err)
			}
			if again, err := parseCursor(kind, start.String()); err != nil || again != start {
				t.Fatalf("%s: %q is read as %+v, and that as %+v, %v", kind, text, start, again, err)
			}
		}
		var want []crop.ID
		for _, c := range lists[kind] {
			if text == "" || compareCursors(c, start.of(tables[kind].order)) > 0 {
				want = append(want, c.ID)
			}
		}
		if !slices.Equal(got, want) || page.Next != "" {
			t.Fatalf("%s after %q (%+v): %v, next %q; want %v", kind, text, start, got, page.Next, want)
		}
	})
}

// of leaves of a cursor what the order looks at.
func (c cursor) of(o order) cursor {
	if o.when == instant {
		c.Text = ""
	} else {
		c.Time = 0
	}
	return c
}

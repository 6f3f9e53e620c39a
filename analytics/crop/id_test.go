package crop_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
)

// The ids are the examples of RFC 9562, appendices A and B, and its nil and max UUIDs (sections 5.9 and 5.10). A.2, A.4, A.5
// and B.2 were compared with test vectors that name the RFC, not with its text.
func TestParseID(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"A.1, version 1", "C232AB00-9414-11EC-B3C8-9F6BDECED846", "c232ab00-9414-11ec-b3c8-9f6bdeced846"},
		{"A.2, version 3", "5df41881-3aed-3515-88a7-2f4a814cf09e", "5df41881-3aed-3515-88a7-2f4a814cf09e"},
		{"A.3, version 4", "919108f7-52d1-4320-9bac-f847db4148a8", "919108f7-52d1-4320-9bac-f847db4148a8"},
		{"A.4, version 5", "2ed6657d-e927-568b-95e1-2665a8aea6a2", "2ed6657d-e927-568b-95e1-2665a8aea6a2"},
		{"A.5, version 6", "1EC9414C-232A-6B00-B3C8-9F6BDECED846", "1ec9414c-232a-6b00-b3c8-9f6bdeced846"},
		{"A.6, version 7", "017F22E2-79B0-7CC3-98C4-DC0C0C07398F", "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"},
		{"B.1, version 8", "2489E9AD-2EE2-8E00-8EC9-32D5F69181C0", "2489e9ad-2ee2-8e00-8ec9-32d5f69181c0"},
		{"B.2, version 8", "5c146b14-3c52-8afd-938a-375d0df1fbf6", "5c146b14-3c52-8afd-938a-375d0df1fbf6"},
		{"5.9, nil", "00000000-0000-0000-0000-000000000000", "00000000-0000-0000-0000-000000000000"},
		{"5.10, max", "FFFFFFFF-FFFF-FFFF-FFFF-FFFFFFFFFFFF", "ffffffff-ffff-ffff-ffff-ffffffffffff"},
		{"no hyphens", "017F22E279B07CC398C4DC0C0C07398F", ""},
		{"hyphens elsewhere", "017F22E27-9B0-7CC3-98C4-DC0C0C07398F", ""},
		{"braces", "{17F22E2-79B0-7CC3-98C4-DC0C0C07398F}", ""},
		{"a letter that isn't a digit", "G17F22E2-79B0-7CC3-98C4-DC0C0C07398F", ""},
		{"too short", "017F22E2-79B0-7CC3-98C4-DC0C0C07398", ""},
		{"nothing", "", ""},
	} {
		id, err := crop.ParseID(c.text)
		if c.want == "" {
			if err == nil || !id.IsZero() {
				t.Errorf("%s: ParseID(%q) = %s, want it refused", c.name, c.text, id)
			}
		} else if err != nil || id.String() != c.want {
			t.Errorf("%s: ParseID(%q) = %s, %v; want %s", c.name, c.text, id, err, c.want)
		}
	}
}

// TestIDOrder: ids compare as their text does, and version 7 ids by their time, the first 48 bits (RFC 9562 section 5.7).
func TestIDOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var a, b crop.ID
		copy(a[:], rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "a"))
		copy(b[:], rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "b"))
		if rapid.Bool().Draw(t, "alike at first") {
			copy(b[:8], a[:8])
		}
		if got, want := a.Compare(b), strings.Compare(a.String(), b.String()); got != want {
			t.Errorf("%s and %s: got %d, want %d", a, b, got, want)
		}
	})
	const first, second = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f", "017f22e2-79b1-7000-8000-000000000000" // a millisecond later
	a, errA := crop.ParseID(first)
	b, errB := crop.ParseID(second)
	if errA != nil || errB != nil || a.Compare(b) >= 0 {
		t.Errorf("%s is not before %s: %v, %v", first, second, errA, errB)
	}
}

// TestShippedScaleIDs: the ids of the shipped scales are of version 8, variant 10 (RFC 9562 sections 4.1, 5.8), and no
// others in databases already made.
func TestShippedScaleIDs(t *testing.T) {
	for _, c := range []struct {
		scale crop.Scale
		want  string
	}{
		{crop.DefaultScale(), "00000000-0000-8000-8000-000000000004"},
		{crop.ColourClasses(), "00000000-0000-8000-8000-000000000006"},
	} {
		if got := c.scale.ID.String(); got != c.want {
			t.Errorf("%s: id %s, want %s", c.scale.Name, got, c.want)
		}
	}
}

// TestNaturalOrder: labels come as people number plants.
func TestNaturalOrder(t *testing.T) {
	want := []string{"", "1", "01", "2", "10", "A", "A1", "A01", "A1b", "A2", "A2-9", "A2-10", "A10", "A10b", "B1", "a1", "ä1"}
	want[1], want[2] = "01", "1" // alike to people, then by their bytes
	want[6], want[7] = "A01", "A1"
	got := slices.Clone(want)
	slices.Reverse(got)
	slices.SortFunc(got, crop.NaturalCompare)
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	if crop.NaturalCompare("P99999999999999999999998", "P99999999999999999999999") >= 0 {
		t.Errorf("numbers beyond 64 bits are not ordered by their value")
	}
}

// TestNaturalOrderIsAnOrder: it is total, and sorting by it can't go in circles.
func TestNaturalOrderIsAnOrder(t *testing.T) {
	sign := func(n int) int { return min(1, max(-1, n)) }
	label := rapid.StringMatching(`[A01b9.-]{0,6}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := label.Draw(t, "a"), label.Draw(t, "b"), label.Draw(t, "c")
		ab, bc, ac := crop.NaturalCompare(a, b), crop.NaturalCompare(b, c), crop.NaturalCompare(a, c)
		if sign(ab) != -sign(crop.NaturalCompare(b, a)) || (ab == 0) != (a == b) {
			t.Errorf("%q and %q: %d one way, %d the other", a, b, ab, crop.NaturalCompare(b, a))
		}
		if ab < 0 && bc < 0 && ac >= 0 {
			t.Errorf("%q < %q < %q, but %q is not before %q", a, b, c, a, c)
		}
	})
}

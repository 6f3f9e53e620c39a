package csvfile

import (
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// A name in another form of the same characters, or with spaces around it that nobody sees, is the same name.
func TestNamesInAnyForm(t *testing.T) {
	composed := files{
		"scales.csv":    "scale,position,stage,ripe\nvier,1,gr\u00fcn,\nvier,2,\u00fcberreif,yes\n",
		"cultivars.csv": "cultivar,scale\n\u756a\u8304 \ud55c,vier\n",
		"places.csv":    "place,time_zone\nT\u00e4nnchen,Europe/Berlin\n",
		"plants.csv":    "season,place,cultivar,plant,sown_on,note\n\u062d\u0635\u0627\u062f,T\u00e4nnchen,\u756a\u8304 \ud55c,\u00c51,2026-02-01,\u00e9\n",
		"counts.csv":    "season,plant,counted_at,gr\u00fcn,\u00fcberreif,observer\n\u062d\u0635\u0627\u062f,\u00c51,2026-04-05T08:15,1,2,In\u00e9s\n",
		"diary.csv":     "season,plant,noted_at,kind,note\n\u062d\u0635\u0627\u062f,\u00c51,2026-04-05T08:15,note,\u00e9t\u00e9\n",
		"losses.csv":    "season,plant,lost_at,stage,fruits,cause\n\u062d\u0635\u0627\u062f,\u00c51,2026-04-05,gr\u00fcn,1,dried\n",
	}
	apart := strings.NewReplacer("\u00fc", "u\u0308", "\u00e4", "a\u0308", "\u00c5", "\u212b", "\u00e9", "e\u0301", "\ud55c", "\u1112\u1161\u11ab")
	other := files{}
	for name, text := range composed {
		text = apart.Replace(text)
		text = strings.ReplaceAll(text, "\u212b1,", "\u00a0\u212b1\u200b,")
		if text == composed[name] && name != "places.csv" {
			t.Fatalf("%s has nothing to write in another way", name)
		}
		other[name] = text
	}
	for _, c := range []struct {
		name        string
		first, then files
	}{{"apart after composed", composed, other}, {"composed after apart", other, composed}} {
		t.Run(c.name, func(t *testing.T) {
			m := newMemory()
			mustImport(t, m, c.first, options())
			before := m.dump()
			if s := mustImport(t, m, c.then, options()); s.Changed() != 0 || m.dump() != before {
				t.Errorf("got %s\n%s\nwant nothing new\n%s", s, m.dump(), before)
			}
			if label := list[crop.Plant](m, nil)[0].Label; label != "\u00c51" {
				t.Errorf("label: got %+q, want it composed", label)
			}
		})
	}
}

package crop

import (
	"testing"
	"time"
	"unicode"
)

func TestName(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"plain", "Amberlin", "Amberlin"},
		{"spaces", " \t Amberlin\r\n", "Amberlin"},
		// Pairs of canonical equivalents from the Unicode Character Database, UnicodeData.txt and NormalizationTest.txt.
		{"e and acute", "Ine\u0301s", "In\u00e9s"},
		{"ångström sign", "\u212b", "\u00c5"},
		{"Hangul in letters", "\u1112\u1161\u11ab", "\ud55c"},
		{"marks in another order", "a\u0315\u0300", "\u00e0\u0315"},
		{"compatible only, so kept", "\uff21\ufb01\u00b2", "\uff21\ufb01\u00b2"},
		{"other scripts", "Томат 番茄 طماطم", "Томат 番茄 طماطم"},
		{"space that doesn't break", "\u00a0A\u00a01\u202f", "A 1"},
		{"space of the width of an ideograph", "\u756a\u8304\u30001", "\u756a\u8304 1"},
		{"zero width", "\ufeff\u200bA1\u2060", "A1"},
		{"zero width inside", "A\u200b1\ufeff2\u20603", "A123"},
		{"soft hyphen", "Am\u00adber", "Amber"},
		{"joiners inside", "\u200dक\u094d\u200dष", "\u200dक\u094d\u200dष"},
		{"not UTF-8", "a\xff", "a\xff"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Name(c.in)
			if got != c.want {
				t.Errorf("got %+q, want %+q", got, c.want)
			}
			if again := Name(got); again != got {
				t.Errorf("once more: %+q, want %+q", again, got)
			}
		})
	}
	if got := Text(" e\u0301\n"); got != " \u00e9\n" {
		t.Errorf("text: got %+q; want its space kept", got)
	}
}

// Every space of Unicode, by the table of Go's standard library, is a plain one in a name.
func TestNameHasPlainSpaces(t *testing.T) {
	for _, r16 := range unicode.Zs.R16 {
		for r := rune(r16.Lo); r <= rune(r16.Hi); r += rune(r16.Stride) {
			if got := Name("A" + string(r) + "1"); got != "A 1" {
				t.Errorf("with %U: got %+q", r, got)
			}
		}
	}
	if len(unicode.Zs.R32) > 0 {
		t.Error("there are spaces beyond U+FFFF")
	}
}

// What is canonically the same is the same record, the same stage, the same name.
func TestCheckNormalises(t *testing.T) {
	now := time.Date(2026, 9, 1, 0, 0, 0, 0, time.UTC)
	s := Season{ID: ID{1}, Name: "\u00a0Anne\u0301e "}
	if faults := Check(&s, nil, now); len(faults) > 0 || s.Name != "Ann\u00e9e" {
		t.Errorf("got %+q, %v", s.Name, faults)
	}
	scale := Scale{ID: ID{1}, Name: "s", Stages: []Stage{{Name: "gru\u0308n", Description: "u\u0308"}, {Name: "rot"}, {Name: "u\u0308berreif"}}, RipeStage: "\u00fcberreif"}
	if faults := Check(&scale, nil, now); len(faults) > 0 || scale.Stages[0] != (Stage{Name: "gr\u00fcn", Description: "\u00fc"}) || scale.Ripe() != 2 {
		t.Errorf("got %+q, %v", scale, faults)
	}
	v := Visit{Counts: map[string]int{"gru\u0308n": 1, "rot": 2}}
	c := &checker{}
	if v.checkCounts(c, &scale); len(c.faults) > 0 || v.Counts["gr\u00fcn"] != 1 || len(v.Counts) != 2 {
		t.Errorf("got %v, %v", v.Counts, c.faults)
	}
	v = Visit{Counts: map[string]int{"gru\u0308n": 1, "gr\u00fcn": 2}}
	if v.checkCounts(c, &scale); len(c.faults) != 1 {
		t.Errorf("one stage in two forms: got %v, want one fault", c.faults)
	}
}

package charts

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// palettes reads the colours of both themes from the style sheet.
func palettes(t *testing.T) map[string]map[string][3]float64 {
	t.Helper()
	light, rest, ok := strings.Cut(string(reportStyle), "@media screen and (prefers-color-scheme: dark)")
	if !ok {
		t.Fatal("the style sheet has no dark theme")
	}
	dark, _, _ := strings.Cut(rest, ".c-ink")
	out := map[string]map[string][3]float64{}
	for name, css := range map[string]string{"light": light, "dark": dark} {
		out[name] = map[string][3]float64{}
		for _, m := range regexp.MustCompile(`--([a-z0-9-]+): #([0-9a-f]{6});`).FindAllStringSubmatch(css, -1) {
			n, err := strconv.ParseUint(m[2], 16, 32)
			if err != nil {
				t.Fatal(err)
			}
			out[name][m[1]] = [3]float64{linear(n >> 16 & 255), linear(n >> 8 & 255), linear(n & 255)}
		}
	}
	return out
}

// linear undoes the transfer curve of sRGB (IEC 61966-2-1).
func linear(c uint64) float64 {
	v := float64(c) / 255
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// contrast is the contrast ratio of WCAG 2.2, "contrast ratio" and "relative luminance".
func contrast(a, b [3]float64) float64 {
	luminance := func(c [3]float64) float64 { return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2] }
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// The formula against the ends of its range: WCAG 2.2 says ratios go from 1 to 21.
func TestContrastFormula(t *testing.T) {
	black, white := [3]float64{}, [3]float64{1, 1, 1}
	if got := contrast(black, white); math.Abs(got-21) > 1e-12 {
		t.Errorf("black on white: got %v, want 21", got)
	}
	if got := contrast(white, white); got != 1 {
		t.Errorf("white on white: got %v, want 1", got)
	}
}

// WCAG 2.2, success criteria 1.4.11 (3:1 for parts of graphics) and 1.4.3 (4.5:1 for text).
func TestContrast(t *testing.T) {
	for theme, colours := range palettes(t) {
		want := map[string]float64{"ink": 4.5, "muted": 4.5, "link": 4.5, "act": 4.5, "look": 4.5, "picked": 3, "lost": 3}
		for i := range stageColours {
			want[stageColour(i)] = 3
		}
		for i := range seriesColours {
			want[seriesColour(i)] = 3
		}
		for name, least := range want {
			c, ok := colours[name]
			if !ok {
				t.Errorf("%s: no colour %s", theme, name)
				continue
			}
			if got := contrast(c, colours["paper"]); got < least {
				t.Errorf("%s: %s on paper has contrast %.2f, want %v", theme, name, got, least)
			}
		}
	}
}

// sight simulates full dichromacy in linear sRGB. Source: Machado, Oliveira and Fernandes (2009), IEEE Transactions on
// Visualization and Computer Graphics 15, 1291–1298, severity 1.0; the matrices are from memory.
var sight = map[string][3][3]float64{
	"usual":        {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

// lab gives CIE 1976 L*a*b* under D65, so that distances are the colour difference ΔE*ab.
func lab(c [3]float64, m [3][3]float64) [3]float64 {
	var v [3]float64
	for i := range v {
		v[i] = min(1, max(0, m[i][0]*c[0]+m[i][1]*c[1]+m[i][2]*c[2]))
	}
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124*v[0] + 0.3576*v[1] + 0.1805*v[2]) / 0.9505)
	y := f(0.2126*v[0] + 0.7152*v[1] + 0.0722*v[2])
	z := f((0.0193*v[0] + 0.1192*v[1] + 0.9505*v[2]) / 1.089)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// Colours can be told apart under every kind of sight: the eight series by ΔE*ab of 20 or more, the four stages of the
// default scale by 10 or more (each has a pattern, a dash and a symbol of its own besides). A difference of about 2.3
// is just noticeable (Mahy, Van Eycken and Oosterlinck 1994, from memory).
func TestColoursCanBeToldApart(t *testing.T) {
	stages := make([]string, 4)
	for i := range stages {
		stages[i] = stageLook(i, 3).colour
	}
	series := make([]string, seriesColours)
	for i := range series {
		series[i] = seriesColour(i)
	}
	for theme, colours := range palettes(t) {
		for kind, m := range sight {
			for _, set := range []struct {
				names []string
				least float64
			}{{series, 20}, {stages, 10}, {[]string{"picked", "lost"}, 20}} {
				for i, a := range set.names {
					for _, b := range set.names[:i] {
						x, y := lab(colours[a], m), lab(colours[b], m)
						if got := math.Hypot(math.Hypot(x[0]-y[0], x[1]-y[1]), x[2]-y[2]); got < set.least {
							t.Errorf("%s, %s: %s and %s differ by %.1f, want %v", theme, kind, a, b, got, set.least)
						}
					}
				}
			}
		}
	}
}

// No two looks agree in colour, dash and symbol, for as many series as a chart may have.
func TestLooksDiffer(t *testing.T) {
	seen := map[string]int{}
	for i := range 32 {
		l := seriesLook(i)
		k := fmt.Sprint(l.colour, l.dash, l.symbol)
		if j, ok := seen[k]; ok {
			t.Errorf("series %d looks like series %d", i, j)
		}
		seen[k] = i
	}
	for n := 2; n <= 9; n++ { // scales of n stages, the last or the last but one ripe
		for _, ripe := range []int{n - 1, n - 2} {
			seen := map[string]int{}
			for i := range n {
				l := stageLook(i, ripe)
				k := fmt.Sprint(l.pattern, l.dash, l.symbol)
				if j, ok := seen[k]; ok {
					t.Errorf("%d stages: stage %d looks like stage %d but for colour", n, i, j)
				}
				seen[k] = i
			}
		}
	}
}

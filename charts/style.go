package charts

import (
	"math"
	"strconv"
	"strings"
)

// symbols are SVG paths about the origin, told apart by outline alone; the same paths draw the chart and its key.
var symbols = []string{
	"M0 -1A1 1 0 1 1 0 1A1 1 0 1 1 0 -1Z", // disc
	"M-0.9 -0.9H0.9V0.9H-0.9Z",            // square
	"M0 -1L1 0.8H-1Z",                     // triangle
	"M0 -1.1L1.1 0L0 1.1L-1.1 0Z",         // diamond
	"M0 1L1 -0.8H-1Z",                     // triangle, point down
	"M-0.35 -1H0.35V-0.35H1V0.35H0.35V1H-0.35V0.35H-1V-0.35H-0.35Z", // upright cross
	"M-0.45 -1H0.45V1H-0.45Z", // upright bar
	"M-1 -0.45H1V0.45H-1Z",    // lying bar
}

const (
	symbolPicked  = "M0 -1.1L1.1 0L0 1.1L-1.1 0Z"                                                         // diamond
	symbolLost    = "M-1 -0.6L-0.6 -1L0 -0.4L0.6 -1L1 -0.6L0.4 0L1 0.6L0.6 1L0 0.4L-0.6 1L-1 0.6L-0.4 0Z" // slanted cross
	symbolAtLeast = "M0 -1.2L0.9 0H0.3V1H-0.3V0H-0.9Z"                                                    // arrow up
	symbolMark    = "M-0.2 -1.2H0.2V1.2H-0.2Z"                                                            // upright stroke
)

// dashes are line styles as SVG dash arrays; "" is a full line.
var dashes = []string{"", "7 3", "2 3", "10 3 2 3", "12 4", "4 2 1 2", "1 2", "8 2 2 2 2 2"}

// patterns are fills. Each has the chart library's decal here and an SVG pattern of the same index in the page.
var patterns = []map[string]any{
	nil, // plain
	{"dashArrayX": []any{1, 0}, "dashArrayY": []any{2, 5}, "rotation": -math.Pi / 4},
	{"symbol": "circle", "symbolSize": 0.7, "dashArrayX": []any{[]any{8, 8}, []any{0, 8, 8, 0}}, "dashArrayY": []any{6, 0}},
	{"dashArrayX": []any{1, 0}, "dashArrayY": []any{3, 3}, "rotation": math.Pi / 4},
	{"dashArrayX": []any{1, 0}, "dashArrayY": []any{2, 6}},
	{"dashArrayX": []any{1, 0}, "dashArrayY": []any{2, 5}, "rotation": math.Pi / 2},
	{"symbol": "rect", "symbolSize": 1, "dashArrayX": []any{[]any{5, 5}, []any{0, 5, 5, 0}}, "dashArrayY": []any{5, 0}},
	{"symbol": "triangle", "symbolSize": 0.8, "dashArrayX": []any{[]any{9, 9}, []any{0, 9, 9, 0}}, "dashArrayY": []any{8, 2}},
}

// colours in report.css: stage-0 … stage-6 from unripe to ripe, stage-7 past ripe; series-0 … series-7; and by name.
const (
	stageColours  = 8
	seriesColours = 8
	colourInk     = "ink"
	colourPicked  = "picked"
	colourLost    = "lost"
	colourMuted   = "muted"
)

// Tone says what a bar stands for where that has a colour of its own.
type Tone int

// The tones.
const (
	ToneSeries Tone = iota // one of the series colours, by position
	ToneRipe
	ToneUnripe
	TonePastRipe
	TonePicked
	ToneLost
)

func (t Tone) colour(position int) string {
	switch t {
	case ToneRipe:
		return stageColour(6)
	case ToneUnripe:
		return stageColour(0)
	case TonePastRipe:
		return colourInk
	case TonePicked:
		return colourPicked
	case ToneLost:
		return colourLost
	}
	return seriesColour(position)
}

func stageColour(i int) string  { return "stage-" + strconv.Itoa(i%stageColours) }
func seriesColour(i int) string { return "series-" + strconv.Itoa(i%seriesColours) }

// look is how one series is drawn.
type look struct {
	colour  string
	pattern int
	dash    string
	symbol  string
}

// seriesLook gives series i a colour, a dash and a symbol. The dashes and symbols turn over at other lengths than the
// colours, so that two series that share a colour differ in the rest.
func seriesLook(i int) look {
	turn := i / seriesColours
	return look{
		colour:  seriesColour(i),
		pattern: i % len(patterns),
		dash:    dashes[(i+turn)%len(dashes)],
		symbol:  symbols[(i+3*turn)%len(symbols)],
	}
}

// stageLook gives stage i of n a colour by its distance to the ripe stage, which is plain; the others are patterned.
func stageLook(i, ripe int) look {
	l := look{dash: dashes[i%len(dashes)], symbol: symbols[i%len(symbols)]}
	switch {
	case i == ripe:
		l.colour, l.pattern, l.dash = stageColour(6), 0, ""
	case i > ripe:
		l.colour, l.pattern = stageColour(7), 6+(i-ripe-1)%2
	default:
		l.colour = stageColour(int(math.Round(float64(i) * 6 / float64(ripe))))
		l.pattern = []int{2, 1, 3, 5, 4}[i%5]
		l.dash = dashes[1+i%(len(dashes)-1)]
	}
	return l
}

func (l look) decal() any {
	if l.pattern == 0 {
		return nil
	}
	out := map[string]any{"color": "$c:hatch"}
	for k, v := range patterns[l.pattern] {
		out[k] = v
	}
	return out
}

func (l look) itemStyle() map[string]any {
	style := map[string]any{"color": "$c:" + l.colour}
	if d := l.decal(); d != nil {
		style["decal"] = d
	}
	return style
}

func (l look) lineStyle(width float64) map[string]any {
	return map[string]any{"color": "$c:" + l.colour, "width": width, "type": dashOption(l.dash)}
}

func dashOption(dash string) any {
	if dash == "" {
		return "solid"
	}
	var out []any
	for field := range strings.FieldsSeq(dash) {
		n, err := strconv.Atoi(field)
		if err != nil {
			panic("charts: dash array " + dash)
		}
		out = append(out, n)
	}
	return out
}

func symbolOption(path string) string { return "path://" + path }

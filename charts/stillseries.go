package charts

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
)

// drawSeries draws one series as report.js has it drawn.
func (s *still) drawSeries(series map[string]any) {
	i := int(number64(series["xAxisIndex"]))
	if i >= len(s.frames) {
		return
	}
	f := &s.frames[i]
	colour := colourClass(at(series, "itemStyle", "color"))
	fmt.Fprintf(&s.b, `<g class="%s">`, colour)
	switch render := text(series["renderItem"]); {
	case render == "$fn:band":
		s.drawBand(f, series, "band")
	case render == "$fn:inner":
		s.drawBand(f, series, "band inner")
	case render != "":
		s.drawRanges(f, series, render == "$fn:lying")
	case series["type"] == "line":
		s.drawLine(f, series)
	case series["type"] == "bar":
		s.drawBars(f, series)
	case series["type"] == "scatter":
		s.drawSigns(f, series)
	}
	s.b.WriteString("</g>")
}

// colourClass is the class of report.css for a colour of an option.
func colourClass(v any) string {
	if name, ok := strings.CutPrefix(text(v), "$c:"); ok {
		return "c-" + name
	}
	return "c-ink"
}

// drawBand draws low and high as one shape; what lies above the frame is cut off.
func (s *still) drawBand(f *frame, series map[string]any, class string) {
	var low, high []point
	for _, item := range list(series["data"]) {
		if v := values(item); len(v) > 2 {
			x := f.atX(v[0])
			low, high = append(low, point{x: x, y: max(f.top, f.atY(v[1]))}), append(high, point{x: x, y: max(f.top, f.atY(v[2]))})
		}
	}
	low = thinned(low)
	slices.Reverse(low)
	fmt.Fprintf(&s.b, `<path class="%s" d="%sZ"/>`, class, linePath(append(thinned(high), low...), false))
}

func (s *still) drawRanges(f *frame, series map[string]any, lying bool) {
	for _, item := range list(series["data"]) {
		v := values(item)
		switch {
		case len(v) < 3:
		case lying:
			fmt.Fprintf(&s.b, `<path class="line" d="M%s %sH%s"/>`, px(f.atX(v[0])), px(f.atY(v[2])), px(f.atX(v[1])))
		default:
			fmt.Fprintf(&s.b, `<path class="line" d="M%s %sV%s"/>`, px(f.atX(v[0])), px(f.atY(v[1])), px(f.atY(v[2])))
		}
	}
}

// point is a place of a line, with the place under it where areas are stacked.
type point struct{ x, y, under float64 }

// drawLine draws a line, in pieces where values are missing, with its area and its signs.
func (s *still) drawLine(f *frame, series map[string]any) {
	stack := text(series["stack"])
	sums := s.sums[stack]
	if stack != "" && sums == nil {
		sums = map[float64]float64{}
		s.sums[stack] = sums
	}
	var pieces [][]point
	open := false
	for _, item := range list(series["data"]) {
		v := values(item)
		if len(v) < 2 || math.IsNaN(v[1]) {
			open = false
			continue
		}
		p := point{f.atX(v[0]), f.atY(v[1]), f.bottom}
		if stack != "" {
			p.under = f.atY(sums[v[0]])
			sums[v[0]] += v[1]
			p.y = f.atY(sums[v[0]])
		}
		if !open {
			pieces = append(pieces, nil)
			open = true
		}
		pieces[len(pieces)-1] = append(pieces[len(pieces)-1], p)
	}
	for _, piece := range pieces {
		steps := series["step"] == "end"
		line := linePath(piece, steps)
		if !steps && series["showSymbol"] != true {
			line = linePath(thinned(piece), false)
		}
		if series["areaStyle"] != nil {
			around := slices.Clone(piece)
			for _, p := range slices.Backward(piece) {
				around = append(around, point{x: p.x, y: p.under})
			}
			area := linePath(around, false)
			fmt.Fprintf(&s.b, `<path class="area" d="%sZ"/>`, area)
			if n := s.patterns[text(series["name"])]; n > 0 {
				fmt.Fprintf(&s.b, `<path fill="url(#hatch-%d)" d="%sZ"/>`, n, area)
			}
		}
		fmt.Fprintf(&s.b, `<path class="line" stroke-width="%s"%s%s d="%s"/>`, px(number64(at(series, "lineStyle", "width"))), dashes64(at(series, "lineStyle", "type")),
			opacity(at(series, "lineStyle", "opacity")), line)
		if sign, ok := strings.CutPrefix(text(series["symbol"]), "path://"); ok && series["showSymbol"] == true {
			s.signs(sign, piece, 4, 4)
		}
	}
}

// linePath is a path through points, each told by its distance from the one before, which is half as long.
func linePath(points []point, steps bool) string {
	var b strings.Builder
	var x, y int
	for i, p := range points {
		toX, toY := tenths(p.x), tenths(p.y)
		dx, dy := tenthsText(toX-x), tenthsText(toY-y)
		switch {
		case i == 0:
			b.WriteString("M" + dx + " " + dy)
		case steps:
			b.WriteString("h" + dx + "v" + dy)
		case dy[0] == '-':
			b.WriteString("l" + dx + dy)
		default:
			b.WriteString("l" + dx + " " + dy)
		}
		x, y = toX, toY
	}
	return b.String()
}

func tenths(v float64) int { return int(math.Round(v * 10)) }

// tenthsText is a number of tenths without a nought before its point.
func tenthsText(n int) string {
	text := strconv.FormatFloat(float64(n)/10, 'f', -1, 64)
	if sign, rest, ok := strings.Cut(text, "0."); ok && (sign == "" || sign == "-") {
		return sign + "." + rest
	}
	return text
}

// finest is how far, in units of the picture, a line may pass by a point that it leaves out.
const finest = 0.5

// thinned leaves out points that the line through the others passes by hardly at all (Douglas and Peucker 1973).
func thinned(points []point) []point {
	if len(points) < 3 {
		return slices.Clone(points)
	}
	a, z := points[0], points[len(points)-1]
	far, at := 0.0, 0
	long := math.Hypot(z.x-a.x, z.y-a.y)
	for i, p := range points[1 : len(points)-1] {
		off := math.Hypot(p.x-a.x, p.y-a.y)
		if long > 0 {
			off = math.Abs((z.x-a.x)*(p.y-a.y)-(z.y-a.y)*(p.x-a.x)) / long
		}
		if off > far {
			far, at = off, i+1
		}
	}
	if far <= finest {
		return []point{a, z}
	}
	first := thinned(points[:at+1])
	return append(first[:len(first)-1], thinned(points[at:])...)
}

func dashes64(v any) string {
	var parts []string
	for _, d := range list(v) {
		if n := text(d); n != "" && n != "solid" {
			parts = append(parts, n)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return ` stroke-dasharray="` + strings.Join(parts, " ") + `"`
}

func opacity(v any) string {
	if v == nil {
		return ""
	}
	return ` opacity="` + text(v) + `"`
}

// signs puts a sign on each point. It is written once, however many points there are.
func (s *still) signs(sign string, points []point, wide, high float64) {
	if len(points) == 0 {
		return
	}
	s.kinds++
	name := fmt.Sprintf("%s-%d", s.id, s.kinds)
	fmt.Fprintf(&s.b, `<marker id="%s" overflow="visible" markerUnits="userSpaceOnUse"><path fill="currentColor" transform="scale(%s %s)" d="%s"/></marker>`,
		name, px(wide), px(high), sign)
	fmt.Fprintf(&s.b, `<path class="signs" style="marker:url(#%s)" d="%s"/>`, name, linePath(append(points[:1:1], points...), false))
}

// drawSigns draws the points of a scatter with their words.
func (s *still) drawSigns(f *frame, series map[string]any) {
	wide, high := 4.5, 4.5
	if size := list(series["symbolSize"]); len(size) == 2 {
		wide, high = number64(size[0])*2, number64(size[1])/2.4 // the upright stroke is 0.4 wide and 2.4 high
	}
	path := strings.TrimPrefix(text(series["symbol"]), "path://")
	signs, own := []point{}, map[string][]point{}
	for _, item := range list(series["data"]) {
		v := values(item)
		if len(v) < 2 || math.IsNaN(v[0]) || math.IsNaN(v[1]) {
			continue
		}
		x, y := f.atX(v[0]), f.atY(v[1])
		if one, ok := strings.CutPrefix(text(at(item, "symbol")), "path://"); ok {
			own[one] = append(own[one], point{x: x, y: y})
		} else {
			signs = append(signs, point{x: x, y: y})
		}
		words := itemWords(item)
		switch {
		case at(series, "label", "show") != true:
		case text(at(series, "label", "position")) == "bottom":
			s.label(x, y+20, "middle", words)
		case text(at(series, "label", "position")) == "top":
			s.label(x-5, y-8, "end", words)
		default:
			s.label(x+6, y+4, "start", words)
		}
	}
	if path != "" {
		s.signs(path, signs, wide, high)
	}
	for _, one := range slices.Sorted(maps.Keys(own)) {
		s.signs(one, own[one], wide, high)
	}
}

// itemWords are the words that an item carries fourth.
func itemWords(item any) string {
	if m, ok := item.(map[string]any); ok {
		item = m["value"]
	}
	if all, ok := item.([]any); ok && len(all) > 3 {
		return text(all[3])
	}
	return ""
}

// drawBars draws lying bars, nested ones thinner from the outermost inwards.
func (s *still) drawBars(f *frame, series map[string]any) {
	row := (f.bottom - f.top) / float64(max(1, len(f.y.rows)))
	thick := min(22, row*0.66) / (1 + number64(series["yAxisIndex"]))
	var boxes strings.Builder
	stack := text(series["stack"])
	if stack != "" && s.sums[stack] == nil {
		s.sums[stack] = map[float64]float64{}
	}
	for _, item := range list(series["data"]) {
		v := values(item)
		if len(v) < 2 || math.IsNaN(v[0]) {
			continue
		}
		from := 0.0
		if stack != "" {
			from = s.sums[stack][v[1]]
			s.sums[stack][v[1]] += v[0]
		}
		x, wide, y := f.atX(from), f.atX(from+v[0])-f.atX(from), f.atY(v[1])-thick/2
		fmt.Fprintf(&boxes, "M%s %sh%sv%sh-%sz", px(x), px(y), px(wide), px(thick), px(wide))
		if stack == "" && at(series, "label", "show") == true {
			s.words(x+wide+6, f.atY(v[1])+4, "start", itemWords(item))
		}
	}
	fmt.Fprintf(&s.b, `<path class="bar" d="%s"/>`, boxes.String())
	if n := s.patterns[text(series["name"])]; n > 0 {
		fmt.Fprintf(&s.b, `<path fill="url(#hatch-%d)" d="%s"/>`, n, boxes.String())
	}
}

package charts

import (
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"strconv"
	"strings"
	"time"
)

// stillWidth is the width of a still picture in its own units; it is scaled to the page, and its letters are large enough for a phone.
const stillWidth = 440

// stillLetter is about how wide a letter is, stillLine how high.
const (
	stillLetter = 7.5
	stillLine   = 13
)

// mostStillLines is how many lines a still picture may hold before those without a sign in the key are left out: single plants of a large
// season would make the page twice as long.
const mostStillLines = 60

// still draws a chart option without a script, for pages whose scripts are off. It draws the very numbers that the option holds; names at
// the ends of lines are left to the key.
type still struct {
	id       string
	kinds    int // of signs so far
	option   map[string]any
	height   float64
	patterns map[string]int // by the name of a series
	b        strings.Builder
	frames   []frame
	sums     map[string]map[float64]float64 // of what is stacked so far, by the name of the stack
	labels   []label
}

// label is the room that a label of a sign takes.
type label struct{ left, right, y float64 }

// frame is a grid with the axes that lie on it.
type frame struct {
	left, right, top, bottom float64
	x, y                     scale
}

// scale turns values into places along an axis.
type scale struct {
	low, high float64
	rows      []string // of a category axis, from the top
}

// stillPicture draws d; id, which only this picture may have, begins the names of its signs.
func stillPicture(d drawing, id, label string) template.HTML {
	s := &still{id: id, option: d.option, height: float64(d.height), patterns: map[string]int{}, sums: map[string]map[float64]float64{}}
	for _, k := range d.key {
		s.patterns[clean(k.Label)] = k.Pattern
	}
	fmt.Fprintf(&s.b, `<svg class="still" viewBox="0 0 %d %d" role="img" aria-label="%s">`, stillWidth, d.height, template.HTMLEscapeString(label))
	s.layFrames()
	for i := range s.frames {
		s.drawAxes(&s.frames[i])
	}
	if title := text(at(s.option, "title", "text")); title != "" {
		s.words(4, 18, "start", title)
	}
	all := list(s.option["series"])
	for _, one := range all {
		series, ok := one.(map[string]any)
		if !ok || len(all) > mostStillLines && series["silent"] == true && at(series, "lineStyle", "opacity") != nil {
			continue
		}
		s.drawSeries(series)
	}
	s.b.WriteString("</svg>")
	return template.HTML(s.b.String())
}

// layFrames reads the grids and their axes.
func (s *still) layFrames() {
	xs, ys := list(s.option["xAxis"]), list(s.option["yAxis"])
	for i, g := range list(s.option["grid"]) {
		f := frame{left: number64(at(g, "left")), right: stillWidth - 16, top: number64(at(g, "top")), bottom: s.height - number64(at(g, "bottom"))}
		if tall := at(g, "height"); tall != nil {
			f.top = f.bottom - number64(tall)
		}
		if i < len(xs) && text(at(xs[i], "type")) == "value" { // numbers stand beside bars
			f.right = stillWidth - max(16, number64(at(g, "right")))
		}
		if i < len(xs) && i < len(ys) {
			f.x, f.y = s.scaleOf(xs[i], i, 0), s.scaleOf(ys[i], i, 1)
		}
		s.frames = append(s.frames, f)
	}
}

// scaleOf is the scale of an axis of grid i; dimension is where its values stand in an item.
func (s *still) scaleOf(axis any, i, dimension int) scale {
	c := scale{low: number64(at(axis, "min")), high: number64(at(axis, "max"))}
	for _, row := range list(at(axis, "data")) {
		c.rows = append(c.rows, text(row))
	}
	if c.rows == nil && at(axis, "max") == nil {
		c.high = stepUp(s.highest(i, dimension))
	}
	return c
}

// highest is the highest value of the series on grid i, stacked ones added up.
func (s *still) highest(i, dimension int) float64 {
	most, sums := 0.0, map[string]map[float64]float64{}
	for _, one := range list(s.option["series"]) {
		if int(number64(at(one, "xAxisIndex"))) != i {
			continue
		}
		stack := text(at(one, "stack"))
		for _, item := range list(at(one, "data")) {
			v := values(item)
			if len(v) < 2 || math.IsNaN(v[dimension]) {
				continue
			}
			high := v[dimension]
			switch render := text(at(one, "renderItem")); {
			case render == "$fn:lying":
				high = v[2]
			case render != "" && len(v) > 2:
				high = max(high, v[2])
			}
			if stack != "" {
				if sums[stack] == nil {
					sums[stack] = map[float64]float64{}
				}
				sums[stack][v[1-dimension]] += high
				high = sums[stack][v[1-dimension]]
			}
			most = max(most, high)
		}
	}
	return most
}

// stepUp is the end of an axis for a highest value: 1, 2, 4, 5, 6, 8 or 10 times a power of ten.
func stepUp(v float64) float64 {
	if v <= 0 {
		return 1
	}
	power := math.Pow10(int(math.Floor(math.Log10(v))))
	for _, step := range []float64{1, 2, 4, 5, 6, 8} {
		if v <= step*power {
			return step * power
		}
	}
	return 10 * power
}

func (f *frame) atX(v float64) float64 {
	if f.x.high == f.x.low {
		return f.left
	}
	return f.left + (v-f.x.low)/(f.x.high-f.x.low)*(f.right-f.left)
}

func (f *frame) atY(v float64) float64 {
	if n := len(f.y.rows); n > 0 {
		return f.top + (v+0.5)*(f.bottom-f.top)/float64(n)
	}
	if f.y.high == f.y.low {
		return f.bottom
	}
	return f.bottom - (v-f.y.low)/(f.y.high-f.y.low)*(f.bottom-f.top)
}

// drawAxes draws the lines and words around a frame.
func (s *still) drawAxes(f *frame) {
	i := 0
	for i < len(s.frames)-1 && &s.frames[i] != f {
		i++
	}
	x, y := list(s.option["xAxis"])[i], list(s.option["yAxis"])[i]
	if len(f.y.rows) > 0 && at(y, "axisLabel", "show") == false {
		// its rows go without names
	} else if len(f.y.rows) > 0 {
		for r, name := range f.y.rows {
			s.words(f.left-6, f.atY(float64(r))+4, "end", shortened(name, int(f.left/7)))
		}
	} else {
		for k := range 5 {
			v := f.y.low + (f.y.high-f.y.low)*float64(k)/4
			if text(at(y, "minInterval")) == "1" && v != math.Round(v) {
				continue
			}
			fmt.Fprintf(&s.b, `<path class="rule" d="M%s %sH%s"/>`, px(f.left), px(f.atY(v)), px(f.right))
			s.words(f.left-6, f.atY(v)+4, "end", numberText(v))
		}
	}
	fmt.Fprintf(&s.b, `<path class="axis" d="M%s %sV%sH%s"/>`, px(f.left), px(f.top), px(f.bottom), px(f.right))
	if at(x, "axisLabel", "show") == false {
		return
	}
	if text(at(x, "type")) == "time" {
		for _, t := range stillDays(f.x.low, f.x.high) {
			s.words(f.atX(float64(t.UnixMilli())), f.bottom+18, "middle", t.Format("2 Jan"))
		}
	} else {
		for k := range 5 {
			if v := f.x.low + (f.x.high-f.x.low)*float64(k)/4; text(at(x, "minInterval")) != "1" || v == math.Round(v) {
				s.words(f.atX(v), f.bottom+18, "middle", numberText(v))
			}
		}
	}
	s.words((f.left+f.right)/2, f.bottom+40, "middle", text(at(x, "name")))
}

// stillDays are up to five days between two times: Mondays, or firsts of months.
func stillDays(low, high float64) []time.Time {
	first, last := time.UnixMilli(int64(low)).UTC(), time.UnixMilli(int64(high)).UTC()
	const day, most = 24 * time.Hour, 5
	for _, step := range []int{1, 2, 7, 14, 28} {
		if last.Sub(first) > time.Duration(step*most)*day {
			continue
		}
		t := first.Truncate(day).Add(day)
		for step >= 7 && t.Weekday() != time.Monday {
			t = t.Add(day)
		}
		var out []time.Time
		for ; t.Before(last); t = t.AddDate(0, 0, step) {
			out = append(out, t)
		}
		return out
	}
	months := 1 + int(last.Sub(first)/(30*day))/most
	var out []time.Time
	for t := time.Date(first.Year(), first.Month()+1, 1, 0, 0, 0, 0, time.UTC); t.Before(last); t = t.AddDate(0, months, 0) {
		out = append(out, t)
	}
	return out
}

func (s *still) words(x, y float64, anchor, words string) {
	if words == "" {
		return
	}
	fmt.Fprintf(&s.b, `<text x="%s" y="%s" text-anchor="%s">%s</text>`, px(x), px(y), anchor, template.HTMLEscapeString(words))
}

// label writes a label beside a sign, unless another is there already.
func (s *still) label(x, y float64, anchor, words string) {
	wide := stillLetter * float64(len([]rune(words)))
	l := label{x, x + wide, y}
	switch anchor {
	case "middle":
		l.left, l.right = x-wide/2, x+wide/2
	case "end":
		l.left, l.right = x-wide, x
	}
	for _, o := range s.labels {
		if l.left < o.right+stillLetter && o.left < l.right+stillLetter && l.y < o.y+stillLine && o.y < l.y+stillLine {
			return
		}
	}
	s.labels = append(s.labels, l)
	s.words(x, y, anchor, words)
}

func shortened(words string, most int) string {
	if r := []rune(words); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return words
}

// px is a place with a tenth of a unit.
func px(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

// at follows keys into an option; nil where it ends.
func at(v any, keys ...string) any {
	for _, k := range keys {
		m, ok := v.(map[string]any)
		if !ok {
			return nil
		}
		v = m[k]
	}
	return v
}

// list is a list, or one thing as a list.
func list(v any) []any {
	switch v := v.(type) {
	case nil:
		return nil
	case []any:
		return v
	}
	return []any{v}
}

func text(v any) string {
	switch v := v.(type) {
	case string:
		return v
	case json.Number:
		return v.String()
	}
	return ""
}

// number64 is a number; nought for what is none.
func number64(v any) float64 {
	if n, ok := v.(json.Number); ok {
		f, _ := n.Float64()
		return f
	}
	return 0
}

// values are the numbers of an item, NaN for what isn't known; none of an item that isn't a list.
func values(item any) []float64 {
	if m, ok := item.(map[string]any); ok {
		item = m["value"]
	}
	var out []float64
	all, _ := item.([]any)
	for _, v := range all {
		f := math.NaN()
		if n, ok := v.(json.Number); ok {
			f, _ = n.Float64()
		}
		out = append(out, f)
	}
	return out
}

package charts

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/go-echarts/go-echarts/v2/opts"

	"vinetally/analytics/crop"
)

// Curves draws what was counted over calendar time with the curve fitted to it, its band, and the times at which the
// curve passes its marks (t10, t50, t90).
type Curves struct {
	// Title and Unit head the value axis: "Fruit that ever reached red", "fruit".
	Title string
	Unit  string
	// Series are drawn with one look each; points, curve, band and marks of a series share it.
	Series []Curve
	// Dates widens the time axis, so that charts under each other share theirs.
	Dates Dates
	// Basis says what the chart rests on, and the level of its intervals: "4 plants, 61 fruit; 90 % intervals".
	Basis string
}

// Curve is one series; each of its parts may be missing.
type Curve struct {
	Name string
	// Stage, if not nil, gives the series the look of that stage in [StageAreas] instead of one of its own.
	Stage  *StagePosition
	Points []CurvePoint
	// Fit is the fitted curve, dense enough to look smooth.
	Fit []Point
	// Band is the interval of the curve; BandName says of what and at which level: "90 % interval of the curve".
	Band     []BandPoint
	BandName string
	Marks    []TimeMark
}

// StagePosition says which stage of a scale a series is of, and which is the ripe one, both counted from 0.
type StagePosition struct{ Stage, Ripe int }

func (c Curve) look(i int) look {
	if c.Stage == nil {
		return seriesLook(i)
	}
	return stageLook(c.Stage.Stage, c.Stage.Ripe)
}

// CurvePoint is one observed value.
type CurvePoint struct {
	At    time.Time
	Value float64
	// Low and High are the ends of the value's interval; nil if it has none on that side.
	Low, High *float64
	// AtLeast marks a value that is a lower bound.
	AtLeast bool
	// Note is added to what the chart tells about this point.
	Note string
}

// BandPoint is the band at one time.
type BandPoint struct {
	At        time.Time
	Low, High float64
}

// TimeMark is a time read off the curve, with its interval along the time axis.
type TimeMark struct {
	// Label names it: "t50".
	Label string
	At    time.Time
	// Low and High are the ends of the interval; nil if none is shown.
	Low, High *time.Time
	// Value is the height at which the mark stands.
	Value float64
}

func (f Curves) check() error {
	if f.Title == "" {
		return errors.New("the value axis has no title")
	}
	drawn := 0
	for _, c := range f.Series {
		for i, pt := range c.Points {
			name := fmt.Sprintf("series %q, point %d", c.Name, i+1)
			if err := errors.Join(checkTime(name, pt.At), checkFinite(name, pt.Value)); err != nil {
				return err
			}
			for _, end := range []*float64{pt.Low, pt.High} {
				if end != nil && notFinite(*end) {
					return fmt.Errorf("%s: an end of the interval is %v", name, *end)
				}
			}
		}
		if err := checkPoints(fmt.Sprintf("series %q, curve", c.Name), c.Fit); err != nil {
			return err
		}
		for i, b := range c.Band {
			name := fmt.Sprintf("series %q, band point %d", c.Name, i+1)
			if err := errors.Join(checkTime(name, b.At), checkFinite(name, b.Low, b.High)); err != nil {
				return err
			}
			if b.Low > b.High {
				return fmt.Errorf("%s: low %v is above high %v", name, b.Low, b.High)
			}
		}
		for i, m := range c.Marks {
			name := fmt.Sprintf("series %q, mark %d", c.Name, i+1)
			if err := errors.Join(checkTime(name, m.At), checkFinite(name, m.Value)); err != nil {
				return err
			}
		}
		drawn += len(c.Points) + len(c.Fit) + len(c.Band) + len(c.Marks)
	}
	if drawn == 0 {
		return errors.New("nothing to draw")
	}
	return nil
}

func (f Curves) draw() (drawing, error) {
	if err := f.check(); err != nil {
		return drawing{}, fmt.Errorf("curves: %w", err)
	}
	p := newPlot(titled(f.Title, f.Unit))
	d := drawing{height: 400, basis: f.Basis}
	var when span
	f.Dates.within(&when)
	var has struct{ interval, atLeast, mark, markInterval bool }
	for i, c := range f.Series {
		l := c.look(i)
		f.drawBand(p, c, l, &when)
	}
	for i, c := range f.Series {
		l := c.look(i)
		if len(c.Fit) > 0 {
			data := make([]opts.LineData, len(c.Fit))
			for j, pt := range c.Fit {
				when.add(pt.At)
				data[j] = opts.LineData{Value: []any{wallMillis(pt.At), drawn(pt.Value)}}
			}
			p.line(c.Name, data, map[string]any{
				"showSymbol": false, "silent": true, "lineStyle": l.lineStyle(2.5), "itemStyle": map[string]any{"color": "$c:" + l.colour},
				"endLabel": endLabel(len(f.Series) > 1),
				"emphasis": map[string]any{"disabled": true},
			})
		}
		entry := keyEntry{Label: c.Name, Kind: "point", Colour: l.colour, Symbol: l.symbol}
		if len(c.Fit) > 0 {
			entry.Kind, entry.Dash = "line", l.dash
		}
		d.key = append(d.key, entry)
		if len(c.Band) > 0 {
			d.key = append(d.key, keyEntry{Label: strings.TrimSpace(c.Name + " " + c.BandName), Kind: "band", Colour: l.colour, Dash: l.dash})
		}
	}
	for i, c := range f.Series {
		l := c.look(i)
		interval, atLeast := f.drawPoints(p, c, l, &when)
		mark, markInterval := f.drawMarks(p, c, l, i%2 == 0, &when)
		has.interval, has.atLeast = has.interval || interval, has.atLeast || atLeast
		has.mark, has.markInterval = has.mark || mark, has.markInterval || markInterval
	}
	if has.interval {
		d.key = append(d.key, keyEntry{Label: "interval of a value", Kind: "range", Colour: colourInk})
	}
	if has.atLeast {
		d.key = append(d.key, keyEntry{Label: "at least so many", Kind: "point", Colour: colourInk, Symbol: symbolAtLeast})
	}
	if has.mark {
		label := "time read off the curve"
		if has.markInterval {
			label += ", with its interval"
		}
		d.key = append(d.key, keyEntry{Label: label, Kind: "mark", Colour: colourInk, Symbol: symbolMark})
	}
	p.whole["grid"] = map[string]any{"left": leftRoom, "right": rightRoom(len(f.Series) > 1 || f.Dates.shared()), "top": 36, "bottom": 56}
	d.when = when
	values := valueAxis(f.Unit)
	if low := f.lowest(); low < 0 {
		values["min"] = -stepUp(-low)
	}
	if top, highest := f.top(); top > 0 {
		values["max"] = top
		d.notes = append(d.notes, fmt.Sprintf("A band goes on beyond the top of the chart, up to %s: so little do the counts tell there.", amountText(math.Round(highest), f.Unit)))
	}
	p.whole["xAxis"], p.whole["yAxis"] = timeAxis(when, 0, true), values
	p.whole["tooltip"] = map[string]any{"trigger": "item", "formatter": "$fn:tip"}
	var err error
	d.option, err = p.option()
	return d, err
}

// maxBand is how many times the highest value a band may reach before the chart cuts it off: a wider one would press all
// that was counted down to the axis.
const maxBand = 2

// top returns where the value axis ends if bands have to be cut off, and how high they reach; 0 if they haven't.
func (f Curves) top() (top, highest float64) {
	value := 0.0
	for _, c := range f.Series {
		for _, pt := range c.Points {
			value = max(value, pt.Value)
		}
		for _, pt := range c.Fit {
			value = max(value, pt.Value)
		}
		for _, b := range c.Band {
			highest = max(highest, b.High)
		}
	}
	if value <= 0 || highest <= maxBand*value {
		return 0, 0
	}
	step := math.Pow10(int(math.Floor(math.Log10(value))))
	return step * math.Ceil(maxBand*value/step), highest
}

// lowest is the lowest value drawn, 0 if none is below: frost on a balcony.
func (f Curves) lowest() float64 {
	value := 0.0
	for _, c := range f.Series {
		for _, pt := range c.Points {
			value = min(value, pt.Value)
		}
		for _, pt := range c.Fit {
			value = min(value, pt.Value)
		}
		for _, b := range c.Band {
			value = min(value, b.Low)
		}
	}
	return value
}

// rightRoom is the space right of the plot: more where lines are named at their end.
func rightRoom(named bool) int {
	if named {
		return 112
	}
	return 20
}

func (f Curves) drawBand(p *plot, c Curve, l look, when *span) {
	if len(c.Band) == 0 {
		return
	}
	data := make([]opts.CustomData, len(c.Band))
	for i, b := range c.Band {
		when.add(b.At)
		data[i] = opts.CustomData{Value: []any{wallMillis(b.At), drawn(b.Low), drawn(b.High)}}
	}
	p.custom(c.Name, "band", data, map[string]any{
		"encode": map[string]any{"x": 0, "y": []any{1, 2}}, "silent": true, "z": 1, "clip": true,
		"itemStyle": map[string]any{"color": "$c:" + l.colour, "opacity": 0.2},
	})
}

func (f Curves) drawPoints(p *plot, c Curve, l look, when *span) (interval, atLeast bool) {
	if len(c.Points) == 0 {
		return false, false
	}
	points := make([]opts.ScatterData, len(c.Points))
	var bars []opts.CustomData
	for i, pt := range c.Points {
		when.add(pt.At)
		value := amountText(pt.Value, f.Unit)
		if pt.AtLeast {
			value, atLeast = "at least "+value, true
		}
		lines := []string{momentText(pt.At), value}
		if pt.Low != nil || pt.High != nil {
			low, high, text := pt.Value, pt.Value, ""
			switch {
			case pt.High == nil:
				low, text = *pt.Low, numberText(*pt.Low)+" or more"
			case pt.Low == nil:
				high, text = *pt.High, numberText(*pt.High)+" or less"
			default:
				low, high, text = *pt.Low, *pt.High, numberText(*pt.Low)+" to "+numberText(*pt.High)
			}
			lines, interval = append(lines, "interval: "+text), true
			bars = append(bars, opts.CustomData{Value: []any{wallMillis(pt.At), drawn(low), drawn(high)}})
		}
		if pt.Note != "" {
			lines = append(lines, clean(pt.Note))
		}
		points[i] = opts.ScatterData{Name: strings.Join(lines, tipBreak), Value: []any{wallMillis(pt.At), drawn(pt.Value)}}
		if pt.AtLeast {
			points[i].Symbol, points[i].SymbolSize = symbolOption(symbolAtLeast), 14
		}
	}
	if len(bars) > 0 {
		p.custom(c.Name, "upright", bars, map[string]any{
			"encode": map[string]any{"x": 0, "y": []any{1, 2}}, "silent": true, "z": 3,
			"itemStyle": map[string]any{"color": "$c:" + l.colour},
		})
	}
	p.scatter(c.Name, points, map[string]any{
		"symbol": symbolOption(l.symbol), "symbolSize": 9, "z": 4, "emphasis": map[string]any{"disabled": true},
		"itemStyle": map[string]any{"color": "$c:" + l.colour, "borderColor": "$c:paper", "borderWidth": 1, "opacity": 1},
	})
	return interval, atLeast
}

// drawMarks writes the names of marks above and left of them, or below and right, so that those of two curves keep apart.
func (f Curves) drawMarks(p *plot, c Curve, l look, above bool, when *span) (mark, interval bool) {
	if len(c.Marks) == 0 {
		return false, false
	}
	points := make([]opts.ScatterData, len(c.Marks))
	var bars []opts.CustomData
	for i, m := range c.Marks {
		when.add(m.At)
		lines := []string{clean(m.Label) + ": " + momentText(m.At)}
		if m.Low != nil && m.High != nil {
			when.add(*m.Low, *m.High)
			interval = true
			lines = append(lines, "interval: "+crop.RangeWords(crop.DateOf(*m.Low), crop.DateOf(*m.High)))
			bars = append(bars, opts.CustomData{Value: []any{wallMillis(*m.Low), wallMillis(*m.High), drawn(m.Value)}})
		}
		label := clean(m.Label) + " " + m.At.Format("2 Jan")
		points[i] = opts.ScatterData{Name: strings.Join(lines, tipBreak), Value: []any{wallMillis(m.At), drawn(m.Value), 0, label, clean(m.Label)}}
	}
	if len(bars) > 0 {
		p.custom(c.Name, "lying", bars, map[string]any{
			"encode": map[string]any{"x": []any{0, 1}, "y": 2}, "silent": true, "z": 5,
			"itemStyle": map[string]any{"color": "$c:ink"},
		})
	}
	position, align, offset := "top", "right", []any{-4, 2}
	if !above {
		position, align, offset = "bottom", "left", []any{4, -2}
	}
	p.scatter(c.Name, points, map[string]any{
		"symbol": symbolOption(symbolMark), "symbolSize": []any{4, 18}, "z": 6, "emphasis": map[string]any{"disabled": true},
		"itemStyle": map[string]any{"color": "$c:ink", "borderColor": "$c:" + l.colour, "borderWidth": 1, "opacity": 1},
		"label": map[string]any{
			"show": true, "position": position, "distance": 0, "align": align, "offset": offset, "formatter": "$fn:markLabel", "color": "$c:ink", "fontSize": 12,
			"textBorderColor": "$c:paper", "textBorderWidth": 3,
		},
		"labelLayout": map[string]any{"hideOverlap": true},
	})
	return true, interval
}

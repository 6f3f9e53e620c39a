package charts

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/go-echarts/go-echarts/v2/opts"
)

// Fan draws a forecast over the days ahead: the line of its medians, and around it two bands told apart by their edges as well as their
// shade, the inner one's drawn through and the outer one's dotted.
type Fan struct {
	// Title and Unit head the value axis: "Fruit newly ripe since 3 Feb", "fruit".
	Title string
	Unit  string
	// Points are in order of time, the first being the day of the forecast itself.
	Points []FanPoint
	// Inner and Outer name the bands: "50 % interval", "90 % interval".
	Inner, Outer string
	// Basis says what the chart rests on.
	Basis string
}

// FanPoint is the forecast up to one time: its median, and the ends of both bands.
type FanPoint struct {
	At                  time.Time
	Median              float64
	InnerLow, InnerHigh float64
	OuterLow, OuterHigh float64
}

func (f Fan) check() error {
	if f.Title == "" {
		return errors.New("the value axis has no title")
	}
	if len(f.Points) < 2 {
		return errors.New("nothing to draw")
	}
	for i, p := range f.Points {
		name := fmt.Sprintf("point %d", i+1)
		if err := errors.Join(checkTime(name, p.At), checkFinite(name, p.Median, p.InnerLow, p.InnerHigh, p.OuterLow, p.OuterHigh)); err != nil {
			return err
		}
		if i > 0 && !p.At.After(f.Points[i-1].At) {
			return fmt.Errorf("%s is not later than the one before", name)
		}
		if p.OuterLow > p.InnerLow || p.InnerLow > p.Median || p.Median > p.InnerHigh || p.InnerHigh > p.OuterHigh {
			return fmt.Errorf("%s: the bands don't lie around the median, one within the other", name)
		}
	}
	return nil
}

func (f Fan) draw() (drawing, error) {
	if err := f.check(); err != nil {
		return drawing{}, fmt.Errorf("forecast: %w", err)
	}
	p := newPlot(titled(f.Title, f.Unit))
	d := drawing{height: 340, basis: f.Basis, caption: "The line is the median: as likely more as fewer"}
	const colour = "series-2"
	var outer, inner []opts.CustomData
	var line []opts.LineData
	for _, pt := range f.Points {
		d.when.add(pt.At)
		at := wallMillis(pt.At)
		outer = append(outer, opts.CustomData{Value: []any{at, pt.OuterLow, pt.OuterHigh}})
		inner = append(inner, opts.CustomData{Value: []any{at, pt.InnerLow, pt.InnerHigh}})
		told := strings.Join([]string{pt.At.Format("Monday 2 Jan"), "median: " + amountText(pt.Median, f.Unit),
			clean(f.Inner) + ": " + numberText(pt.InnerLow) + " to " + numberText(pt.InnerHigh),
			clean(f.Outer) + ": " + numberText(pt.OuterLow) + " to " + numberText(pt.OuterHigh)}, tipBreak)
		line = append(line, opts.LineData{Name: told, Value: []any{at, pt.Median}})
	}
	for _, band := range []struct {
		name, render string
		data         []opts.CustomData
	}{{f.Outer, "band", outer}, {f.Inner, "inner", inner}} {
		p.custom(band.name, band.render, band.data, map[string]any{
			"encode": map[string]any{"x": 0, "y": []any{1, 2}}, "silent": true, "z": 1, "clip": true,
			"itemStyle": map[string]any{"color": "$c:" + colour},
		})
	}
	p.line("median", line, map[string]any{
		"symbol": symbolOption(symbols[0]), "symbolSize": 7, "showSymbol": true, "showAllSymbol": true, "z": 3,
		"lineStyle": map[string]any{"color": "$c:ink", "width": 2.5, "type": "solid"}, "itemStyle": map[string]any{"color": "$c:ink"}, "emphasis": map[string]any{"disabled": true},
	})
	d.key = []keyEntry{
		{Label: "median", Kind: "line", Colour: colourInk, Symbol: symbols[0]},
		{Label: f.Inner, Kind: "inner", Colour: colour},
		{Label: f.Outer, Kind: "band", Colour: colour},
	}
	p.whole["grid"] = map[string]any{"left": leftRoom, "right": 20, "top": 36, "bottom": 56}
	p.whole["xAxis"], p.whole["yAxis"] = timeAxis(d.when, 0, true), valueAxis(f.Unit)
	p.whole["tooltip"] = map[string]any{"trigger": "axis", "formatter": "$fn:tipAxis"}
	var err error
	d.option, err = p.option()
	return d, err
}

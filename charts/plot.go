package charts

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"time"

	echarts "github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
)

// plot gathers series of several kinds in one go-echarts chart, and beside each the options that its types lack. The
// options leave as plain data; nothing of its page renderer is used, because that writes text into scripts unescaped.
type plot struct {
	chart   *echarts.Line
	patches []map[string]any
	// whole is merged into the finished option.
	whole map[string]any
}

func newPlot(title string) *plot {
	c := echarts.NewLine()
	c.SetGlobalOptions(
		echarts.WithAnimation(false),
		echarts.WithTitleOpts(opts.Title{Title: title, Left: "0", Top: "4"}),
		echarts.WithLegendOpts(opts.Legend{Show: opts.Bool(false)}),
	)
	return &plot{chart: c, whole: map[string]any{"useUTC": true}}
}

// add takes a chart with exactly one series.
func (p *plot) add(one echarts.Overlaper, patch map[string]any) {
	p.chart.Overlap(one)
	p.patches = append(p.patches, patch)
}

func (p *plot) line(name string, data []opts.LineData, patch map[string]any) {
	p.add(echarts.NewLine().AddSeries(name, data), patch)
}

func (p *plot) scatter(name string, data []opts.ScatterData, patch map[string]any) {
	p.add(echarts.NewScatter().AddSeries(name, data), patch)
}

func (p *plot) bar(name string, data []opts.BarData, patch map[string]any) {
	p.add(echarts.NewBar().AddSeries(name, data), patch)
}

// custom adds a series drawn by the function of report.js that render names.
func (p *plot) custom(name, render string, data []opts.CustomData, patch map[string]any) {
	patch["renderItem"] = "$fn:" + render
	p.add(echarts.NewCustom().AddSeries(name, data), patch)
}

// option returns the finished chart option: maps, slices, strings, numbers and booleans only, all strings clean.
func (p *plot) option() (map[string]any, error) {
	p.chart.Validate()
	raw, err := json.Marshal(p.chart.JSON())
	if err != nil {
		return nil, fmt.Errorf("chart option: %w", err)
	}
	option, err := decode(raw)
	if err != nil {
		return nil, err
	}
	series, ok := option["series"].([]any)
	if !ok || len(series) != len(p.patches) {
		return nil, fmt.Errorf("chart option: have %d patches for other series than those", len(p.patches))
	}
	for i, patch := range p.patches {
		merge(series[i].(map[string]any), patch)
	}
	for _, unused := range []string{"toolbox", "color", "legend"} {
		delete(option, unused)
	}
	merge(option, p.whole)
	// A second pass through JSON leaves no types of ours and refuses what JSON can't hold.
	if raw, err = json.Marshal(option); err != nil {
		return nil, fmt.Errorf("chart option: %w", err)
	}
	if option, err = decode(raw); err != nil {
		return nil, err
	}
	for _, s := range option["series"].([]any) {
		shorten(s.(map[string]any))
	}
	return cleanValue(option).(map[string]any), nil
}

// shorten writes a data item that has nothing but its value as that value, which means the same and is a third shorter.
func shorten(series map[string]any) {
	items, ok := series["data"].([]any)
	if !ok {
		return
	}
	for i, item := range items {
		if m, ok := item.(map[string]any); ok && len(m) == 1 && m["value"] != nil {
			items[i] = m["value"]
		}
	}
}

// drawn rounds a value to what a chart can show, a thousandth of a fruit; digits beyond are half the size of a page.
func drawn(v float64) float64 { return math.Round(v*1e3) / 1e3 }

func decode(raw []byte) (map[string]any, error) {
	var out map[string]any
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber() // keeps the digits of milliseconds
	if err := d.Decode(&out); err != nil {
		return nil, fmt.Errorf("chart option: %w", err)
	}
	return out, nil
}

// merge writes patch into target: maps are merged, everything else replaces.
func merge(target, patch map[string]any) {
	for k, v := range patch {
		if inner, ok := v.(map[string]any); ok {
			if have, ok := target[k].(map[string]any); ok {
				merge(have, inner)
				continue
			}
		}
		target[k] = v
	}
}

func cleanValue(v any) any {
	switch v := v.(type) {
	case string:
		return clean(v)
	case []any:
		for i := range v {
			v[i] = cleanValue(v[i])
		}
	case map[string]any:
		for k := range v {
			v[k] = cleanValue(v[k])
		}
	}
	return v
}

// timeAxis is a calendar axis over s with a little room at both ends, so that marks on the edge are not cut.
func timeAxis(s span, grid int, labelled bool) map[string]any {
	first, last := wallMillis(s.first), wallMillis(s.last)
	room := max((last-first)/50, 12*time.Hour.Milliseconds())
	if first == last {
		room = 48 * time.Hour.Milliseconds()
	}
	axis := map[string]any{
		"type": "time", "gridIndex": grid, "min": first - room, "max": last + room,
		"axisLabel": map[string]any{"show": labelled, "formatter": "$fn:day", "hideOverlap": true},
		"axisTick":  map[string]any{"show": labelled},
		"splitLine": map[string]any{"show": false},
	}
	if labelled {
		axis["name"] = "Date (" + spanText(s.first, s.last) + ")"
		axis["nameLocation"] = "middle"
		axis["nameGap"] = 30
	}
	return axis
}

// valueAxis is a number axis from zero. Counts get no ticks between whole numbers.
func valueAxis(unit string) map[string]any {
	axis := map[string]any{
		"type": "value", "min": 0,
		"axisLabel": map[string]any{"formatter": "$fn:number"},
	}
	if unit == unitFruit {
		axis["minInterval"] = 1
	}
	return axis
}

const unitFruit = "fruit"

// titled joins an axis title and its unit: "Cumulative yield (g)".
func titled(title, unit string) string {
	if unit == "" {
		return title
	}
	return title + " (" + unit + ")"
}

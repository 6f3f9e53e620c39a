package charts

import (
	"fmt"
	"math"
	"time"
)

// The sample page is invented from one end to the other: a made-up season with every figure, gaps, lower bounds, long
// names and a long table. It is what the browser tests open and what a person looks at.

func day(n int) time.Time { return time.Date(2025, 11, 20, 9, 30, 0, 0, time.UTC).AddDate(0, 0, n) }

func num(v float64) *float64 { return &v }

func logistic(t, top, mid, rate float64) float64 { return top / (1 + math.Exp(-rate*(t-mid))) }

func samplePage() Page {
	return Page{
		Title:    "Season winter 2025 on the balcony",
		Subtitle: "Amberling, Nightglobe and Little Harrow on eight plants",
		AsOf:     "3 Feb 2026, 18:00",
		Invented: "These plants and counts are made up to show the page.",
		Nav:      []Link{{Text: "All reports", Href: "/"}},
		Answer: []Statement{
			{Text: "Nine ripe fruit have hung longer than a week for certain: four on B2, three on A1, two on C1.", Severity: Act},
			{Text: "43 fruit stand on eight plants, 17 of them ripe; 96 were picked (2 310 g) and 14 lost, mostly split."},
			{Text: "The counts of 9 January don't agree: B1 had three red fruit fewer and nobody recorded a picking.", Severity: Look},
		},
		KeyFigures: []KeyFigure{
			{Label: "Standing", Value: "43", Unit: "fruit", Detail: "on 8 plants, 2 Feb"},
			{Label: "Picked", Value: "96", Unit: "fruit", Detail: "2 310 g, 91 % marketable"},
			{Label: "Lost", Value: "14", Unit: "fruit", Detail: "9 split, 3 dropped, 2 pest"},
			{Label: "Certainly past ripe", Value: "9", Unit: "fruit", Detail: "on 3 plants", Severity: Act},
			{Label: "Fewer than expected", Value: "3", Unit: "fruit", Detail: "B1, 9 Jan", Severity: Look},
		},
		Sections: []Section{
			{ID: "stages", Heading: "What stands", Sentence: "Standing fruit rose to 78 in early January and has fallen since, as picking overtook setting.",
				Figure: sampleStages(), Table: stageTable(), Notes: []string{"On 27 December only ripe fruit were counted."}},
			{ID: "curves", Heading: "How fast they ripen", Sentence: "Half of Amberling's fruit had reached red by 2 January, Nightglobe's about nine days later.",
				Figure: sampleCurves(), Table: &Table{Caption: "Times read off the curves", Columns: []Column{{Name: "Cultivar"}, {Name: "t10"}, {Name: "t50"}, {Name: "t90"}},
					Rows: [][]string{{"Amberling", "17 Dec 2025", "2 Jan 2026 (29 Dec to 6 Jan)", "18 Jan 2026"}, {"Nightglobe", "26 Dec 2025", "11 Jan 2026", "27 Jan 2026"}}}},
			{ID: "yield", Heading: "Yield so far", Sentence: "Amberling leads Nightglobe by 410 g, nearly all of it picked before the middle of January.",
				Figure: sampleCumulative(), Table: yieldTable()},
			{ID: "past-ripe", Heading: "Past ripe by plant", Sentence: "Three plants hold fruit that is certainly past ripe; B2 holds most.",
				Figure: samplePastRipe(), Notes: []string{"Certain only if every picking was recorded."},
				Table: &Table{Caption: "Ripe fruit standing and past a hold time of 7 days", Columns: []Column{{Name: "Plant"}, {Name: "Standing ripe", Unit: "fruit", Numeric: true}, {Name: "Certainly past ripe", Unit: "fruit", Numeric: true}},
					Rows: [][]string{{"B2", "6", "4"}, {"A1", "5", "3"}, {"C1", "3", "2"}, {"A2", "2", "0"}, {"C2, the one in the blue pot beside the door", "1", "0"}, {"B1", "not counted", "not known"}, {"A3", "at least 1", "1"}}}},
			{ID: "losses", Heading: "Losses by cause", Sentence: "Nine of fourteen lost fruit had split.", Figure: sampleLosses()},
			{ID: "lives", Heading: "Milestones", Sentence: "The first ripe fruit was seen between 12 and 26 December 2025.", Figure: sampleLives()},
			{ID: "forecast", Heading: "What ripens next", Empty: "Two more counts are needed before newly ripe fruit can be forecast for this season."},
			{ID: "fan", Heading: "What will be ripe", Sentence: "By 9 February about 11 more fruit will be ripe.", Figure: sampleFan()},
			{ID: "residence", Heading: "How long fruit stay in each stage", Sentence: "Amberling's fruit take a little less time than the published ones.", Figure: sampleRanges()},
			{ID: "plants", Heading: "All plants", Table: longTable(120)},
			{ID: "more", Heading: "Other reports", Links: []Link{{Text: "Plant A1", Href: "/reports/plants/a1", Detail: "Amberling, sown 2 Sep 2025"}, {Text: "Season summer 2025", Href: "/reports/seasons/summer"}}},
		},
		RestsOn:  []string{"27 visits to 8 plants, 20 Nov 2025 to 2 Feb 2026.", "153 fruit accounted for; intervals are 90 %."},
		Warnings: []string{"All days are calendar days: there are no temperature readings."},
		Cautions: []string{"A ripe fruit is not always safe to eat: look first, and discard mouldy, leaking or fallen fruit."},
		Footer:   "Made by vinetally.",
	}
}

func sampleStages() StageAreas {
	f := StageAreas{
		Stages: []Stage{{Name: "green"}, {Name: "breaker"}, {Name: "turning"}, {Name: "red", Ripe: true}},
		Basis:  "8 plants, 27 visits",
	}
	for i := range 27 {
		t := float64(i) * 2.8
		v := StageVisit{At: day(int(t)), Standing: []*float64{
			num(math.Round(60*math.Exp(-math.Pow((t-35)/22, 2)) + 4)), num(math.Round(9 * math.Exp(-math.Pow((t-44)/16, 2)))),
			num(math.Round(8 * math.Exp(-math.Pow((t-48)/16, 2)))), num(math.Round(17 * math.Exp(-math.Pow((t-62)/18, 2)))),
		}}
		switch i {
		case 13: // only ripe fruit counted
			v.Standing[0], v.Standing[1], v.Standing[2] = nil, nil, nil
			v.Note = "only ripe fruit counted"
		case 18:
			v.AtLeast = []bool{true, true, true, true}
		case 21: // ripe fruit not counted
			v.Standing[3] = nil
		}
		f.Visits = append(f.Visits, v)
		if i > 10 && i%2 == 0 {
			f.Marks = append(f.Marks, Mark{At: day(int(t)).Add(time.Hour), Kind: Picked, Fruits: num(float64(3 + i%7)), Detail: "red " + fmt.Sprint(3+i%7)})
		}
		if i > 12 && i%5 == 0 {
			f.Marks = append(f.Marks, Mark{At: day(int(t)), Kind: Lost, Fruits: num(float64(1 + i%3)), Detail: "split"})
		}
	}
	for _, v := range f.Visits {
		f.Marks = append(f.Marks, Mark{At: v.At, Kind: Counted, Detail: "8 plants"})
	}
	f.Marks = append(f.Marks, Mark{At: day(70), Kind: Picked, Detail: "212 g, not counted"})
	return f
}

func stageTable() *Table {
	t := &Table{Caption: "Standing fruit by stage at each visit", Columns: []Column{{Name: "Visit"}, {Name: "green", Unit: "fruit", Numeric: true}, {Name: "breaker", Unit: "fruit", Numeric: true}, {Name: "turning", Unit: "fruit", Numeric: true}, {Name: "red", Unit: "fruit", Numeric: true}}}
	for _, v := range sampleStages().Visits {
		row := []string{momentText(v.At)}
		for _, n := range v.Standing {
			if n == nil {
				row = append(row, "not counted")
				continue
			}
			row = append(row, numberText(*n))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func sampleCurves() Curves {
	f := Curves{Title: "Fruit that ever reached red", Unit: "fruit", Basis: "8 plants, 153 fruit; 90 % intervals"}
	for s, name := range []string{"Amberling", "Nightglobe"} {
		top, mid := 66-12*float64(s), 43+9*float64(s)
		c := Curve{Name: name, BandName: "90 % interval of the curve"}
		for i := range 14 {
			t := float64(i*5 + 6 + 2*s)
			v := math.Round(logistic(t, top, mid, 0.14) + 2*math.Sin(float64(i*3)))
			c.Points = append(c.Points, CurvePoint{At: day(int(t)), Value: math.Max(v, 0)})
			if i > 4 && i%3 == 0 {
				c.Points[i].Low, c.Points[i].High = num(v-4), num(v+5)
			}
			if i == 8 {
				c.Points[i].AtLeast = true
			}
		}
		for i := range 80 {
			t := float64(i)
			v := logistic(t, top, mid, 0.14)
			c.Fit = append(c.Fit, Point{At: day(i), Value: v})
			c.Band = append(c.Band, BandPoint{At: day(i), Low: v * 0.9, High: v*1.08 + 1.5})
		}
		for _, share := range []float64{0.1, 0.5, 0.9} {
			at := mid + math.Log(share/(1-share))/0.14
			low, high := day(int(at)-4), day(int(at)+4)
			c.Marks = append(c.Marks, TimeMark{Label: fmt.Sprintf("t%.0f", share*100), At: day(int(at)), Low: &low, High: &high, Value: top * share})
		}
		f.Series = append(f.Series, c)
	}
	return f
}

func sampleCumulative() Cumulative {
	f := Cumulative{Title: "Picked so far", Unit: "g", Basis: "marketable fruit; 8 plants, 41 pickings"}
	for g, name := range []string{"Amberling", "Nightglobe", "Little Harrow"} {
		line, sum := YieldLine{Name: name}, 0.0
		plants := [3]PlantLine{}
		for i := range 12 {
			add := math.Round(70 + 45*math.Sin(float64(i+g)) - 12*float64(g))
			sum += add
			line.Points = append(line.Points, Point{At: day(28 + i*4 + g), Value: sum})
			for k := range plants {
				before := 0.0
				if n := len(plants[k].Points); n > 0 {
					before = plants[k].Points[n-1].Value
				}
				plants[k].Points = append(plants[k].Points, Point{At: day(28 + i*4 + g), Value: before + math.Round(add*[]float64{0.45, 0.35, 0.2}[k])})
			}
		}
		f.Groups = append(f.Groups, line)
		for k := range plants {
			plants[k].Name, plants[k].Group = fmt.Sprintf("%c%d", 'A'+g, k+1), g
			f.Plants = append(f.Plants, plants[k])
		}
	}
	return f
}

func yieldTable() *Table {
	t := &Table{Caption: "Picked so far by cultivar", Columns: []Column{{Name: "Cultivar"}, {Name: "Pickings", Numeric: true}, {Name: "Picked", Unit: "g", Numeric: true}}}
	for _, g := range sampleCumulative().Groups {
		t.Rows = append(t.Rows, []string{g.Name, fmt.Sprint(len(g.Points)), numberText(g.Points[len(g.Points)-1].Value)})
	}
	return t
}

func samplePastRipe() Bars {
	return Bars{
		Title: "Ripe fruit", Unit: unitFruit, Layout: Nested,
		Rows: []string{"B2", "A1", "C1", "A2", "C2, the one in the blue pot beside the door", "B1", "A3"},
		Series: []BarSeries{
			{Name: "standing ripe", Tone: ToneRipe, Values: []*float64{num(6), num(5), num(3), num(2), num(1), nil, nil}},
			{Name: "certainly past ripe", Tone: TonePastRipe, Values: []*float64{num(4), num(3), num(2), num(0), num(0), nil, num(1)}},
		},
		Basis: "8 plants, last counted 2 Feb 2026; hold time 7 days",
	}
}

func sampleLosses() Bars {
	return Bars{
		Title: "Lost fruit", Unit: unitFruit, Layout: Stacked,
		Rows: []string{"split", "dropped", "pest", "rotted"},
		Series: []BarSeries{
			{Name: "ripe", Tone: ToneRipe, Values: []*float64{num(8), num(2), num(1), num(0)}},
			{Name: "not yet ripe", Tone: ToneUnripe, Values: []*float64{num(1), num(1), num(1), num(0)}},
		},
		Basis: "14 fruit in 9 records",
	}
}

func sampleLives() Timeline {
	f := Timeline{Kinds: []string{"first bud", "first flower", "first fruit", "first colour", "first ripe", "last count", "moved", "removed"}, Basis: "4 plants"}
	for r, name := range []string{"A1", "A2", "B1", "C2, the one in the blue pot beside the door"} {
		row := TimelineRow{Name: name, From: day(-30 + r), To: day(74)}
		for kind, at := range []int{-5, 3, 9, 22, 29, 74, 40} {
			e := TimelineEvent{Kind: kind, At: day(at + r)}
			switch {
			case kind == 5:
				e.At = day(74)
			case kind == 6 && r != 1:
				continue
			case kind == 3 || kind == 4:
				e.After = day(at + r - 4)
			}
			row.Events = append(row.Events, e)
		}
		f.Rows = append(f.Rows, row)
	}
	f.Rows[2].Events = append(f.Rows[2].Events, TimelineEvent{Kind: 7, At: day(70)})
	return f
}

func longTable(n int) *Table {
	t := &Table{Caption: "Every plant of the trial", Columns: []Column{{Name: "Plant"}, {Name: "Cultivar"}, {Name: "Picked", Unit: "fruit", Numeric: true}, {Name: "Mass", Unit: "g", Numeric: true}, {Name: "First ripe"}, {Name: "Note"}}}
	for i := range n {
		t.Rows = append(t.Rows, []string{fmt.Sprintf("P%03d", i+1), []string{"Amberling", "Nightglobe", "Little Harrow"}[i%3],
			fmt.Sprint(7 + i*5%13), numberText(float64(180 + i*37%240)), momentText(day(20 + i%30)), ""})
	}
	return t
}

package charts

import (
	"fmt"
	"strings"

	"vinetally/analytics/germination"
	"vinetally/analytics/report"
)

func germinationSection(r *report.Season) Section {
	s := Section{Heading: "How the seed came up"}
	if len(r.Harvest.Lots) == 0 {
		s.Empty = "No germination count is on record."
		return s
	}
	s.Table = &Table{Caption: "Emergence of each lot, with 90 % intervals", Columns: []Column{{Name: "Cultivar"}, {Name: "Lot"}, {Name: "Sown"},
		{Name: "Seeds", Numeric: true}, {Name: "Came up", Numeric: true}, {Name: "Share", Unit: "%", Numeric: true}, {Name: "Mean time", Unit: "days", Numeric: true},
		{Name: "Half by", Unit: "days"}, {Name: "Spread", Unit: "days", Numeric: true}, {Name: "None of two seeds", Unit: "%", Numeric: true}}, Stack: true}
	late, raised, air := false, false, false
	for i := range r.Harvest.Lots {
		l := &r.Harvest.Lots[i]
		late, raised, air = late || l.Late != nil && *l.Late > 0, raised || l.Plants > 0, air || l.AirC != nil
	}
	s.Table.Columns = append(s.Table.Columns, lotColumns(late, raised, air)...)
	seeds, up := 0, 0
	var warnings []string
	for i := range r.Harvest.Lots {
		l := &r.Harvest.Lots[i]
		seeds, up = seeds+l.Seeds, up+l.Emerged
		mean, half, spread := "–", "–", "–"
		if l.Indices.MeanTime != nil {
			mean = fmt.Sprintf("%s (%s – %s)", report.Rounded(*l.Indices.MeanTime, 1), report.Rounded(l.MeanBetween.Low, 1), report.Rounded(l.MeanBetween.High, 1))
			half = fmt.Sprintf("%s – %s", report.Rounded(l.HalfBetween.Low, 0), report.Rounded(l.HalfBetween.High, 0))
		}
		if sd := l.Spread(); sd != nil {
			spread = report.Rounded(*sd, 1)
		}
		share, none := "not known", "–"
		if l.Known {
			share = fmt.Sprintf("%s (%s – %s)", report.Rounded(100*l.Share, 0), report.Rounded(100*l.Interval.Low, 0), report.Rounded(100*l.Interval.High, 0))
			none = fmt.Sprintf("%s (≤ %s)", report.Rounded(100*l.Spots[1].Empty, 0), report.Rounded(100*l.Spots[1].EmptyHigh, 0))
		}
		lot := l.Lot
		if lot == "" {
			lot = "–"
		}
		row := []string{l.Cultivar, lot, l.SownOn.Words(), whole(l.Seeds), whole(l.Emerged), share, mean, half, spread, none}
		s.Table.Rows = append(s.Table.Rows, append(row, lotCells(l, late, raised, air)...))
		for _, w := range l.Warnings {
			warnings = append(warnings, strings.TrimSpace(l.Cultivar+" "+l.Lot)+": "+w)
		}
	}
	s.Sentence = fmt.Sprintf("%d of %d seeds came up, in %s.", up, seeds, count(len(r.Harvest.Lots), "lot", "lots"))
	s.Notes = []string{"The interval of the share is Wilson's. Mean time is by the days of the counts; in brackets, between which days it lies, since what is seen at a count came up since the one before. “None of two seeds” is the chance that a spot with two seeds stays empty, if each comes up or not by itself; seeds of one spot share water and warmth, so both are rather too sure."}
	if late {
		s.Notes = append(s.Notes, "“Late” came up after day 14.")
	}
	if raised {
		s.Notes = append(s.Notes, "“Plants” name the lot; “not raised” came up and became no plant on record: thinned, or lost.")
	}
	if air {
		s.Notes = append(s.Notes, "“Published” is the emergence of tomato seed half an inch deep at that temperature of the soil, and the normal seedlings among the seeds (Harrington and Minges 1954, as in Knott's Handbook for Vegetable Growers); the readings here are of the air.")
	}
	s.Notes = append(s.Notes, warnings...)
	return s
}

// lotColumns are those that not every season has: late seedlings, plants that name their lot, a temperature.
func lotColumns(late, raised, air bool) (columns []Column) {
	if late {
		columns = append(columns, Column{Name: "Late", Numeric: true})
	}
	if raised {
		columns = append(columns, Column{Name: "Plants", Numeric: true}, Column{Name: "Planted out", Numeric: true}, Column{Name: "Not raised", Numeric: true})
	}
	if air {
		columns = append(columns, Column{Name: "Air", Unit: "°C", Numeric: true}, Column{Name: "Published time", Unit: "days", Numeric: true}, Column{Name: "Published share", Unit: "%", Numeric: true})
	}
	return columns
}

func lotCells(l *germination.Lot, late, raised, air bool) (cells []string) {
	if late {
		cells = append(cells, wholeOr(l.Late, "–"))
	}
	if raised {
		plants, out := "–", "–"
		if l.Plants > 0 {
			plants, out = whole(l.Plants), whole(l.Transplanted)
		}
		cells = append(cells, plants, out, wholeOr(l.NotRaised, "–"))
	}
	if air {
		at, days, share := "–", "–", "–"
		if l.AirC != nil {
			at = report.Rounded(*l.AirC, 1)
		}
		if p := l.Published; p != nil {
			days, share = report.Rounded(p.Days, 1), report.Rounded(p.NormalPercent, 0)
		}
		cells = append(cells, at, days, share)
	}
	return cells
}

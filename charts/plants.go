package charts

import (
	"fmt"
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/report"
	"vinetally/analytics/yield"
)

// plantsSection lists every plant with its sums.
func plantsSection(r *report.Season, links ReportLinks) Section {
	s := Section{Heading: "Plants"}
	if len(r.Plants) == 0 {
		s.Empty = "There are no plants in this season yet."
		return s
	}
	s.Table = &Table{Caption: "Every plant's fruit", Columns: []Column{{Name: "Plant"}, {Name: "Cultivar"}, {Name: "Place"}, {Name: "Counts", Numeric: true},
		{Name: "Set at least", Unit: "fruit", Numeric: true}, {Name: "Standing", Unit: "fruit", Numeric: true}, {Name: "Picked", Unit: "fruit", Numeric: true},
		{Name: "Mass", Unit: "g", Numeric: true}, {Name: "Lost or cleared", Unit: "fruit", Numeric: true}}}
	removed := slices.ContainsFunc(r.Plants, func(p report.Plant) bool { return p.Book.Removed })
	if removed {
		s.Table.Columns = append(s.Table.Columns, Column{Name: "Left at removal", Unit: "fruit", Numeric: true})
	}
	s.Table.Columns = append(s.Table.Columns, Column{Name: "Fewer than expected", Unit: "fruit", Numeric: true})
	masses := map[crop.ID]yield.Grams{}
	for i := range r.Harvest.Plants {
		masses[r.Harvest.Plants[i].Records.Plant.ID] = r.Harvest.Plants[i].Grams
	}
	for _, p := range r.Plants {
		t := p.Book.Totals
		standing := wholeOr(t.Standing, fmt.Sprintf("at least %d", t.StandingAtLeast))
		if t.Standing == nil && t.StandingAtMost != nil {
			standing = fmt.Sprintf("%d – %d", t.StandingAtLeast, *t.StandingAtMost)
		}
		if len(p.Book.Visits) == 0 {
			standing = "not counted"
		}
		row := []string{p.Records.Plant.Label, p.Records.Cultivar.Name, standsAt(p, r.AsOf), whole(len(p.Book.Visits)),
			whole(t.SetAtLeast), standing, whole(t.Picked), plantMass(p, masses[p.Records.Plant.ID]), whole(t.Lost)}
		if removed {
			row = append(row, leftText(t))
		}
		s.Table.Rows = append(s.Table.Rows, append(row, whole(t.Unaccounted)))
		s.Table.RowLinks = append(s.Table.RowLinks, plantLink(p, links))
	}
	if links.Plant == nil {
		s.Table.RowLinks = nil
	}
	s.Notes = []string{"“Set at least” is the most fruit seen standing, picked and lost together at a count that no later one contradicts, or at two. “Fewer than expected” is how many the last counts fall short of earlier ones without a picking or loss to explain it; a few fruit overlooked at a count look the same.", estimatedNote}
	if removed {
		s.Notes = append(s.Notes, "“Until” is the day a plant was removed. “Left at removal” stood on it then, by its last count, and is recorded neither as picked nor as lost.")
	}
	if b := r.Totals.Balance; b != nil && r.Totals.Counted > 0 {
		s.Notes = append(s.Notes, balanceText(b))
	}
	return s
}

// plantMass is the mass of all that was picked of a plant; what was weighed where that of other fruit can't be told.
func plantMass(p report.Plant, g yield.Grams) string {
	switch {
	case p.Tally.Fruits == 0 && p.Tally.Uncounted == 0, g.Missing > 0 && g.G() == 0:
		return "–"
	case g.Missing > 0:
		return "≥ " + report.Rounded(g.G(), 0)
	}
	return gramsText(g)
}

// balanceText closes the account of a season: every fruit that the counts have is in one of its parts.
func balanceText(b *ledger.Balance) string {
	return fmt.Sprintf("Taking every count for true, %d fruit were set on the plants counted: %d standing, %d picked, %d lost or cleared, %d left at a removal and %d fewer than expected.",
		b.EverReached, b.Standing, b.Picked, b.Lost, b.LeftAtRemoval, b.Unaccounted)
}

// leftText is what stood on a plant when it was removed and is on no record since.
func leftText(t ledger.Totals) string {
	if t.LeftAtRemoval == nil {
		return "–"
	}
	return whole(*t.LeftAtRemoval)
}

// standsAt is where a plant stands, or where it stood until it was removed.
func standsAt(p report.Plant, asOf time.Time) string {
	d := p.Records.Plant.RemovedOn
	if d == nil || d.After(crop.DateOf(asOf)) {
		return placeName(p)
	}
	return placeName(p) + ", until " + d.Words()
}

// contradictionSection lists where the season's records can't all be right; small differences only by their number.
func contradictionSection(r *report.Season) Section {
	s := Section{Heading: "Records to look at"}
	table := contradictionTable()
	small := 0
	for _, p := range r.Plants {
		beyond := report.Beyond(p.Book.Contradictions)
		small += len(p.Book.Contradictions) - len(beyond)
		for _, c := range beyond {
			table.Rows = append(table.Rows, contradictionRow(p.Book.Plant, c))
		}
	}
	if small > 0 {
		s.Notes = []string{fmt.Sprintf("%s so small that overlooking a fruit now and then explains them; the reports of the plants list them.", count(small, "other difference is", "other differences are"))}
	}
	if len(table.Rows) == 0 {
		s.Empty = "No records disagree beyond what a miscount explains."
		return s
	}
	s.Table = table
	return s
}

// plantContradictions lists every contradiction of one plant, small ones included.
func plantContradictions(p *report.Plant) Section {
	s := Section{Heading: "Records to look at"}
	table := contradictionTable()
	for _, c := range p.Book.Contradictions {
		table.Rows = append(table.Rows, contradictionRow(p.Book.Plant, c))
	}
	if len(table.Rows) == 0 {
		s.Empty = "No records of this plant disagree."
		return s
	}
	s.Table = table
	return s
}

func contradictionTable() *Table {
	return &Table{Caption: "Where records disagree", Stack: true, Columns: []Column{{Name: "Plant"}, {Name: "When"}, {Name: "Stage"},
		{Name: "Apart by", Unit: "fruit", Numeric: true}, {Name: "By chance up to", Unit: "fruit", Numeric: true}, {Name: "What to look at"}}}
}

func contradictionRow(plant string, c ledger.Contradiction) []string {
	chance := "–"
	if c.Allowance > 0 {
		chance = whole(c.Allowance)
	}
	return []string{plant, c.At.Words(), c.Stage, whole(c.Fruits), chance, c.Detail}
}

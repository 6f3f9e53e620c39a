package charts

import (
	"fmt"
	"strings"

	"vinetally/analytics/curve"
	"vinetally/analytics/ledger"
	"vinetally/analytics/report"
)

// PlantPage puts a plant's report on a page.
func PlantPage(r *report.OnePlant, links ReportLinks) Page {
	p := reportPage(r.Season, links)
	plant := r.Plant.Records.Plant
	p.Title = "Plant report: " + plant.Label
	p.Subtitle = fmt.Sprintf("%s; %s; %s", r.Plant.Records.Cultivar.Name, standsAt(r.Plant, r.AsOf), r.Season.Season.Name)
	p.KeyFigures = keyFigures(r.Season)
	p.Sections = append(plantAheadSections(r), periodSections(r.Season)...)
	var byDate []Section
	for i := range r.Standing {
		byDate = append(byDate, standingSection(r.Season, &r.Standing[i], false))
	}
	p.Sections = append(p.Sections, onSameDates(append(byDate, reachedSection(r)))...)
	p.Sections = append(p.Sections, trustSections(r.Season, links, plantFitSections(r))...)
	p.Sections = append(p.Sections, ledgerSection(&r.Plant.Book), plantYieldSection(r), plantWeekSection(r), lifeSection(r), plantContradictions(&r.Plant), diarySection(r))
	p.Sections = append(p.Sections, methodSections(r.Season)...)
	return p
}

// reachedSection shows the fruit that ever reached each stage, with the curves that the counts carry.
func reachedSection(r *report.OnePlant) Section {
	s := Section{Heading: "How many fruit reached each stage", Table: curveTable(r.Season, curve.ScopePlant), Notes: curveNotes(r.Season, curve.ScopePlant)}
	figure := Curves{Title: "Fruit that ever reached the stage", Unit: "fruit", Basis: fmt.Sprintf("%s; %s intervals", count(len(r.Plant.Book.Visits), "count", "counts"), levelText)}
	loc := r.AsOf.Location()
	for stage, name := range r.Plant.Book.Scale {
		position := &StagePosition{Stage: stage, Ripe: r.Plant.Records.Scale.Ripe()}
		if c := curveOf(r, name); c != nil {
			series := curveSeries(c, name, loc)
			series.Stage = position
			figure.Series = append(figure.Series, series)
			continue
		}
		series := Curve{Name: name, Stage: position}
		for _, v := range r.Plant.Book.Visits {
			if v.EverReached[stage] != nil {
				series.Points = append(series.Points, CurvePoint{At: v.CountedAt.At.In(loc), Value: float64(*v.EverReached[stage])})
			}
		}
		if len(series.Points) > 0 {
			figure.Series = append(figure.Series, series)
		}
	}
	if len(figure.Series) == 0 {
		s.Notes = nil // they would say the same of every stage
		s.Empty = "No count of this plant tells how many fruit reached a stage."
		return s
	}
	s.Figure = figure
	s.Sentence = "Fruit that had ever reached each stage: standing there or beyond, plus what was picked or lost there or beyond. Points are counts, lines are fitted where the counts carry a curve."
	return s
}

func curveOf(r *report.OnePlant, stage string) *curve.Curve {
	for i := range r.Curves.Curves {
		if r.Curves.Curves[i].Stage == stage {
			return &r.Curves.Curves[i]
		}
	}
	return nil
}

// estimateWords says what the last count of some trusses comes to; empty if there is none.
func estimateWords(b *ledger.Book) string {
	for i := len(b.Visits) - 1; i >= 0; i-- {
		var parts []string
		of := ""
		for stage, e := range b.Visits[i].Estimate {
			if e == nil {
				continue
			}
			of = fmt.Sprintf("%d of %d trusses", e.Counted, e.Of)
			part := fmt.Sprintf("%s %s", report.Rounded(e.Value, 0), b.Scale[stage])
			if e.Low != nil {
				part += fmt.Sprintf(" (%s – %s)", report.Rounded(*e.Low, 0), report.Rounded(*e.High, 0))
			}
			parts = append(parts, part)
		}
		if len(parts) > 0 {
			return fmt.Sprintf("Expanded from the %s counted on %s to all of them: %s; 90 %% intervals in brackets.", of, b.Visits[i].CountedAt.Words(), strings.Join(parts, ", "))
		}
	}
	return ""
}

// ledgerSection is the ledger visit by visit.
func ledgerSection(b *ledger.Book) Section {
	s := Section{Heading: "Every fruit accounted for"}
	if len(b.Visits) == 0 {
		s.Empty = "This plant has not been counted."
		return s
	}
	t := &Table{Caption: "The ledger, count by count", Columns: []Column{{Name: "Counted"}}}
	for _, stage := range b.Scale {
		t.Columns = append(t.Columns, Column{Name: stage, Unit: "stands", Numeric: true})
	}
	for _, stage := range b.Scale {
		t.Columns = append(t.Columns, Column{Name: stage, Unit: "ever", Numeric: true})
	}
	t.Columns = append(t.Columns, Column{Name: "Picked", Unit: "fruit", Numeric: true}, Column{Name: "Lost or cleared", Unit: "fruit", Numeric: true},
		Column{Name: "Fewer than expected", Unit: "fruit", Numeric: true}, Column{Name: "Count of"})
	for _, v := range b.Visits {
		row := []string{v.CountedAt.Words()}
		for i := range b.Scale {
			row = append(row, exactOrBetween(v.Standing[i], v.StandingAtLeast[i], v.StandingAtMost[i], v.Counted[i] != nil))
		}
		for i := range b.Scale {
			row = append(row, exactOrBetween(v.EverReached[i], v.EverReachedAtLeast[i], v.EverReachedAtMost[i], true))
		}
		t.Rows = append(t.Rows, append(row, whole(sum(v.Picked)), whole(sum(v.Lost)), whole(v.Unaccounted[0]), coverageWords(v.Coverage)))
	}
	s.Table = t
	last := b.SinceLastCount
	s.Notes = []string{
		"“Stands” is what the count found at the stage. “Ever” is what had ever reached it: standing there or beyond, plus all that was picked or lost there or beyond before the count. Picked and lost are since the count before. “≥” marks a lower bound: the count was of a part, or given up. “3 – 8” is between 3 and 8: colours weren't told apart, or fruit was taken from the whole unit.",
	}
	if picked, lost := sum(last.Picked), sum(last.Lost); picked+lost > 0 {
		s.Notes = append(s.Notes, fmt.Sprintf("Since the last count %d fruit %s picked and %d lost.", picked, verb(picked), lost))
	}
	if words := estimateWords(b); words != "" {
		s.Notes = append(s.Notes, words)
	}
	s.Notes = append(s.Notes, b.Warnings...)
	return s
}

func verb(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}

func sum(ns []int) int {
	total := 0
	for _, n := range ns {
		total += n
	}
	return total
}

// exactOrBetween is the number, or its bounds.
func exactOrBetween(exact *int, atLeast int, atMost *int, counted bool) string {
	switch {
	case exact != nil:
		return whole(*exact)
	case atMost != nil && *atMost == atLeast:
		return whole(atLeast)
	case atMost != nil:
		return whole(atLeast) + " – " + whole(*atMost)
	case counted:
		return "≥ " + whole(atLeast)
	}
	return "not counted"
}

func coverageWords(coverage []string) string {
	words := map[string]string{ledger.Whole: "whole plant", ledger.Trusses: "some trusses", ledger.Stages: "some stages", ledger.AtLeast: "at least", ledger.About: "a glance"}
	parts := make([]string, len(coverage))
	for i, c := range coverage {
		parts[i] = words[c]
	}
	return strings.Join(parts, ", ")
}

func diarySection(r *report.OnePlant) Section {
	s := Section{Heading: "Diary"}
	if len(r.Diary) == 0 {
		s.Empty = "There are no diary entries of this plant."
		return s
	}
	s.Table = &Table{Caption: "Diary of the plant", Stack: true, Columns: []Column{{Name: "When"}, {Name: "What"}, {Name: "Note"}}}
	for _, d := range r.Diary {
		s.Table.Rows = append(s.Table.Rows, []string{d.NotedAt.Words(), string(d.Kind), d.Note})
	}
	return s
}

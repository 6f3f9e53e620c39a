package charts

import (
	"fmt"
	"strings"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
)

// ReportLinks are the addresses that a report leads to; a report written to a file has none.
type ReportLinks struct {
	Nav []Link
	// Plant returns the address of a plant's report by the plant's id; nil for none.
	Plant func(id string) string
	// Invented is the sentence that says the records are made up; empty for real ones.
	Invented string
}

// SeasonPage puts a season's report on a page. It computes nothing: every number and sentence of the answer is the
// report's.
func SeasonPage(r *report.Season, links ReportLinks) Page {
	p := reportPage(r, links)
	p.Title = "Season report: " + r.Season.Name
	p.Subtitle = seasonSpan(r)
	p.KeyFigures = keyFigures(r)
	p.Sections = append(aheadSections(r, links), periodSections(r)...)
	var byDate []Section
	for i := range r.Standing {
		s := standingSection(r, &r.Standing[i], len(r.Standing) > 1)
		if i > 0 {
			s.Notes = nil // they are those of the first
		}
		byDate = append(byDate, s)
	}
	byDate = append(append(byDate, ripeningSection(r)), airSections(r)...)
	p.Sections = append(p.Sections, onSameDates(byDate)...)
	p.Sections = append(p.Sections, plantRipeningSections(r, links)...)
	p.Sections = append(p.Sections, pickedSection(r), yieldSection(r), weekSection(r, links), pastRipeSection(r, links))
	p.Sections = append(p.Sections, pastRipeDaysSection(r)...)
	p.Sections = append(p.Sections, trustSections(r, links, fitSections(r, links))...)
	p.Sections = append(append(p.Sections, lossSection(r)), wasteSections(r)...)
	p.Sections = append(p.Sections, lookBackSections(r)...)
	p.Sections = append(p.Sections, plantsSection(r, links), milestoneSection(r, links), germinationSection(r), contradictionSection(r))
	p.Sections = append(p.Sections, methodSections(r)...)
	return p
}

// reportPage is what season and plant reports share.
func reportPage(r *report.Season, links ReportLinks) Page {
	p := Page{
		AsOf: report.Clock(r.AsOf), Nav: links.Nav, Invented: links.Invented,
		RestsOn: r.RestsOn, Warnings: r.Warnings, Cautions: report.Cautions(),
	}
	for _, s := range r.Answer {
		p.Answer = append(p.Answer, Statement{Text: s.Text, Severity: severity(s.Level)})
	}
	return p
}

func severity(l report.Level) Severity {
	switch l {
	case report.Act:
		return Act
	case report.Look:
		return Look
	}
	return Plain
}

func seasonSpan(r *report.Season) string {
	s, plants := r.Season, count(r.Totals.Plants, "plant", "plants")
	switch {
	case s.FirstDay != nil && s.LastDay != nil:
		return fmt.Sprintf("%s; %s", crop.RangeWords(*s.FirstDay, *s.LastDay), plants)
	case s.FirstDay != nil:
		return fmt.Sprintf("since %s; %s", s.FirstDay.Words(), plants)
	case s.LastDay != nil:
		return fmt.Sprintf("until %s; %s", s.LastDay.Words(), plants)
	}
	return plants
}

func keyFigures(r *report.Season) []KeyFigure {
	t := r.Totals
	standing := KeyFigure{Label: "Standing", Unit: "fruit", Value: "at least " + whole(t.StandingAtLeast)}
	if t.StandingAtMost != nil {
		standing.Value = whole(t.StandingAtLeast) + " – " + whole(*t.StandingAtMost)
	}
	switch {
	case t.Counted > 0 && t.Standing == nil && t.StandingAtLeast == 0 && t.StandingAtMost == nil:
		standing.Value, standing.Unit = "not known", ""
	case t.Counted == 0:
		standing.Value, standing.Unit = "not counted yet", ""
	case t.Standing != nil:
		standing.Value = whole(*t.Standing)
	}
	if t.Plants > 1 && t.Counted > 0 && (t.Bearing > 0 || t.Standing != nil && *t.Standing == 0) {
		standing.Detail = fmt.Sprintf("on %d of %s", t.Bearing, count(t.Plants, "plant", "plants"))
		if t.Counted < t.Plants {
			standing.Detail += fmt.Sprintf("; %d counted", t.Counted)
		}
	}
	picked := KeyFigure{Label: "Picked", Value: whole(r.Yield.Fruits), Unit: "fruit"}
	if r.Yield.MassG > 0 {
		picked.Detail = report.Grams(r.Yield.MassG) + " weighed"
	}
	lost := KeyFigure{Label: "Lost", Value: whole(t.Lost), Unit: "fruit"}
	var more []string
	if t.Cleared > 0 {
		more = append(more, fmt.Sprintf("%d cleared", t.Cleared))
	}
	if t.Left > 0 {
		more = append(more, fmt.Sprintf("%d left at removal", t.Left))
	}
	if len(more) > 0 {
		lost.Detail = "and " + strings.Join(more, ", ")
	}
	past := KeyFigure{Label: "Past ripe", Value: "at least " + whole(r.PastRipe.Certain), Unit: "fruit", Detail: "if the records are complete"}
	switch {
	case t.Counted == 0:
		past.Value, past.Unit, past.Detail = "not known", "", "nothing was counted yet"
	case r.PastRipe.Certain == 0:
		past.Value, past.Unit = "none certain", ""
	default:
		past.Severity = Act
	}
	past.Detail = expectedDetail(r, past.Detail)
	return append([]KeyFigure{standing, picked, lost, past}, aheadFigures(r)...)
}

package charts

import "time"

// Dates are a stretch of time that the axis of a chart holds besides its own values; zero for none. Charts that share one, each drawn
// under the other, have every date at the same place.
type Dates struct{ First, Last time.Time }

// leftRoom is the space left of the plot of every chart over time.
const leftRoom = 60

func (d Dates) within(when *span) {
	if !d.First.IsZero() {
		when.add(d.First, d.Last)
	}
}

// shared tells whether the axis is that of other charts too, which leave room for names at the ends of lines.
func (d Dates) shared() bool { return !d.First.IsZero() }

// dated is a figure whose axis can be made to hold a stretch of time.
type dated interface {
	Figure
	on(Dates) Figure
}

func (f StageAreas) on(d Dates) Figure { f.Dates = d; return f }
func (f Curves) on(d Dates) Figure     { f.Dates = d; return f }
func (f Cumulative) on(d Dates) Figure { f.Dates = d; return f }

// onSameDates gives the charts over time of sections one axis. A chart that can't be drawn keeps its own.
func onSameDates(sections []Section) []Section {
	var when span
	for _, s := range sections {
		if f, ok := s.Figure.(dated); ok {
			if d, err := f.draw(); err == nil {
				when.add(d.when.first, d.when.last)
			}
		}
	}
	for i := range sections {
		if f, ok := sections[i].Figure.(dated); ok && !when.first.IsZero() {
			sections[i].Figure = f.on(Dates{when.first, when.last})
		}
	}
	return sections
}

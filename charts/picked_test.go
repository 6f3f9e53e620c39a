package charts

import (
	"testing"

	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

// TestPlantLinesEndAtTheirSums: each plant's line ends at what the table has of it, and the lines of a cultivar add up to its own.
func TestPlantLinesEndAtTheirSums(t *testing.T) {
	r := report.Of(demoseasons.Load(t)[demoseasons.Autumn], report.Options{})
	figure, ok := pickedSection(r).Figure.(Cumulative)
	if !ok || len(figure.Plants) != 12 {
		t.Fatalf("%d plants are drawn, want 12", len(figure.Plants))
	}
	sums := make([]float64, len(figure.Groups))
	for _, line := range figure.Plants {
		end := line.Points[len(line.Points)-1].Value
		sums[line.Group] += end
		for i := range r.Plants {
			if p := &r.Plants[i]; p.Records.Plant.Label == line.Name && float64(p.Tally.Fruits) != end {
				t.Errorf("%s: the line ends at %v, the table has %d", line.Name, end, p.Tally.Fruits)
			}
		}
	}
	for i, g := range figure.Groups {
		if end := g.Points[len(g.Points)-1].Value; end != sums[i] {
			t.Errorf("%s: the line ends at %v, its plants' add up to %v", g.Name, end, sums[i])
		}
	}
}

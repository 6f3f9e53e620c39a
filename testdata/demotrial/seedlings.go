package demotrial

import (
	"slices"

	"vinetally/analytics/simulate"
)

// germinationDays are the days after sowing on which seedlings were counted.
var germinationDays = []int{4, 5, 6, 7, 8, 10, 12, 14}

// swelling is the days from sowing to emergence but for the first three and a
// half, a gamma distribution. Emergence is about a week in a warm unit (common
// practice: 6 to 8 days at 20 to 30 °C).
var swelling = simulate.Shape{Family: simulate.Gamma, CV: 0.35}.Residence(3.4)

// germinate counts the seedlings of each lot.
func (r *run) germinate() {
	for _, c := range cultivars {
		lot := c.seedLots[r.season.name]
		r.germinateLot(c.name, lot, r.season.firstDay)
		for _, p := range r.season.plants {
			if p.cultivar == c.name && p.sown != r.season.firstDay {
				r.germinateLot(c.name, seedLot{lot.lot + " again", 3, 1}, p.sown)
			}
		}
	}
}

func (r *run) germinateLot(cultivar string, lot seedLot, sown string) {
	d := newDice(r.season.name, lot.lot, "germination")
	var days []float64
	for range lot.seeds {
		at := 3.5 + swelling.Quantile(d.uniform())
		if d.chance(lot.viable) {
			days = append(days, at)
		}
	}
	slices.Sort(days)
	for _, n := range germinationDays {
		emerged := 0
		for _, at := range days {
			if at <= float64(n) {
				emerged++
			}
		}
		on := addDays(sown, n)
		r.book.add(germination, row{
			key: r.season.name + "\x1f" + cultivar + "\x1f" + lot.lot, at: day(on),
			cells: map[string]string{
				"season": r.season.name, "cultivar": cultivar, "lot": lot.lot, "sown_on": sown,
				"seeds": digits(lot.seeds), "counted_on": on, "emerged": digits(emerged),
			},
		})
	}
}

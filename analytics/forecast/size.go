package forecast

import "vinetally/analytics/countdist"

// Chances is how many chances of a number of fruit a forecast holds in memory, which is nearly all that it does.
func (f *Forecast) Chances() int {
	n := 0
	add := func(d *countdist.Distribution) { n += cap(d.P) }
	all := func(days []Day) {
		days = days[:cap(days)] // those that weren't asked for too
		for i := range days {
			add(&days[i].Distribution)
		}
	}
	past := func(p *PastRipe) {
		add(&p.Distribution)
		add(&p.complete)
	}
	all(f.Season)
	for i := range f.Cultivars {
		all(f.Cultivars[i].NewlyRipe)
	}
	for i := range f.Plants {
		all(f.Plants[i].NewlyRipe)
		past(&f.Plants[i].PastRipe)
	}
	if f.PastRipe != nil {
		past(f.PastRipe)
	}
	return n
}

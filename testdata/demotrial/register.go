package demotrial

import "time"

// register writes the rows that only name things: season, plants, places,
// cultivars, the household's own scale.
func register(b *book) {
	for _, p := range places {
		b.add(placesFile, row{key: p.name, cells: map[string]string{"place": p.name, "time_zone": zoneName}})
	}
	for _, c := range cultivars {
		b.add(cultivarFile, row{key: c.name, cells: map[string]string{
			"cultivar": c.name, "scale": c.scale, "hold_days": c.holdDays, "note": c.note,
		}})
	}
	descriptions := [4]string{
		"no colour yet", "first yellow at the tip, to a tenth of the skin", "more colour, not all over", "orange all over, the ripe colour",
	}
	for i, stage := range orangeStages {
		ripeMark := ""
		if i == ripe {
			ripeMark = "yes"
		}
		b.add(scalesFile, row{key: orangeScale, tie: digits(i + 1), cells: map[string]string{
			"scale": orangeScale, "position": digits(i + 1), "stage": stage, "ripe": ripeMark, "description": descriptions[i],
		}})
	}
}

func (r *run) registerPlants() {
	s := r.season
	r.book.add(seasonsFile, row{key: s.name, cells: map[string]string{"season": s.name, "first_day": s.firstDay, "last_day": s.lastDay}})
	for _, b := range r.bushes {
		p := b.plan
		r.book.add(plantsFile, row{key: s.name + "\x1f" + p.label, cells: map[string]string{
			"season": s.name, "place": p.place, "cultivar": p.cultivar, "plant": p.label, "sown_on": p.sown,
			"transplanted_on": p.transplanted, "removed_on": b.removedOn, "origin": p.origin, "note": p.note,
		}})
	}
}

// readThermometers writes the hourly readings of both places up to the last
// full hour before the season's last record, without the gaps.
func (r *run) readThermometers() {
	for _, p := range places {
		for i, airC := range r.air[p.name] {
			at := r.season.instant(hours(i))
			if !at.Before(r.season.records.Truncate(time.Hour)) {
				break
			}
			missing := false
			for _, g := range p.gaps {
				missing = missing || !at.Before(g[0]) && at.Before(g[1])
			}
			if missing {
				continue
			}
			r.book.add(temperatures, row{key: p.name, at: at, cells: map[string]string{
				"place": p.name, "measured_at": moment(at).text(), "air_c": oneDecimal(airC),
			}})
		}
	}
}

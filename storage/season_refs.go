package storage

import (
	"context"
	"fmt"
	"time"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// cultivarsOfSeason selects every cultivar that a season's rows name, placesOfSeason every place.
const (
	cultivarsOfSeason = `SELECT cultivar_id FROM plants WHERE site_id = ?1 AND season_id = ?2
		UNION SELECT cultivar_id FROM pickings WHERE site_id = ?1 AND season_id = ?2
		UNION SELECT cultivar_id FROM losses WHERE site_id = ?1 AND season_id = ?2
		UNION SELECT cultivar_id FROM germination WHERE site_id = ?1 AND season_id = ?2`
	placesOfSeason = `SELECT place_id FROM plants WHERE site_id = ?1 AND season_id = ?2
		UNION SELECT m.place_id FROM plants AS p CROSS JOIN plant_moves AS m ON m.site_id = p.site_id AND m.plant_id = p.id
			WHERE p.site_id = ?1 AND p.season_id = ?2
		UNION SELECT place_id FROM pickings WHERE site_id = ?1 AND season_id = ?2
		UNION SELECT place_id FROM losses WHERE site_id = ?1 AND season_id = ?2`
)

func (l *loader) cultivars() error {
	rows, err := loadRows[cultivarRow](l, crop.Cultivars, `cultivars AS e WHERE e.site_id = ?1 AND e.id IN (`+cultivarsOfSeason+
		`) ORDER BY e.name`, l.site, key(l.season))
	l.trial.Cultivars = each(rows, (*cultivarRow).cultivar)
	return err
}

// scales reads the scales of the season's cultivars, and the default one.
func (l *loader) scales() error {
	rows, err := loadRows[scaleRow](l, crop.Scales, `scales AS e WHERE e.site_id = ?1 AND (e.id = ?3 OR e.id IN
		(SELECT scale_id FROM cultivars WHERE site_id = ?1 AND id IN (`+cultivarsOfSeason+`))) ORDER BY e.name`,
		l.site, key(l.season), key(crop.DefaultScaleID))
	if err != nil {
		return err
	}
	l.trial.Scales, err = eachOrFail(rows, (*scaleRow).scale)
	return err
}

func (l *loader) places() error {
	rows, err := loadRows[placeRow](l, crop.Places, `places AS e WHERE e.site_id = ?1 AND e.id IN (`+placesOfSeason+
		`) ORDER BY e.name`, l.site, key(l.season))
	l.trial.Places = each(rows, (*placeRow).place)
	return err
}

// temperatures reads what the season's places measured around it, after everything else was read.
func (l *loader) temperatures() error {
	from, to := l.span()
	rows, err := loadRows[temperatureRow](l, crop.Temperatures, `(`+placesOfSeason+`) AS s
		CROSS JOIN temperatures AS e ON e.site_id = ?1 AND e.place_id = s.place_id AND e.measured_at BETWEEN ?3 AND ?4`,
		l.site, key(l.season), int64(millisOf(from)), int64(millisOf(to)))
	if err != nil {
		return err
	}
	zones := map[crop.ID]*time.Location{}
	for i := range l.trial.Places {
		zones[l.trial.Places[i].ID] = l.trial.Places[i].Location()
	}
	l.trial.Temperatures = each(rows, func(r *temperatureRow) crop.Temperature {
		t := r.temperature()
		t.MeasuredAt = t.MeasuredAt.In(zones[t.PlaceID])
		return t
	})
	return nil
}

// span is the time that a season's readings are wanted of: up to now while it has neither a last day nor a record. It is
// fourteen hours wider at either end than the days in UTC, so that it covers them in every zone.
func (l *loader) span() (from, to time.Time) {
	var first, last crop.Date
	earlier := func(d *crop.Date) {
		if d != nil && (first.IsZero() || d.Before(first)) {
			first = *d
		}
	}
	earlier(l.trial.Season.FirstDay)
	for i := range l.trial.Plants {
		earlier(l.trial.Plants[i].Since())
	}
	if end := l.trial.Season.LastDay; end != nil {
		last = *end
	}
	if record := l.trial.LastRecord(); !record.IsZero() {
		if d := crop.DateOf(record.UTC()); last.IsZero() || d.After(last) {
			last = d
		}
	}
	if first.IsZero() {
		return someday, someday // nothing was grown, so no reading is wanted
	}
	from = first.AddDays(-1).Start(time.UTC).Add(-14 * time.Hour)
	if last.IsZero() {
		return from, someday
	}
	return from, last.AddDays(2).Start(time.UTC).Add(14 * time.Hour)
}

// Temperatures returns the readings of a place from one instant to another, both included, by time.
func (s *Site) Temperatures(ctx context.Context, place crop.ID, from, to time.Time) ([]crop.Temperature, error) {
	var readings []crop.Temperature
	err := s.read(ctx, func(tx *gorm.DB) error {
		var places []placeRow
		if err := tx.WithContext(ctx).Where("site_id = ? AND id = ?", s.id, key(place)).Find(&places).Error; err != nil {
			return err
		}
		if len(places) == 0 {
			return notFound(tables[crop.Places], place)
		}
		l := &loader{ctx: ctx, q: tx.Statement.ConnPool, site: s.id}
		rows, err := loadRows[temperatureRow](l, crop.Temperatures, `temperatures AS e WHERE e.site_id = ?1 AND e.place_id = ?2
			AND e.measured_at BETWEEN ?3 AND ?4 ORDER BY e.measured_at`, s.id, key(place), int64(millisOf(from)), int64(millisOf(to)))
		if err != nil {
			return err
		}
		where := places[0].place()
		readings = each(rows, func(r *temperatureRow) crop.Temperature {
			t := r.temperature()
			t.MeasuredAt = t.MeasuredAt.In(where.Location())
			return t
		})
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("read temperatures: %w", err)
	}
	return readings, nil
}

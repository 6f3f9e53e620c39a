package api

import (
	"cmp"
	"context"
	"slices"
	"time"

	"vinetally/analytics/crop"
)

// mostEarlier is how many earlier seasons sharpen what is taken for granted of a cultivar.
const mostEarlier = 3

// EarlierSeasons are the seasons before a trial's that had one of its cultivars, the oldest first, as they were known at a moment.
func EarlierSeasons(ctx context.Context, store Store, trial *crop.Trial, asOf time.Time) ([]*crop.Trial, error) {
	catalogue, err := store.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	begun, ok := beginning(&trial.Season, trial.Plants)
	if !ok {
		return nil, nil
	}
	type candidate struct {
		id    crop.ID
		begun crop.Date
	}
	var before []candidate
	for i := range catalogue.Seasons {
		season := &catalogue.Seasons[i]
		if season.ID == trial.Season.ID {
			continue
		}
		plants, err := plantsOfCultivars(ctx, store, season.ID, trial.Cultivars)
		if err != nil {
			return nil, err
		}
		if first, ok := beginning(season, plants); ok && len(plants) > 0 && first.Before(begun) {
			before = append(before, candidate{season.ID, first})
		}
	}
	slices.SortStableFunc(before, func(a, b candidate) int { return cmp.Or(a.begun.Compare(b.begun), a.id.Compare(b.id)) })
	var all []*crop.Trial
	for _, c := range before[max(0, len(before)-mostEarlier):] {
		t, err := store.LoadSeason(ctx, c.id, true)
		if err != nil {
			return nil, err
		}
		all = append(all, t.AsOf(asOf))
	}
	return all, nil
}

// plantsOfCultivars lists the first plants that a season has of each of some cultivars.
func plantsOfCultivars(ctx context.Context, store Store, season crop.ID, cultivars []crop.Cultivar) ([]crop.Plant, error) {
	var plants []crop.Plant
	for i := range cultivars {
		page, err := store.List(ctx, crop.Plants, crop.Filter{SeasonID: &season, CultivarID: &cultivars[i].ID})
		if err != nil {
			return nil, err
		}
		for _, stored := range page.Items {
			plants = append(plants, *stored.Record.(*crop.Plant))
		}
	}
	return plants, nil
}

// beginning is a season's first day or, where it has none, that of the first of some of its plants.
func beginning(season *crop.Season, plants []crop.Plant) (first crop.Date, ok bool) {
	if season.FirstDay != nil {
		return *season.FirstDay, true
	}
	for i := range plants {
		if since := plants[i].Since(); since != nil && (!ok || since.Before(first)) {
			first, ok = *since, true
		}
	}
	return first, ok
}

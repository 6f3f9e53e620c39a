package api

import (
	"slices"
	"time"

	"vinetally/analytics/crop"
)

// current are the seasons that are under way at a moment, by the clock of the places if they share a zone, the newest first. A season
// without a last day is under way from its first day on.
func current(c *crop.Catalogue, now time.Time) []crop.Season {
	today := crop.DateOf(now.In((&crop.Trial{Places: c.Places}).Zone()))
	var all []crop.Season
	for _, season := range slices.SortedStableFunc(slices.Values(c.Seasons), newestFirst) {
		begun := season.FirstDay == nil || !season.FirstDay.After(today)
		if over := season.LastDay != nil && season.LastDay.Before(today); begun && !over {
			all = append(all, season)
		}
	}
	return all
}

// asked is the season that a query names, by its name or its id, or else the newest one under way at a moment; nil if there is none.
func (s *server) asked(q *query, c *crop.Catalogue, at time.Time) (*crop.Season, error) {
	name, given := q.get("season")
	if !given {
		if under := current(c, at); len(under) > 0 {
			return &under[0], nil
		}
		return nil, nil
	}
	for i := range c.Seasons {
		if x := &c.Seasons[i]; x.Name == name || x.ID.String() == name {
			return x, nil
		}
	}
	return nil, crop.Errorf(crop.NotFound, "there is no season of the name or id %.60q; /v1/seasons lists them", name)
}

package crop_test

import (
	"time"

	"vinetally/analytics/crop"
)

// known is a small site: one season, places in Lisbon and Auckland, a default cultivar and one of orange fruit, a plant
// sown on 2026-01-10 and moved to Auckland on 2026-03-01, and one of another season.
type known struct {
	seasons   map[crop.ID]*crop.Season
	places    map[crop.ID]*crop.Place
	scales    map[crop.ID]*crop.Scale
	cultivars map[crop.ID]*crop.Cultivar
	plants    map[crop.ID]*crop.Plant
}

func (k *known) Season(id crop.ID) (*crop.Season, bool)     { r, ok := k.seasons[id]; return r, ok }
func (k *known) Place(id crop.ID) (*crop.Place, bool)       { r, ok := k.places[id]; return r, ok }
func (k *known) Scale(id crop.ID) (*crop.Scale, bool)       { r, ok := k.scales[id]; return r, ok }
func (k *known) Cultivar(id crop.ID) (*crop.Cultivar, bool) { r, ok := k.cultivars[id]; return r, ok }
func (k *known) Plant(id crop.ID) (*crop.Plant, bool)       { r, ok := k.plants[id]; return r, ok }

var (
	season, otherSeason = crop.ID{1, 1}, crop.ID{1, 2}
	lisbon, auckland    = crop.ID{2, 1}, crop.ID{2, 2}
	orangeScale         = crop.ID{3, 1}
	plain, orange       = crop.ID{4, 1}, crop.ID{4, 2}
	a1, a2, elsewhere   = crop.ID{5, 1}, crop.ID{5, 2}, crop.ID{5, 3}
	nobody, fresh       = crop.ID{9, 9}, crop.ID{8, 8}
)

func site(t failer) *known {
	t.Helper()
	fourStages, sown := crop.DefaultScale(), day(t, "2026-01-10")
	return &known{
		seasons: map[crop.ID]*crop.Season{season: {ID: season, Name: "2026"}, otherSeason: {ID: otherSeason, Name: "2025"}},
		places: map[crop.ID]*crop.Place{
			lisbon:   {ID: lisbon, Name: "balcony", TimeZone: "Europe/Lisbon"},
			auckland: {ID: auckland, Name: "bench", TimeZone: "Pacific/Auckland"},
		},
		scales: map[crop.ID]*crop.Scale{
			crop.DefaultScaleID: &fourStages,
			orangeScale:         {ID: orangeScale, Name: "orange", RipeStage: "orange", Stages: []crop.Stage{{Name: "green"}, {Name: "orange"}}},
		},
		cultivars: map[crop.ID]*crop.Cultivar{plain: {ID: plain, Name: "plain"}, orange: {ID: orange, Name: "orange", ScaleID: &orangeScale}},
		plants: map[crop.ID]*crop.Plant{
			a1: {
				ID: a1, SeasonID: season, PlaceID: lisbon, CultivarID: plain, Label: "A1", SownOn: &sown,
				Moves: []crop.Move{{PlaceID: auckland, On: day(t, "2026-03-01")}},
			},
			a2:        {ID: a2, SeasonID: season, PlaceID: lisbon, CultivarID: orange, Label: "A2", SownOn: &sown},
			elsewhere: {ID: elsewhere, SeasonID: otherSeason, PlaceID: lisbon, CultivarID: plain, Label: "Z9", SownOn: &sown},
		},
	}
}

var now = time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)

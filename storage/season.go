package storage

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// Selection says what else to load.
type Selection struct {
	// Temperatures loads the readings of the season's places, from a day before its first day or sowing to a day after its
	// last record or last day, whichever is later.
	Temperatures bool
}

// LoadSeason returns a season with all that was recorded of it, from one state of the database and by a number of queries
// that doesn't depend on how much there is.
func (s *Site) LoadSeason(ctx context.Context, season crop.ID, with Selection) (*crop.Trial, error) {
	var t *crop.Trial
	err := s.read(ctx, func(tx *gorm.DB) (err error) {
		t, err = s.loadTrial(ctx, tx, season, nil, with)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("load season: %w", err)
	}
	return t, nil
}

// LoadPlant returns the season of a plant with the events of that plant alone: its counts, pickings, losses and diary. All
// plants are there as rows. Beside the plant's own it has what may concern it too: the season's pickings and losses of
// units, the pickings weighed together with one of its own, and the diary entries of no plant.
func (s *Site) LoadPlant(ctx context.Context, plant crop.ID, with Selection) (*crop.Trial, error) {
	var t *crop.Trial
	err := s.read(ctx, func(tx *gorm.DB) error {
		var found []plantRow
		if err := tx.WithContext(ctx).Where("site_id = ? AND id = ?", s.id, key(plant)).Find(&found).Error; err != nil {
			return err
		}
		if len(found) == 0 {
			return notFound(tables[crop.Plants], plant)
		}
		var err error
		t, err = s.loadTrial(ctx, tx, crop.ID(found[0].SeasonID), &plant, with)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("load plant: %w", err)
	}
	return t, nil
}

func (s *Site) loadTrial(ctx context.Context, tx *gorm.DB, season crop.ID, plant *crop.ID, with Selection) (*crop.Trial, error) {
	change, err := s.change(ctx, tx)
	if err != nil {
		return nil, err
	}
	l := &loader{ctx: ctx, q: tx.Statement.ConnPool, site: s.id, season: season, plant: plant, trial: &crop.Trial{Change: change}}
	if err := inTurn(l.seasonItself, l.plants); err != nil {
		return nil, err
	}
	if err := s.events(l); err != nil {
		return nil, err
	}
	if err := inTurn(l.germination, l.cultivars, l.scales, l.places); err != nil {
		return nil, err
	}
	if with.Temperatures {
		if err := l.temperatures(); err != nil {
			return nil, err
		}
	}
	l.trial.Arrange()
	return l.trial, nil
}

func inTurn(steps ...func() error) error {
	for _, step := range steps {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// events reads what was recorded of the plants, which is most of a season: of all of them over two connections if there is
// a second one to be had.
func (s *Site) events(l *loader) error {
	if l.plant != nil {
		return inTurn(l.visits, l.pickings, l.losses, l.diary)
	}
	second, done := s.second(l.ctx, l.trial.Change)
	defer done()
	on := func(step func(*loader) error) func(gorm.ConnPool) error {
		return func(q gorm.ConnPool) error {
			own := *l
			own.q = q
			return step(&own)
		}
	}
	packs, known := s.db.kept.get(l.season, l.trial.Change)
	var visits [len(shares)][]crop.Visit
	var tasks []func(gorm.ConnPool) error
	for i := range shares {
		tasks = append(tasks, on(func(l *loader) (err error) {
			visits[i], err = l.visitsOfShare(i, &packs)
			return err
		}))
	}
	tasks = append(tasks, on((*loader).pickings), on((*loader).losses), on((*loader).diary))
	if err := share(l.q, second, tasks); err != nil {
		return err
	}
	if !known {
		s.db.kept.put(l.season, l.trial.Change, packs)
	}
	l.trial.Visits = inTime(visits[:])
	return nil
}

// loader fills a trial, by one query for each list.
type loader struct {
	ctx    context.Context
	q      gorm.ConnPool
	site   int64
	season crop.ID
	plant  *crop.ID // nil for all
	trial  *crop.Trial
}

// The queries of a season take the site and the season as ?1 and ?2, and the plant, if there is one, as ?3.
const (
	plantsOfSeason = `SELECT id FROM plants WHERE site_id = ?1 AND season_id = ?2`
	unitOfSeason   = `e.site_id = ?1 AND e.season_id = ?2`
)

func (l *loader) args() []any {
	args := []any{l.site, key(l.season)}
	if l.plant != nil {
		args = append(args, key(*l.plant))
	}
	return args
}

// loadRows reads the rows of a table, which the rest of the query may call e.
func loadRows[R any](l *loader, kind crop.Kind, rest string, args ...any) ([]R, error) {
	t := tables[kind]
	return scanRows[R](l.ctx, l.q, t.layout, "SELECT "+t.selected("e.")+" FROM "+rest, args...)
}

// ofPlants selects a table's rows of the season's plants, or of the one plant. CROSS JOIN keeps the order of the join:
// from each plant into the table's index by plant.
func (l *loader) ofPlants(table string) string {
	if l.plant != nil {
		return table + ` AS e WHERE e.site_id = ?1 AND e.plant_id = ?3`
	}
	return `plants AS p CROSS JOIN ` + table + ` AS e ON e.site_id = p.site_id AND e.plant_id = p.id
		WHERE p.site_id = ?1 AND p.season_id = ?2`
}

func (l *loader) seasonItself() error {
	rows, err := loadRows[seasonRow](l, crop.Seasons, `seasons AS e WHERE e.site_id = ?1 AND e.id = ?2`, l.site, key(l.season))
	if err != nil {
		return err
	}
	if len(rows) == 0 {
		return notFound(tables[crop.Seasons], l.season)
	}
	l.trial.Season = rows[0].season()
	return nil
}

func (l *loader) plants() error {
	rows, err := loadRows[plantRow](l, crop.Plants, `plants AS e WHERE e.site_id = ?1 AND e.season_id = ?2`, l.site, key(l.season))
	if err != nil {
		return err
	}
	l.trial.Plants = each(rows, (*plantRow).plant)
	moves, err := scanRows[moveRow](l.ctx, l.q, moveLayout, `SELECT `+moveLayout.selected("m.")+` FROM plants AS p
		CROSS JOIN plant_moves AS m ON m.site_id = p.site_id AND m.plant_id = p.id
		WHERE p.site_id = ?1 AND p.season_id = ?2 ORDER BY m.plant_id, m.moved_on`, l.site, key(l.season))
	if err != nil {
		return err
	}
	at := make(map[crop.ID]int, len(l.trial.Plants))
	for i := range l.trial.Plants {
		at[l.trial.Plants[i].ID] = i
	}
	for i := range moves {
		p := &l.trial.Plants[at[crop.ID(moves[i].PlantID)]]
		p.Moves = append(p.Moves, moves[i].move())
	}
	return nil
}

func (l *loader) pickings() error {
	own, columns := l.ofPlants("pickings"), tables[crop.Pickings].selected("e.")
	query := own + ` UNION ALL SELECT ` + columns + ` FROM pickings AS e WHERE ` + unitOfSeason
	if l.plant != nil {
		query += ` UNION ALL SELECT ` + columns + ` FROM plants AS p CROSS JOIN pickings AS e ON e.site_id = p.site_id AND e.plant_id = p.id
			WHERE p.site_id = ?1 AND p.season_id = ?2 AND p.id <> ?3 AND e.weighing IN
			(SELECT weighing FROM pickings WHERE site_id = ?1 AND plant_id = ?3 AND weighing <> '')`
	}
	rows, err := loadRows[pickingRow](l, crop.Pickings, query, l.args()...)
	l.trial.Pickings = each(rows, (*pickingRow).picking)
	return err
}

func (l *loader) losses() error {
	rows, err := loadRows[lossRow](l, crop.Losses, l.ofPlants("losses")+` UNION ALL SELECT `+
		tables[crop.Losses].selected("e.")+` FROM losses AS e WHERE `+unitOfSeason, l.args()...)
	l.trial.Losses = each(rows, (*lossRow).loss)
	return err
}

func (l *loader) diary() error {
	query := `diary AS e WHERE e.site_id = ?1 AND e.season_id = ?2`
	if l.plant != nil {
		query += ` AND (e.plant_id IS NULL OR e.plant_id = ?3)`
	}
	rows, err := loadRows[diaryRow](l, crop.Diary, query, l.args()...)
	l.trial.Diary = each(rows, (*diaryRow).entry)
	return err
}

func (l *loader) germination() error {
	rows, err := loadRows[germinationRow](l, crop.Germinations, `germination AS e WHERE e.site_id = ?1 AND e.season_id = ?2
		ORDER BY e.counted_on, e.id`, l.site, key(l.season))
	l.trial.Germination = each(rows, (*germinationRow).germination)
	return err
}

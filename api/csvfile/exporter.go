package csvfile

import (
	"context"
	"fmt"
	"slices"
	"time"

	"vinetally/analytics/crop"
)

// Exported says what an export wrote.
type Exported struct {
	Dir   string
	Files []FileRows
}

// FileRows is how many rows, beside the header, a file has.
type FileRows struct {
	File string
	Rows int
}

// maxAttempts is how often an export starts anew because somebody changed the site.
const maxAttempts = 3

// The earliest and latest time that a record can have.
var (
	earliest = time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC)
	latest   = time.Date(3000, 1, 1, 0, 0, 0, 0, time.UTC)
)

// Export writes all files into dir, which is made if it is missing and must be empty if it isn't. Files without records
// have a header alone. Rows stand by key and then by id, times have the offset of the place, and importing the files into
// an empty database and exporting that gives the same bytes.
//
// A reader never sees a half-written file: the files are written aside and moved into place when all are complete. If
// somebody changes the site meanwhile, the export starts anew, three times at most; after that the error is crop.Stale.
func Export(ctx context.Context, store Reader, dir string) (Exported, error) {
	target, err := newTarget(dir)
	if err != nil {
		return Exported{}, err
	}
	defer target.discard()
	var extra []string
	for attempt := 1; ; {
		e := &exporter{ctx: ctx, store: store, extraStages: extra}
		if err := e.run(target.work); err != nil {
			if crop.CodeOf(err) == crop.Stale && attempt < maxAttempts {
				attempt++
				continue
			}
			return Exported{}, err
		}
		if len(e.foundStages) > 0 { // counts of stages that no scale in use has any more: give them columns too
			extra = append(extra, e.foundStages...)
			continue
		}
		if err := target.publish(); err != nil {
			return Exported{}, err
		}
		return Exported{Dir: dir, Files: e.sheets.rows()}, nil
	}
}

// exporter is one attempt of an export.
type exporter struct {
	ctx         context.Context
	store       Reader
	registry    *registry
	sheets      *sheets
	extraStages []string
	foundStages []string
	stages      map[string]bool // that have a column
}

func (e *exporter) run(dir string) error {
	catalogue, err := e.store.Catalogue(e.ctx)
	if err != nil {
		return fmt.Errorf("read what is stored: %w", err)
	}
	e.registry = newRegistry(catalogue)
	stages := append(stageNames(scalesInUse(e.registry)), e.extraStages...)
	e.stages = map[string]bool{}
	for _, stage := range stages {
		e.stages[stage] = true
	}
	if e.sheets, err = openSheets(dir, e.registry, stages); err != nil {
		return err
	}
	defer e.sheets.abandon()
	e.writeCatalogue(catalogue)
	for _, s := range ordered(catalogue.Seasons, func(a, b *crop.Season) int { return byNameID(a.Name, b.Name, a.ID, b.ID) }) {
		trial, err := e.store.Season(e.ctx, s.ID)
		if err != nil {
			return gone(fmt.Errorf("read season %q: %w", s.Name, err))
		}
		if trial.Change != catalogue.Change {
			return errChanged
		}
		e.writeTrial(trial)
	}
	for _, p := range ordered(catalogue.Places, func(a, b *crop.Place) int { return byNameID(a.Name, b.Name, a.ID, b.ID) }) {
		readings, err := e.store.Temperatures(e.ctx, p.ID, earliest, latest)
		if err != nil {
			return gone(fmt.Errorf("read temperatures of %q: %w", p.Name, err))
		}
		for _, r := range ordered(readings, compareTemperatures) {
			e.sheets.temperatures.write(r.ID, r)
		}
	}
	again, err := e.store.Catalogue(e.ctx)
	if err != nil {
		return fmt.Errorf("read what is stored: %w", err)
	}
	if again.Change != catalogue.Change {
		return errChanged
	}
	return e.sheets.close()
}

// scalesInUse returns the scales that cultivars have, and the default one where there is no cultivar.
func scalesInUse(g *registry) []*crop.Scale {
	used := map[crop.ID]*crop.Scale{}
	for _, v := range g.cultivars {
		if s := g.scales[v.Scale()]; s != nil {
			used[s.ID] = s
		}
	}
	if len(used) == 0 {
		used[crop.DefaultScaleID] = new(crop.DefaultScale())
	}
	return orderedScales(used)
}

func (e *exporter) writeCatalogue(catalogue *crop.Catalogue) {
	for _, s := range ordered(catalogue.Seasons, func(a, b *crop.Season) int { return byNameID(a.Name, b.Name, a.ID, b.ID) }) {
		e.sheets.seasons.write(s.ID, s)
	}
	for _, p := range ordered(catalogue.Places, func(a, b *crop.Place) int { return byNameID(a.Name, b.Name, a.ID, b.ID) }) {
		e.sheets.places.write(p.ID, p)
	}
	for _, s := range ordered(catalogue.Scales, func(a, b *crop.Scale) int { return byNameID(a.Name, b.Name, a.ID, b.ID) }) {
		for _, row := range rowsOf(s) {
			e.sheets.scales.write(row.id, &row)
		}
	}
	for _, v := range ordered(catalogue.Cultivars, func(a, b *crop.Cultivar) int { return byNameID(a.Name, b.Name, a.ID, b.ID) }) {
		e.sheets.cultivars.write(v.ID, v)
	}
}

// writeTrial writes the records of one season.
func (e *exporter) writeTrial(t *crop.Trial) {
	clear(e.registry.plants)
	plants := ordered(t.Plants, func(a, b *crop.Plant) int { return byNameID(a.Label, b.Label, a.ID, b.ID) })
	rank := make(ranks, len(plants))
	for i, p := range plants {
		e.registry.plants[p.ID] = p
		rank[p.ID] = i
	}
	for _, p := range plants {
		e.sheets.plants.write(p.ID, &plantRow{Plant: *p})
		moves := slices.Clone(p.Moves)
		slices.SortStableFunc(moves, func(a, b crop.Move) int { return a.On.Compare(b.On) })
		for _, m := range moves {
			e.sheets.moves.write(p.ID, &moveRow{plant: p.ID, place: m.PlaceID, on: &m.On})
		}
	}
	for _, v := range ordered(t.Visits, rank.compareVisits) {
		e.noticeStages(v)
		e.sheets.counts.write(v.ID, v)
	}
	for _, p := range ordered(t.Pickings, func(a, b *crop.Picking) int { return rank.comparePickings(e.registry, a, b) }) {
		e.sheets.pickings.write(p.ID, p)
	}
	for _, l := range ordered(t.Losses, func(a, b *crop.Loss) int { return rank.compareLosses(e.registry, a, b) }) {
		e.sheets.losses.write(l.ID, l)
	}
	for _, d := range ordered(t.Diary, rank.compareEntries) {
		e.sheets.diary.write(d.ID, d)
	}
	for _, g := range ordered(t.Germination, func(a, b *crop.Germination) int { return compareGermination(e.registry, a, b) }) {
		e.sheets.germination.write(g.ID, g)
	}
}

func (e *exporter) noticeStages(v *crop.Visit) {
	for stage := range v.Counts {
		if !e.stages[stage] {
			e.stages[stage] = true
			e.foundStages = append(e.foundStages, stage)
			slices.Sort(e.foundStages)
		}
	}
}

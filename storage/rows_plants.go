package storage

import "vinetally/analytics/crop"

// plantRow is a plant without its moves, which stand in a table of their own.
type plantRow struct {
	RowBase        rowBase `gorm:"embedded"`
	SeasonID       key
	PlaceID        key
	CultivarID     key
	Label          string
	SownOn         *day
	TransplantedOn *day
	RemovedOn      *day
	OriginID       *key
	Lot            string
	Note           string
	moves          []crop.Move // for the digest, which is over them too
}

func (plantRow) TableName() string { return "plants" }
func (r *plantRow) base() *rowBase { return &r.RowBase }

func (r *plantRow) encode(d *digester) {
	d.key(r.SeasonID)
	d.key(r.PlaceID)
	d.key(r.CultivarID)
	d.text(r.Label)
	d.optionalDay(r.SownOn)
	d.optionalDay(r.TransplantedOn)
	d.optionalDay(r.RemovedOn)
	d.optionalKey(r.OriginID)
	d.text(r.Lot)
	d.text(r.Note)
	d.integer(int64(len(r.moves)))
	for _, m := range r.moves {
		d.day(day(m.On))
		d.key(key(m.PlaceID))
	}
}

func (r *plantRow) plant() crop.Plant {
	return crop.Plant{
		ID: r.RowBase.id(), SeasonID: crop.ID(r.SeasonID), PlaceID: crop.ID(r.PlaceID), CultivarID: crop.ID(r.CultivarID),
		Label: r.Label, SownOn: r.SownOn.optional(), TransplantedOn: r.TransplantedOn.optional(),
		RemovedOn: r.RemovedOn.optional(), OriginID: r.OriginID.optional(), Lot: r.Lot, Moves: []crop.Move{}, Note: r.Note,
	}
}

func (r *plantRow) record() (crop.Record, error) { return new(r.plant()), nil }

func newPlantRow(p *crop.Plant) plantRow {
	return plantRow{
		SeasonID: key(p.SeasonID), PlaceID: key(p.PlaceID), CultivarID: key(p.CultivarID), Label: p.Label,
		SownOn: dayOf(p.SownOn), TransplantedOn: dayOf(p.TransplantedOn), RemovedOn: dayOf(p.RemovedOn),
		OriginID: keyOf(p.OriginID), Lot: p.Lot, Note: p.Note, moves: p.Moves,
	}
}

type moveRow struct {
	SiteID  int64
	PlantID key
	MovedOn day
	PlaceID key
}

func (moveRow) TableName() string { return "plant_moves" }

func (r *moveRow) move() crop.Move {
	return crop.Move{PlaceID: crop.ID(r.PlaceID), On: crop.Date(r.MovedOn)}
}

func moveRows(site int64, p *crop.Plant) []moveRow {
	rows := make([]moveRow, len(p.Moves))
	for i, m := range p.Moves {
		rows[i] = moveRow{SiteID: site, PlantID: key(p.ID), MovedOn: day(m.On), PlaceID: key(m.PlaceID)}
	}
	return rows
}

type germinationRow struct {
	RowBase    rowBase `gorm:"embedded"`
	SeasonID   key
	CultivarID key
	Lot        string
	SownOn     day
	Seeds      int
	CountedOn  day
	Emerged    int
}

func (germinationRow) TableName() string { return "germination" }
func (r *germinationRow) base() *rowBase { return &r.RowBase }

func (r *germinationRow) encode(d *digester) {
	d.key(r.SeasonID)
	d.key(r.CultivarID)
	d.text(r.Lot)
	d.day(r.SownOn)
	d.integer(int64(r.Seeds))
	d.day(r.CountedOn)
	d.integer(int64(r.Emerged))
}

func (r *germinationRow) germination() crop.Germination {
	return crop.Germination{
		ID: r.RowBase.id(), SeasonID: crop.ID(r.SeasonID), CultivarID: crop.ID(r.CultivarID), Lot: r.Lot,
		SownOn: new(crop.Date(r.SownOn)), Seeds: new(r.Seeds), CountedOn: new(crop.Date(r.CountedOn)), Emerged: new(r.Emerged),
	}
}

func (r *germinationRow) record() (crop.Record, error) { return new(r.germination()), nil }

func newGerminationRow(g *crop.Germination) germinationRow {
	return germinationRow{
		SeasonID: key(g.SeasonID), CultivarID: key(g.CultivarID), Lot: g.Lot, SownOn: day(*g.SownOn), Seeds: *g.Seeds,
		CountedOn: day(*g.CountedOn), Emerged: *g.Emerged,
	}
}

package storage

import (
	"encoding/json"

	"vinetally/analytics/crop"
)

type visitRow struct {
	RowBase        rowBase `gorm:"embedded"`
	PlantID        key
	CountedAt      millis
	CountedDay     *day
	Counts         string
	Total          *int
	TrussesCounted *int
	TrussesTotal   *int
	Truss          *int
	AtLeast        bool
	About          bool
	Observer       string
	Note           string
}

func (visitRow) TableName() string { return "visits" }
func (r *visitRow) base() *rowBase { return &r.RowBase }

func (r *visitRow) encode(d *digester) {
	d.key(r.PlantID)
	d.integer(int64(r.CountedAt))
	d.optionalDay(r.CountedDay)
	d.text(r.Counts)
	d.optionalInteger(r.Total)
	d.optionalInteger(r.TrussesCounted)
	d.optionalInteger(r.TrussesTotal)
	d.optionalInteger(r.Truss)
	d.boolean(r.AtLeast)
	d.boolean(r.About)
	d.text(r.Observer)
	d.text(r.Note)
}

func (r *visitRow) visit() (crop.Visit, error) {
	v := crop.Visit{
		ID: r.RowBase.id(), PlantID: crop.ID(r.PlantID), CountedAt: momentOf(r.CountedAt, r.CountedDay), Total: r.Total,
		TrussesCounted: r.TrussesCounted, TrussesTotal: r.TrussesTotal, Truss: r.Truss, AtLeast: r.AtLeast, About: r.About,
		Observer: r.Observer, Note: r.Note,
	}
	err := json.Unmarshal([]byte(r.Counts), &v.Counts)
	return v, err
}

func (r *visitRow) record() (crop.Record, error) {
	v, err := r.visit()
	return &v, err
}

func newVisitRow(v *crop.Visit) (visitRow, error) {
	r := visitRow{
		PlantID: key(v.PlantID), Total: v.Total, TrussesCounted: v.TrussesCounted, TrussesTotal: v.TrussesTotal, Truss: v.Truss,
		AtLeast: v.AtLeast, About: v.About, Observer: v.Observer, Note: v.Note,
	}
	r.CountedAt, r.CountedDay = momentColumns(v.CountedAt)
	counts, err := json.Marshal(v.Counts)
	r.Counts = string(counts)
	return r, err
}

// unitColumns say which unit a picking or loss came from where the plant isn't known.
type unitColumns struct {
	SeasonID   *key
	PlaceID    *key
	CultivarID *key
}

func newUnitColumns(u crop.Unit) unitColumns {
	return unitColumns{keyOf(u.SeasonID), keyOf(u.PlaceID), keyOf(u.CultivarID)}
}

func (u unitColumns) encode(d *digester) {
	d.optionalKey(u.SeasonID)
	d.optionalKey(u.PlaceID)
	d.optionalKey(u.CultivarID)
}

func (u unitColumns) unit() crop.Unit {
	return crop.Unit{SeasonID: u.SeasonID.optional(), PlaceID: u.PlaceID.optional(), CultivarID: u.CultivarID.optional()}
}

type pickingRow struct {
	RowBase     rowBase `gorm:"embedded"`
	PlantID     *key
	Unit        unitColumns `gorm:"embedded"`
	PickedAt    millis
	PickedDay   *day
	Stage       string
	Fruits      *int
	MassG       *float64
	Weighing    string
	Grade       string
	Brix        *float64
	Taste       *int
	BeforeCount bool
	Note        string
}

func (pickingRow) TableName() string { return "pickings" }
func (r *pickingRow) base() *rowBase { return &r.RowBase }

func (r *pickingRow) encode(d *digester) {
	d.optionalKey(r.PlantID)
	r.Unit.encode(d)
	d.integer(int64(r.PickedAt))
	d.optionalDay(r.PickedDay)
	d.text(r.Stage)
	d.optionalInteger(r.Fruits)
	d.optionalReal(r.MassG)
	d.text(r.Weighing)
	d.text(r.Grade)
	d.optionalReal(r.Brix)
	d.optionalInteger(r.Taste)
	d.boolean(r.BeforeCount)
	d.text(r.Note)
}

func (r *pickingRow) picking() crop.Picking {
	return crop.Picking{
		ID: r.RowBase.id(), PlantID: r.PlantID.optional(), Unit: r.Unit.unit(), PickedAt: momentOf(r.PickedAt, r.PickedDay),
		Stage: r.Stage, Fruits: r.Fruits, MassG: r.MassG, Weighing: r.Weighing, Grade: crop.Grade(r.Grade), Brix: r.Brix,
		Taste: r.Taste, BeforeCount: r.BeforeCount, Note: r.Note,
	}
}

func (r *pickingRow) record() (crop.Record, error) { return new(r.picking()), nil }

func newPickingRow(p *crop.Picking) pickingRow {
	r := pickingRow{
		PlantID: keyOf(p.PlantID), Unit: newUnitColumns(p.Unit), Stage: p.Stage, Fruits: p.Fruits, MassG: p.MassG,
		Weighing: p.Weighing, Grade: string(p.Grade), Brix: p.Brix, Taste: p.Taste, BeforeCount: p.BeforeCount, Note: p.Note,
	}
	r.PickedAt, r.PickedDay = momentColumns(p.PickedAt)
	return r
}

type lossRow struct {
	RowBase     rowBase `gorm:"embedded"`
	PlantID     *key
	Unit        unitColumns `gorm:"embedded"`
	LostAt      millis
	LostDay     *day
	Stage       string
	Fruits      int
	Cause       string
	BeforeCount bool
	Note        string
}

func (lossRow) TableName() string { return "losses" }
func (r *lossRow) base() *rowBase { return &r.RowBase }

func (r *lossRow) encode(d *digester) {
	d.optionalKey(r.PlantID)
	r.Unit.encode(d)
	d.integer(int64(r.LostAt))
	d.optionalDay(r.LostDay)
	d.text(r.Stage)
	d.integer(int64(r.Fruits))
	d.text(r.Cause)
	d.boolean(r.BeforeCount)
	d.text(r.Note)
}

func (r *lossRow) loss() crop.Loss {
	return crop.Loss{
		ID: r.RowBase.id(), PlantID: r.PlantID.optional(), Unit: r.Unit.unit(), LostAt: momentOf(r.LostAt, r.LostDay),
		Stage: r.Stage, Fruits: new(r.Fruits), Cause: crop.Cause(r.Cause), BeforeCount: r.BeforeCount, Note: r.Note,
	}
}

func (r *lossRow) record() (crop.Record, error) { return new(r.loss()), nil }

func newLossRow(l *crop.Loss) lossRow {
	r := lossRow{
		PlantID: keyOf(l.PlantID), Unit: newUnitColumns(l.Unit), Stage: l.Stage, Fruits: *l.Fruits, Cause: string(l.Cause),
		BeforeCount: l.BeforeCount, Note: l.Note,
	}
	r.LostAt, r.LostDay = momentColumns(l.LostAt)
	return r
}

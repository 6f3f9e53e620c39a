package storage

import (
	"encoding/json"

	"vinetally/analytics/crop"
)

// row is one table row of a kind of record.
type row interface {
	// base returns the columns every kind has.
	base() *rowBase
	// record returns the record in the row, with its moments in UTC.
	record() (crop.Record, error)
	// encode gives a digest the columns that only this kind has, all of them, in their order.
	encode(d *digester)
}

// rowBase holds the columns every kind has.
type rowBase struct {
	SiteID     int64
	ID         key
	Version    int64
	RecordedAt millis
	Actor      string
	Digest     int64
}

func (b *rowBase) id() crop.ID { return crop.ID(b.ID) }

type seasonRow struct {
	RowBase  rowBase `gorm:"embedded"`
	Name     string
	FirstDay *day
	LastDay  *day
}

func (seasonRow) TableName() string { return "seasons" }
func (r *seasonRow) base() *rowBase { return &r.RowBase }

func (r *seasonRow) encode(d *digester) {
	d.text(r.Name)
	d.optionalDay(r.FirstDay)
	d.optionalDay(r.LastDay)
}

func (r *seasonRow) season() crop.Season {
	return crop.Season{ID: r.RowBase.id(), Name: r.Name, FirstDay: r.FirstDay.optional(), LastDay: r.LastDay.optional()}
}

func (r *seasonRow) record() (crop.Record, error) { return new(r.season()), nil }

func newSeasonRow(s *crop.Season) seasonRow {
	return seasonRow{Name: s.Name, FirstDay: dayOf(s.FirstDay), LastDay: dayOf(s.LastDay)}
}

type placeRow struct {
	RowBase  rowBase `gorm:"embedded"`
	Name     string
	TimeZone string
}

func (placeRow) TableName() string { return "places" }
func (r *placeRow) base() *rowBase { return &r.RowBase }

func (r *placeRow) encode(d *digester) {
	d.text(r.Name)
	d.text(r.TimeZone)
}

func (r *placeRow) place() crop.Place {
	return crop.Place{ID: r.RowBase.id(), Name: r.Name, TimeZone: r.TimeZone}
}

func (r *placeRow) record() (crop.Record, error) { return new(r.place()), nil }

func newPlaceRow(p *crop.Place) placeRow { return placeRow{Name: p.Name, TimeZone: p.TimeZone} }

type scaleRow struct {
	RowBase   rowBase `gorm:"embedded"`
	Name      string
	Stages    string
	RipeStage string
}

func (scaleRow) TableName() string { return "scales" }
func (r *scaleRow) base() *rowBase { return &r.RowBase }

func (r *scaleRow) encode(d *digester) {
	d.text(r.Name)
	d.text(r.Stages)
	d.text(r.RipeStage)
}

func (r *scaleRow) scale() (crop.Scale, error) {
	s := crop.Scale{ID: r.RowBase.id(), Name: r.Name, RipeStage: r.RipeStage}
	err := json.Unmarshal([]byte(r.Stages), &s.Stages)
	return s, err
}

func (r *scaleRow) record() (crop.Record, error) {
	s, err := r.scale()
	return &s, err
}

func newScaleRow(s *crop.Scale) (scaleRow, error) {
	stages, err := json.Marshal(s.Stages)
	return scaleRow{Name: s.Name, Stages: string(stages), RipeStage: s.RipeStage}, err
}

type cultivarRow struct {
	RowBase  rowBase `gorm:"embedded"`
	Name     string
	ScaleID  *key
	HoldDays *float64
	Note     string
}

func (cultivarRow) TableName() string { return "cultivars" }
func (r *cultivarRow) base() *rowBase { return &r.RowBase }

func (r *cultivarRow) encode(d *digester) {
	d.text(r.Name)
	d.optionalKey(r.ScaleID)
	d.optionalReal(r.HoldDays)
	d.text(r.Note)
}

func (r *cultivarRow) cultivar() crop.Cultivar {
	return crop.Cultivar{ID: r.RowBase.id(), Name: r.Name, ScaleID: r.ScaleID.optional(), HoldDays: r.HoldDays, Note: r.Note}
}

func (r *cultivarRow) record() (crop.Record, error) { return new(r.cultivar()), nil }

func newCultivarRow(v *crop.Cultivar) cultivarRow {
	return cultivarRow{Name: v.Name, ScaleID: keyOf(v.ScaleID), HoldDays: v.HoldDays, Note: v.Note}
}

package storage

import "vinetally/analytics/crop"

type diaryRow struct {
	RowBase       rowBase `gorm:"embedded"`
	SeasonID      key
	PlantID       *key
	NotedAt       millis
	NotedDay      *day
	Kind          string
	EcDsM         *float64
	Ph            *float64
	SolutionC     *float64
	PickNotBefore *day
	Note          string
}

func (diaryRow) TableName() string { return "diary" }
func (r *diaryRow) base() *rowBase { return &r.RowBase }

func (r *diaryRow) encode(d *digester) {
	d.key(r.SeasonID)
	d.optionalKey(r.PlantID)
	d.integer(int64(r.NotedAt))
	d.optionalDay(r.NotedDay)
	d.text(r.Kind)
	d.optionalReal(r.EcDsM)
	d.optionalReal(r.Ph)
	d.optionalReal(r.SolutionC)
	d.optionalDay(r.PickNotBefore)
	d.text(r.Note)
}

func (r *diaryRow) entry() crop.DiaryEntry {
	return crop.DiaryEntry{
		ID: r.RowBase.id(), SeasonID: crop.ID(r.SeasonID), PlantID: r.PlantID.optional(), NotedAt: momentOf(r.NotedAt, r.NotedDay),
		Kind: crop.DiaryKind(r.Kind), ECDsM: r.EcDsM, PH: r.Ph, SolutionC: r.SolutionC, PickNotBefore: r.PickNotBefore.optional(),
		Note: r.Note,
	}
}

func (r *diaryRow) record() (crop.Record, error) { return new(r.entry()), nil }

func newDiaryRow(d *crop.DiaryEntry) diaryRow {
	r := diaryRow{
		SeasonID: key(d.SeasonID), PlantID: keyOf(d.PlantID), Kind: string(d.Kind), EcDsM: d.ECDsM, Ph: d.PH,
		SolutionC: d.SolutionC, PickNotBefore: dayOf(d.PickNotBefore), Note: d.Note,
	}
	r.NotedAt, r.NotedDay = momentColumns(d.NotedAt)
	return r
}

type temperatureRow struct {
	RowBase    rowBase `gorm:"embedded"`
	PlaceID    key
	MeasuredAt millis
	AirC       float64
}

func (temperatureRow) TableName() string { return "temperatures" }
func (r *temperatureRow) base() *rowBase { return &r.RowBase }

func (r *temperatureRow) encode(d *digester) {
	d.key(r.PlaceID)
	d.integer(int64(r.MeasuredAt))
	d.real(r.AirC)
}

func (r *temperatureRow) temperature() crop.Temperature {
	return crop.Temperature{
		ID: r.RowBase.id(), PlaceID: crop.ID(r.PlaceID), MeasuredAt: r.MeasuredAt.time(), AirC: new(r.AirC),
	}
}

func (r *temperatureRow) record() (crop.Record, error) { return new(r.temperature()), nil }

func newTemperatureRow(t *crop.Temperature) temperatureRow {
	return temperatureRow{PlaceID: key(t.PlaceID), MeasuredAt: millisOf(t.MeasuredAt), AirC: *t.AirC}
}

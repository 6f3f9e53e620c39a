package storage

import "vinetally/analytics/crop"

// inserted is a row of the kinds that are written all the time, or by the hundred thousand. values appends what the columns hold, in their
// order and in the types that database/sql passes on as they are, which is several times as fast as asking each
// field by reflection.
type inserted interface {
	row
	values(to []any) []any
}

func (b *rowBase) values(to []any) []any {
	return append(to, b.SiteID, b.ID[:], b.Version, int64(b.RecordedAt), b.Actor, b.Digest)
}

func (r *visitRow) values(to []any) []any {
	return append(r.RowBase.values(to), r.PlantID[:], int64(r.CountedAt), r.CountedDay.value(), r.Counts, whole(r.Total),
		whole(r.TrussesCounted), whole(r.TrussesTotal), whole(r.Truss), r.AtLeast, r.About, r.Observer, r.Note)
}

func (u *unitColumns) values(to []any) []any {
	return append(to, u.SeasonID.value(), u.PlaceID.value(), u.CultivarID.value())
}

func (r *pickingRow) values(to []any) []any {
	to = r.Unit.values(append(r.RowBase.values(to), r.PlantID.value()))
	return append(to, int64(r.PickedAt), r.PickedDay.value(), r.Stage, whole(r.Fruits), number(r.MassG), r.Weighing, r.Grade,
		number(r.Brix), whole(r.Taste), r.BeforeCount, r.Note)
}

func (r *lossRow) values(to []any) []any {
	to = r.Unit.values(append(r.RowBase.values(to), r.PlantID.value()))
	return append(to, int64(r.LostAt), r.LostDay.value(), r.Stage, int64(r.Fruits), r.Cause, r.BeforeCount, r.Note)
}

func (r *diaryRow) values(to []any) []any {
	return append(r.RowBase.values(to), r.SeasonID[:], r.PlantID.value(), int64(r.NotedAt), r.NotedDay.value(), r.Kind,
		number(r.EcDsM), number(r.Ph), number(r.SolutionC), r.PickNotBefore.value(), r.Note)
}

func (r *temperatureRow) values(to []any) []any {
	return append(r.RowBase.values(to), r.PlaceID[:], int64(r.MeasuredAt), r.AirC)
}

func (r *germinationRow) values(to []any) []any {
	return append(r.RowBase.values(to), r.SeasonID[:], r.CultivarID[:], r.Lot, r.SownOn.value(), int64(r.Seeds),
		r.CountedOn.value(), int64(r.Emerged))
}

// The values of optional columns, nil where there is none.

func (k *key) value() any {
	if k == nil {
		return nil
	}
	return k[:]
}

func (d *day) value() any {
	if d == nil {
		return nil
	}
	return crop.Date(*d).String()
}

func whole(n *int) any {
	if n == nil {
		return nil
	}
	return int64(*n)
}

func number(x *float64) any {
	if x == nil {
		return nil
	}
	return *x
}

package csvfile

import (
	"cmp"
	"slices"

	"vinetally/analytics/crop"
)

// ordered returns pointers to rows in an order, and leaves rows as they are.
func ordered[T any](rows []T, compare func(a, b *T) int) []*T {
	sorted := make([]*T, len(rows))
	for i := range rows {
		sorted[i] = &rows[i]
	}
	slices.SortFunc(sorted, compare)
	return sorted
}

func byNameID(a, b string, idA, idB crop.ID) int {
	return cmp.Or(crop.NaturalCompare(a, b), idA.Compare(idB))
}

// ranks is the position of each plant of a season by label. Records of no plant come before those of the first.
type ranks map[crop.ID]int

func (r ranks) of(plant *crop.ID) int {
	if plant == nil {
		return -1
	}
	return r[*plant]
}

// compareMoments orders by instant, a day alone by the noon of its day, before an instant of the same time.
func compareMoments(a, b crop.Moment) int {
	if c := a.At.Compare(b.At); c != 0 {
		return c
	}
	if a.TimeKnown() != b.TimeKnown() {
		if b.TimeKnown() {
			return -1
		}
		return 1
	}
	return 0
}

func (r ranks) compareVisits(a, b *crop.Visit) int {
	if c := cmp.Compare(r[a.PlantID], r[b.PlantID]); c != 0 {
		return c
	}
	if c := compareMoments(a.CountedAt, b.CountedAt); c != 0 {
		return c
	}
	return cmp.Or(cmp.Compare(orNone(a.Truss), orNone(b.Truss)), a.ID.Compare(b.ID))
}

func (r ranks) comparePickings(n *registry, a, b *crop.Picking) int {
	return cmp.Or(r.compareSources(n, a.PlantID, b.PlantID, &a.Unit, &b.Unit), compareMoments(a.PickedAt, b.PickedAt),
		cmp.Compare(a.Stage, b.Stage), cmp.Compare(a.Grade, b.Grade), a.ID.Compare(b.ID))
}

func (r ranks) compareLosses(n *registry, a, b *crop.Loss) int {
	return cmp.Or(r.compareSources(n, a.PlantID, b.PlantID, &a.Unit, &b.Unit), compareMoments(a.LostAt, b.LostAt),
		cmp.Compare(a.Stage, b.Stage), cmp.Compare(a.Cause, b.Cause), a.ID.Compare(b.ID))
}

func (r ranks) compareSources(n *registry, plantA, plantB *crop.ID, a, b *crop.Unit) int {
	if c := cmp.Compare(r.of(plantA), r.of(plantB)); c != 0 || plantA != nil {
		return c
	}
	return cmp.Or(crop.NaturalCompare(n.placeName(a.PlaceID), n.placeName(b.PlaceID)),
		crop.NaturalCompare(n.cultivarName(a.CultivarID), n.cultivarName(b.CultivarID)))
}

func (r ranks) compareEntries(a, b *crop.DiaryEntry) int {
	return cmp.Or(cmp.Compare(r.of(a.PlantID), r.of(b.PlantID)), compareMoments(a.NotedAt, b.NotedAt),
		cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Note, b.Note), a.ID.Compare(b.ID))
}

func compareGermination(n *registry, a, b *crop.Germination) int {
	return cmp.Or(crop.NaturalCompare(n.cultivarName(&a.CultivarID), n.cultivarName(&b.CultivarID)),
		crop.NaturalCompare(a.Lot, b.Lot), a.CountedOn.Compare(*b.CountedOn), a.ID.Compare(b.ID))
}

func compareTemperatures(a, b *crop.Temperature) int {
	return cmp.Or(a.MeasuredAt.Compare(b.MeasuredAt), a.ID.Compare(b.ID))
}

func orNone(n *int) int {
	if n == nil {
		return -1
	}
	return *n
}

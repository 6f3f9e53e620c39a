package storage

import (
	"encoding/json"
	"maps"
	"slices"
	"time"

	"vinetally/analytics/crop"
)

// clone copies a record as deep as Check writes, so that the caller's record stays as it was.
func clone(r crop.Record) crop.Record {
	switch r := r.(type) {
	case *crop.Season:
		return new(*r)
	case *crop.Place:
		return new(*r)
	case *crop.Scale:
		s := *r
		s.Stages = slices.Clone(r.Stages)
		return &s
	case *crop.Cultivar:
		return new(*r)
	case *crop.Plant:
		p := *r
		p.Moves = slices.Clone(r.Moves)
		return &p
	case *crop.Visit:
		v := *r
		v.Counts = maps.Clone(r.Counts)
		return &v
	case *crop.Picking:
		return new(*r)
	case *crop.Loss:
		return new(*r)
	case *crop.DiaryEntry:
		return new(*r)
	case *crop.Temperature:
		return new(*r)
	case *crop.Germination:
		return new(*r)
	}
	return nil
}

// normal makes records that mean the same look the same: lists and counts are empty, never nil, and there is no
// negative zero. It changes r in place.
func normal(r crop.Record) crop.Record {
	switch r := r.(type) {
	case *crop.Scale:
		if r.Stages == nil {
			r.Stages = []crop.Stage{}
		}
	case *crop.Plant:
		if r.Moves == nil {
			r.Moves = []crop.Move{}
		}
	case *crop.Visit:
		if r.Counts == nil {
			r.Counts = map[string]int{}
		}
	case *crop.Picking:
		r.MassG, r.Brix = positiveZero(r.MassG), positiveZero(r.Brix)
	case *crop.DiaryEntry:
		r.ECDsM, r.PH, r.SolutionC = positiveZero(r.ECDsM), positiveZero(r.PH), positiveZero(r.SolutionC)
	case *crop.Temperature:
		r.AirC = positiveZero(r.AirC)
	}
	return r
}

func positiveZero(x *float64) *float64 {
	if x != nil && *x == 0 {
		return new(0.0)
	}
	return x
}

// canonical is the record as JSON with its times in UTC: two records are the same if and only if these bytes are. It is
// also what the history keeps. The record must have passed its check.
func canonical(r crop.Record) ([]byte, error) {
	r = clone(r)
	if m := crop.MomentOf(r); m != nil && m.TimeKnown() {
		*m = m.In(time.UTC)
	}
	if t, ok := r.(*crop.Temperature); ok {
		t.MeasuredAt = t.MeasuredAt.UTC()
	}
	return json.Marshal(normal(r))
}

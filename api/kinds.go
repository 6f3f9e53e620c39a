package api

import (
	"cmp"
	"reflect"
	"slices"
	"strings"

	"vinetally/analytics/crop"
)

// filtersOf lists the filters of a kind's list: those the record has itself or through its plant.
func filtersOf(kind crop.Kind) []string {
	switch kind {
	case crop.Plants:
		return []string{"season_id", "place_id", "cultivar_id"}
	case crop.Visits, crop.Pickings, crop.Losses, crop.Diary:
		return []string{"season_id", "place_id", "cultivar_id", "plant_id", "from", "to"}
	case crop.Temperatures:
		return []string{"place_id", "from", "to"}
	case crop.Germinations:
		return []string{"season_id", "cultivar_id", "from", "to"}
	}
	return nil
}

// momentField returns the JSON name of a record's moment, "" for kinds that have none.
func momentField(kind crop.Kind) string {
	switch kind {
	case crop.Visits:
		return "counted_at"
	case crop.Pickings:
		return "picked_at"
	case crop.Losses:
		return "lost_at"
	case crop.Diary:
		return "noted_at"
	}
	return ""
}

// sortedBy is the field that a kind's list is sorted by.
func sortedBy(kind crop.Kind) string {
	switch kind {
	case crop.Plants:
		return "label"
	case crop.Temperatures:
		return "measured_at"
	case crop.Germinations:
		return "counted_on"
	}
	return cmp.Or(momentField(kind), "name")
}

// fieldsOf lists the JSON names of a kind's fields, in the order of the contract.
func fieldsOf(kind crop.Kind) []string {
	var names []string
	for _, f := range reflect.VisibleFields(reflect.TypeOf(crop.New(kind)).Elem()) {
		if name, _, _ := strings.Cut(f.Tag.Get("json"), ","); name != "" {
			names = append(names, name)
		}
	}
	if at := momentField(kind); at != "" {
		names = slices.Insert(names, slices.Index(names, at)+1, "time_known")
	}
	return names
}

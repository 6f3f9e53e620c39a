package main

import (
	"context"
	"fmt"
	"io"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/storage"
)

// mostPlantsWarned is how many plants are looked at for pickings that can't be, and mostPickingWarnings how many of these are
// told; the ledgers have them all.
const (
	mostPlantsWarned    = 500
	mostPickingWarnings = 20
)

// warnOfPickings tells where more fruit was picked than stood, of plants that an import stored pickings or losses of. Records
// are evidence: they are stored whatever they contradict.
func warnOfPickings(ctx context.Context, site *storage.Site, plants []crop.ID, w io.Writer) error {
	told := 0
	for i, id := range plants {
		if i == mostPlantsWarned {
			fmt.Fprintf(w, "vinetally: pickings were held against counts for the first %d plants only; the reports have the others\n", mostPlantsWarned)
			return nil
		}
		t, err := site.LoadEvidence(ctx, id)
		if crop.CodeOf(err) == crop.NotFound {
			continue // somebody has deleted it by now
		}
		if err != nil {
			return fmt.Errorf("all was stored; to hold pickings against counts: %w", err)
		}
		for _, r := range t.ByPlant() {
			for _, c := range ledger.Of(r.UnitsOpen()).Contradictions {
				if c.Code != ledger.PickedMoreThanStood || c.WithinAllowance {
					continue
				}
				if told == mostPickingWarnings {
					fmt.Fprintf(w, "vinetally: there are more such pickings; the reports have them all\n")
					return nil
				}
				told++
				fmt.Fprintf(w, "vinetally: stored, but see plant %s: %s\n", r.Plant.Label, c.Detail)
			}
		}
	}
	return nil
}

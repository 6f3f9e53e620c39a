package testdata_test

import (
	"io/fs"
	"slices"
	"testing"

	"vinetally/testdata"
)

func TestDemoHoldsEveryFile(t *testing.T) {
	got, err := fs.Glob(testdata.Demo(), "*")
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"counts.csv", "cultivars.csv", "diary.csv", "germination.csv", "losses.csv", "moves.csv",
		"pickings.csv", "places.csv", "plants.csv", "scales.csv", "seasons.csv", "temperatures.csv"}
	if !slices.Equal(got, want) {
		t.Errorf("embedded files:\n got %v\nwant %v", got, want)
	}
}

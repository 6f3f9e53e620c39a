// Package opendata reads the published data sets that tests check against.
package opendata

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"testing"
)

// Rows reads a data set from the folder that the environment variable VINETALLY_OPEN_DATA names, as rows of column → cell. Without a folder the
// test is skipped.
func Rows(t *testing.T, name string) []map[string]string {
	t.Helper()
	dir := os.Getenv("VINETALLY_OPEN_DATA")
	if dir == "" {
		t.Skip("SKIPPED: VINETALLY_OPEN_DATA names no folder, so the published figures were not checked; the data sets are not part of the repository")
	}
	file, err := os.Open(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	all, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, record := range all[1:] {
		row := map[string]string{}
		for i, cell := range record {
			row[all[0][i]] = cell
		}
		rows = append(rows, row)
	}
	return rows
}

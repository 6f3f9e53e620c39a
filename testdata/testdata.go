// Package testdata carries the invented demo trial inside the program.
//
// The wildcard ./... skips folders named testdata, so whoever builds, vets or
// tests everything names these packages too:
//
//	go test ./... ./testdata ./testdata/demotrial/...
package testdata

import (
	"embed"
	"fmt"
	"io/fs"
)

//go:embed demo/*.csv
var embedded embed.FS

// Demo returns the CSV files of the invented demo trial, at the root of the
// file system: seasons.csv, plants.csv, counts.csv and so on. Package demotrial
// makes them.
func Demo() fs.FS {
	demo, err := fs.Sub(embedded, "demo")
	if err != nil { // only for a path that is not valid
		panic(fmt.Sprintf("testdata: demo: %v", err))
	}
	return demo
}

package csvfile

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"

	"vinetally/analytics/crop"
)

// sheet writes one file. The first error stays and comes out of close.
type sheet[T any] struct {
	table *table[T]
	names *registry
	file  *os.File
	csv   *csv.Writer
	cells []string
	count int
}

func openSheet[T any](dir string, t *table[T], names *registry) (*sheet[T], error) {
	file, err := os.Create(filepath.Join(dir, t.file))
	if err != nil {
		return nil, fmt.Errorf("write %s: %w", t.file, err)
	}
	s := &sheet[T]{table: t, names: names, file: file, csv: csv.NewWriter(file), cells: make([]string, len(t.columns)+1)}
	s.csv.UseCRLF = true
	s.cells[0] = "id"
	for i := range t.columns {
		s.cells[i+1] = guard(t.columns[i].name)
	}
	_ = s.csv.Write(s.cells) // kept by the writer, see finish
	return s, nil
}

func (s *sheet[T]) write(id crop.ID, r *T) {
	s.cells[0] = id.String()
	for i := range s.table.columns {
		col := &s.table.columns[i]
		text := col.write(s.names, r)
		if col.text {
			text = guard(text)
		}
		s.cells[i+1] = text
	}
	_ = s.csv.Write(s.cells)
	s.count++
}

func (s *sheet[T]) rows() FileRows { return FileRows{File: s.table.file, Rows: s.count} }

// finish completes the file.
func (s *sheet[T]) finish() error {
	s.csv.Flush()
	err := s.csv.Error()
	if closing := s.file.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return fmt.Errorf("write %s: %w", s.table.file, err)
	}
	return nil
}

func (s *sheet[T]) abandon() { _ = s.file.Close() }

// anySheet is a sheet whatever its records are.
type anySheet interface {
	rows() FileRows
	finish() error
	abandon()
}

// sheets are all files of one export.
type sheets struct {
	seasons      *sheet[crop.Season]
	places       *sheet[crop.Place]
	scales       *sheet[scaleRow]
	cultivars    *sheet[crop.Cultivar]
	plants       *sheet[plantRow]
	moves        *sheet[moveRow]
	counts       *sheet[crop.Visit]
	pickings     *sheet[crop.Picking]
	losses       *sheet[crop.Loss]
	temperatures *sheet[crop.Temperature]
	diary        *sheet[crop.DiaryEntry]
	germination  *sheet[crop.Germination]

	all []anySheet
}

func openSheets(dir string, names *registry, stages []string) (*sheets, error) {
	s := &sheets{}
	var err error
	open(&err, s, &s.seasons, dir, seasonTable, names)
	open(&err, s, &s.places, dir, placeTable, names)
	open(&err, s, &s.scales, dir, scaleTable, names)
	open(&err, s, &s.cultivars, dir, cultivarTable, names)
	open(&err, s, &s.plants, dir, plantTable, names)
	open(&err, s, &s.moves, dir, moveTable, names)
	open(&err, s, &s.counts, dir, countTable(stages), names)
	open(&err, s, &s.pickings, dir, pickingTable, names)
	open(&err, s, &s.losses, dir, lossTable, names)
	open(&err, s, &s.temperatures, dir, temperatureTable, names)
	open(&err, s, &s.diary, dir, diaryTable, names)
	open(&err, s, &s.germination, dir, germinationTable, names)
	if err != nil {
		s.abandon()
		return nil, err
	}
	return s, nil
}

func open[T any](err *error, all *sheets, into **sheet[T], dir string, t *table[T], names *registry) {
	if *err != nil {
		return
	}
	if *into, *err = openSheet(dir, t, names); *err == nil {
		all.all = append(all.all, *into)
	}
}

func (s *sheets) rows() []FileRows {
	var rows []FileRows
	for _, one := range s.all {
		rows = append(rows, one.rows())
	}
	return rows
}

func (s *sheets) close() error {
	for _, one := range s.all {
		if err := one.finish(); err != nil {
			return err
		}
	}
	return nil
}

// abandon closes what is still open; closing twice does no harm.
func (s *sheets) abandon() {
	for _, one := range s.all {
		one.abandon()
	}
}

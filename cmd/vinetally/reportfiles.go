package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"

	"vinetally/charts"
)

// writePage writes a page beside its final name and renames it, so that a report is never half-written.
func writePage(path string, page charts.Page) error {
	var b bytes.Buffer
	if err := charts.WriteFile(&b, page); err != nil {
		return fmt.Errorf("write the report: %w", err)
	}
	return writeWhole(path, b.Bytes())
}

// writeWhole writes a file beside its final name and renames it.
func writeWhole(path string, content []byte) (err error) {
	file, err := os.CreateTemp(filepath.Dir(path), ".vinetally-*"+filepath.Ext(path))
	if err != nil {
		return fmt.Errorf("write the report: %w; choose a folder that exists and can be written with -o", err)
	}
	defer func() {
		if err != nil {
			_ = os.Remove(file.Name())
		}
	}()
	if _, err := file.Write(content); err != nil {
		_ = file.Close()
		return fmt.Errorf("write the report: %w", err)
	}
	if err := file.Close(); err != nil {
		return fmt.Errorf("write the report: %w", err)
	}
	if err := os.Chmod(file.Name(), 0o644); err != nil {
		return fmt.Errorf("write the report: %w", err)
	}
	if err := os.Rename(file.Name(), path); err != nil {
		return fmt.Errorf("write the report: %w; name another file with -o", err)
	}
	return nil
}

// writeTables writes the tables of a page into a folder that is made, or is there and empty.
func writeTables(dir string, page charts.Page) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("write the tables: %w; choose another folder with -o", err)
	}
	there, err := os.ReadDir(dir)
	if err != nil {
		return fmt.Errorf("write the tables: %w", err)
	}
	if len(there) > 0 {
		return fmt.Errorf("the folder %s isn't empty; name a new or empty one with -o", dir)
	}
	for _, f := range charts.TableFiles(page) {
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			return fmt.Errorf("write the tables: %w", err)
		}
		if err := writeWhole(filepath.Join(dir, f.Name), b.Bytes()); err != nil {
			return err
		}
	}
	return nil
}

package storage

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// ErrMissing says that there is no database where one was to be read.
var ErrMissing = errors.New("no such database")

// Exists tells whether there is a file at the place that dsn names, for those that must not make a database, and returns its
// path. An empty file is none: a database has yet to be made in it. What kind of file it is shows when it is opened.
func Exists(dsn string) (path string, there bool, err error) {
	if path, err = file(dsn); err != nil {
		return "", false, fmt.Errorf("open database: %w", err)
	}
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return path, false, nil
	}
	return path, err != nil || info.IsDir() || info.Size() > 0, nil // Open says what is wrong with it
}

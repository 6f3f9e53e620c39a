package storage

import (
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
)

// file returns the absolute path that a data source name stands for.
func file(dsn string) (string, error) {
	scheme, rest, found := strings.Cut(dsn, ":")
	switch {
	case found && (scheme == "postgres" || scheme == "postgresql"):
		return "", errors.New("postgres is not supported yet; use sqlite:FILE")
	case found && scheme == "sqlite":
		dsn = rest
	case strings.Contains(dsn, "://"):
		return "", fmt.Errorf("no database of the kind %s; use sqlite:FILE", scheme)
	}
	switch {
	case dsn == "":
		return "", errors.New("no database file given; use sqlite:FILE")
	case strings.HasPrefix(dsn, ":memory:"), strings.ContainsRune(dsn, 0):
		return "", fmt.Errorf("%q is not a file; use sqlite:FILE", dsn)
	}
	return filepath.Abs(dsn)
}

// uri is the path as a file: URI, with the settings of the connection; every character of the path stands for itself.
func uri(path, query string) string {
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // a drive letter
	}
	u := url.URL{Scheme: "file", Path: path, RawQuery: query}
	return u.String()
}

// smallest is the size of the header of a SQLite file (sqlite.org/fileformat2.html, 1.3). SQLite takes some files that are
// smaller, such as those of one byte, for empty databases and writes over them.
const smallest = 100

// inspect refuses what no driver must touch. It only asks about the file: on some systems a program that opens and closes
// a file loses the locks of every database connection it has to that file (sqlite.org/howtocorrupt.html, 2.2).
func inspect(path string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if info, err := os.Stat(filepath.Dir(path)); err != nil || !info.IsDir() {
			return fmt.Errorf("%w: there is no folder %s; make it first", ErrReadOnly, filepath.Dir(path))
		}
		return nil
	case err != nil:
		return fmt.Errorf("%w: %w", ErrReadOnly, err)
	case info.IsDir():
		return fmt.Errorf("%w: %s is a folder; name a file in it", ErrNotOurs, path)
	case !info.Mode().IsRegular():
		return fmt.Errorf("%w: %s is no file but a device or the like; name a file", ErrNotOurs, path)
	case info.Size() > 0 && info.Size() < smallest:
		return fmt.Errorf("%w: %s is no SQLite file; name another, nothing was changed", ErrNotOurs, path)
	}
	return nil
}

package storage

import (
	"bytes"
	"errors"
	"fmt"
	"io"
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

// header is how every SQLite 3 file starts (sqlite.org/fileformat2.html, 1.3).
const header = "SQLite format 3\x00"

// inspect looks at the file before any driver touches it, so that nothing that isn't a database is harmed.
func inspect(path string) error {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		if info, err := os.Stat(filepath.Dir(path)); err != nil || !info.IsDir() {
			return fmt.Errorf("%w: there is no folder %s; make it first", ErrReadOnly, filepath.Dir(path))
		}
		return nil
	}
	if err != nil {
		return fmt.Errorf("%w: %w", ErrReadOnly, err)
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil {
		return err
	} else if info.IsDir() {
		return fmt.Errorf("%w: %s is a folder; name a file in it", ErrNotOurs, path)
	} else if info.Size() == 0 {
		return nil
	}
	start := make([]byte, len(header))
	if _, err := io.ReadFull(f, start); err != nil || !bytes.Equal(start, []byte(header)) {
		return fmt.Errorf("%w: %s is no SQLite file; name another, nothing was changed", ErrNotOurs, path)
	}
	return nil
}

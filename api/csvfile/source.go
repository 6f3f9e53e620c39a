package csvfile

import (
	"cmp"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// The known files, in the order in which they are read: those that others refer to first.
const (
	seasonsFile      = "seasons.csv"
	placesFile       = "places.csv"
	scalesFile       = "scales.csv"
	cultivarsFile    = "cultivars.csv"
	plantsFile       = "plants.csv"
	movesFile        = "moves.csv"
	countsFile       = "counts.csv"
	pickingsFile     = "pickings.csv"
	lossesFile       = "losses.csv"
	temperaturesFile = "temperatures.csv"
	diaryFile        = "diary.csv"
	germinationFile  = "germination.csv"
)

// Files lists the names of the known files, those that others refer to first.
func Files() []string {
	return []string{seasonsFile, placesFile, scalesFile, cultivarsFile, plantsFile, movesFile, countsFile, pickingsFile,
		lossesFile, temperaturesFile, diaryFile, germinationFile}
}

// Source is one file to import.
type Source struct {
	// Name is what faults call the file; its last part says which of Files it is, in any case, unless As does.
	Name string
	As   string
	Size int64 // in bytes, for progress; 0 if not known
	Open func() (io.ReadCloser, error)
}

// kind returns which of the known files the source is, or "".
func (s *Source) kind() string {
	base := strings.ToLower(filepath.Base(cmp.Or(s.As, s.Name)))
	if slices.Contains(Files(), base) {
		return base
	}
	return ""
}

// Sources turns paths into sources. A folder stands for all known files in it; CSV files with other names in it are an
// error, and whatever else it holds is returned in ignored, so that it can be said.
func Sources(paths ...string) (sources []Source, ignored []string, err error) {
	for _, path := range paths {
		info, err := os.Stat(path)
		if err != nil {
			return nil, nil, fmt.Errorf("read what to import: %w; name a folder of CSV files, or single ones", err)
		}
		if !info.IsDir() {
			source, err := fileSource(path, info.Size())
			if err != nil {
				return nil, nil, err
			}
			sources = append(sources, source)
			continue
		}
		found, other, err := folderSources(path)
		if err != nil {
			return nil, nil, err
		}
		sources, ignored = append(sources, found...), append(ignored, other...)
	}
	if len(sources) == 0 {
		return nil, nil, fmt.Errorf("nothing to import; name a folder with %s, or single files of these names", known())
	}
	return sources, ignored, nil
}

func folderSources(dir string) (sources []Source, ignored []string, err error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, nil, fmt.Errorf("read what to import: %w", err)
	}
	for _, entry := range entries {
		path := filepath.Join(dir, entry.Name())
		hidden := strings.HasPrefix(entry.Name(), ".")
		if entry.IsDir() || hidden || !strings.EqualFold(filepath.Ext(entry.Name()), ".csv") {
			ignored = append(ignored, path)
			continue
		}
		info, err := os.Stat(path)
		if err != nil {
			return nil, nil, fmt.Errorf("read what to import: %w", err)
		}
		source, err := fileSource(path, info.Size())
		if err != nil {
			return nil, nil, err
		}
		sources = append(sources, source)
	}
	if len(sources) == 0 {
		return nil, nil, fmt.Errorf("%s: holds none of the files that can be imported; they are %s", dir, known())
	}
	return sources, ignored, nil
}

// FileAs is the source of one file that may have any name; as is the one of Files that it is.
func FileAs(path, as string) (Source, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return Source{}, fmt.Errorf("read what to import: %w", err)
	case info.IsDir():
		return Source{}, fmt.Errorf("%s: is a folder; name a file in it", path)
	}
	s := Source{Name: path, As: as, Size: info.Size(), Open: func() (io.ReadCloser, error) { return os.Open(path) }}
	if s.kind() == "" || !strings.EqualFold(as, s.kind()) {
		return Source{}, fmt.Errorf("%q is none of the files that can be imported; they are %s", as, known())
	}
	return s, nil
}

func fileSource(path string, size int64) (Source, error) {
	s := Source{Name: path, Size: size, Open: func() (io.ReadCloser, error) { return os.Open(path) }}
	if s.kind() == "" {
		return Source{}, fmt.Errorf("%s: the name doesn't say what is in it; call it one of %s", path, known())
	}
	return s, nil
}

func known() string { return strings.Join(Files(), ", ") }

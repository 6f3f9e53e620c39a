package refcheck

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// FolderVariable names the environment variable that points to another folder of reference files.
const FolderVariable = "VINETALLY_REFERENCE_DIR"

// File is one reference file.
type File struct {
	// ID is the file's name without .json.
	ID string `json:"id"`
	// Method says what is estimated; the runner dispatches on it.
	Method      string `json:"method"`
	Description string `json:"description"`
	// Status is "certified" or "computed".
	Status    string          `json:"status"`
	Data      json.RawMessage `json:"data"`
	Expected  json.RawMessage `json:"expected"`
	Tolerance Tolerance       `json:"tolerance"`
}

// Tolerance accepts got for want if |got − want| ≤ max(Rel·|want|, Abs). Notes is advice for people.
type Tolerance struct {
	Rel   float64 `json:"rel"`
	Abs   float64 `json:"abs"`
	Notes string  `json:"notes"`
}

// Decode reads the data of the file into v, which must have a field for every key of it.
func (f File) Decode(v any) error {
	d := json.NewDecoder(bytes.NewReader(f.Data))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return fmt.Errorf("%s: data: %w", f.ID, err)
	}
	return nil
}

// Load reads every .json file of a folder, in the order of their names.
func Load(folder string) ([]File, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, fmt.Errorf("reference files: %w", err)
	}
	var files []File
	for _, e := range entries {
		name, isJSON := strings.CutSuffix(e.Name(), ".json")
		if e.IsDir() || !isJSON {
			continue
		}
		content, err := os.ReadFile(filepath.Join(folder, e.Name()))
		if err != nil {
			return nil, fmt.Errorf("reference files: %w", err)
		}
		var f File
		if err := json.Unmarshal(content, &f); err != nil {
			return nil, fmt.Errorf("%s: %w", e.Name(), err)
		}
		if f.ID != name {
			return nil, fmt.Errorf("%s: id is %q; it must be the file's name without .json", e.Name(), f.ID)
		}
		if f.Method == "" || len(f.Data) == 0 || len(f.Expected) == 0 {
			return nil, fmt.Errorf("%s: method, data and expected must all be given", e.Name())
		}
		if f.Tolerance.Rel < 0 || f.Tolerance.Abs < 0 || f.Tolerance.Rel > 0.01 {
			return nil, fmt.Errorf("%s: tolerance is rel %v, abs %v; neither may be below 0, nor rel above 0.01", e.Name(), f.Tolerance.Rel, f.Tolerance.Abs)
		}
		files = append(files, f)
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("reference files: %s has none", folder)
	}
	slices.SortFunc(files, func(a, b File) int { return strings.Compare(a.ID, b.ID) })
	return files, nil
}

// folder returns where the files are, and whether that is the repository's own folder.
func folder() (path string, own bool, err error) {
	if path = os.Getenv(FolderVariable); path != "" {
		return path, false, nil
	}
	root, err := moduleRoot()
	return filepath.Join(root, "testdata", "reference", "values"), true, err
}

// moduleRoot walks up from the working directory, which in a test is the folder of its package, to the one with go.mod.
func moduleRoot() (string, error) {
	dir, err := os.Getwd()
	if err != nil {
		return "", err
	}
	for {
		_, err := os.Stat(filepath.Join(dir, "go.mod"))
		if err == nil {
			return dir, nil
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			return "", errors.New("no folder above the tests has a go.mod")
		}
		dir = parent
	}
}

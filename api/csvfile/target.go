package csvfile

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// target is the folder that an export goes to, and the folder aside where its files are written first.
type target struct {
	dir    string
	exists bool
	aside  string // the folder to take away in the end
	work   string // where the files are written
}

// newTarget refuses a folder that isn't empty, since files of another export between these would be imported with them.
//
// The files are written beside a folder that doesn't exist yet, which one renaming then puts in place, and inside one
// that does: it may be somebody's working folder or a mounted one, which can't be renamed over.
func newTarget(dir string) (*target, error) {
	dir = filepath.Clean(dir)
	t := &target{dir: dir}
	entries, err := os.ReadDir(dir)
	switch {
	case err == nil && len(entries) > 0:
		return nil, fmt.Errorf("%s: is not empty; name an empty folder, or one that doesn't exist yet", dir)
	case err == nil:
		t.exists = true
	case !errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("look at the folder to export to: %w; name an empty folder, or one that doesn't exist yet", err)
	}
	parent, name := filepath.Split(dir)
	if t.exists {
		parent = dir
	} else if err := os.MkdirAll(filepath.Clean(parent), 0o777); err != nil {
		return nil, fmt.Errorf("make the folder to export to: %w", err)
	}
	if t.aside, err = os.MkdirTemp(filepath.Clean(parent), "."+name+".partial-"); err != nil {
		return nil, fmt.Errorf("make a folder to write in: %w", err)
	}
	t.work = filepath.Join(t.aside, "files") // MkdirTemp's own folder is its maker's alone, whatever the user's umask says
	if err := os.Mkdir(t.work, 0o777); err != nil {
		t.discard()
		return nil, fmt.Errorf("make a folder to write in: %w", err)
	}
	return t, nil
}

// publish brings the written files to the disk and puts them in place.
func (t *target) publish() error {
	for _, name := range Files() {
		if err := syncFile(filepath.Join(t.work, name)); err != nil {
			return fmt.Errorf("write %s: %w", name, err)
		}
	}
	if !t.exists {
		if err := os.Rename(t.work, t.dir); err != nil {
			return fmt.Errorf("put the files in place: %w", err)
		}
		return nil
	}
	var moved []string
	for _, name := range Files() {
		to := filepath.Join(t.dir, name)
		if err := os.Rename(filepath.Join(t.work, name), to); err != nil {
			for _, file := range moved {
				_ = os.Remove(file)
			}
			return fmt.Errorf("put the files in place: %w", err)
		}
		moved = append(moved, to)
	}
	return nil
}

func syncFile(path string) error {
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(file.Sync(), file.Close())
}

// discard takes the folder aside away.
func (t *target) discard() { _ = os.RemoveAll(t.aside) }

package storage

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// BackupOptions of Backup; the zero value is ready for use.
type BackupOptions struct {
	// Overwrite lets the copy take the place of a file that is there.
	Overwrite bool
}

// Copied is what Backup wrote.
type Copied struct {
	Path  string // absolute
	Bytes int64
	// Checked is what the check of the copy found: what it holds, and its change number.
	Checked *Checked
}

// Backup writes a copy of one state of a database to a file, whatever is written meanwhile: everything that was answered
// before Backup was called is in it. The copy is made beside the file, brought to the disk, checked (Check without ledgers) and
// only then given its name, so that a file of that name is whole. It leaves the database as it is; one of an older version
// is copied without being brought up to date. Errors about the database are those of Open, and those about the copy name it.
func Backup(ctx context.Context, dsn, to string, o BackupOptions) (*Copied, error) {
	from, err := file(dsn)
	if err != nil {
		return nil, fmt.Errorf("back up database: %w", err)
	}
	if to, err = filepath.Abs(to); err != nil {
		return nil, fmt.Errorf("back up to %s: %w", to, err)
	}
	if err := mustExist(from); err != nil {
		return nil, err
	}
	if err := free(from, to, o.Overwrite); err != nil {
		return nil, fmt.Errorf("back up to %s: %w", to, err)
	}
	return backup(ctx, from, to, o)
}

// free refuses a place where a copy would do harm, or where a file is that mustn't be overwritten.
func free(from, to string, overwrite bool) error {
	for _, log := range []string{to + "-wal", to + "-journal"} {
		if _, err := os.Lstat(log); err == nil {
			return fmt.Errorf("%s lies there, the log of a database that is or was open; it would be mixed into the copy, so name another file", log)
		}
	}
	there, err := os.Lstat(to)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return fmt.Errorf("%w; name another file", err)
	case there.IsDir():
		return errors.New("it is a folder; name a file in it")
	case !there.Mode().IsRegular():
		return errors.New("it is a link, a device or the like; name a file")
	}
	if own, err := os.Stat(from); err == nil && os.SameFile(own, there) {
		return errors.New("it is the database itself; name another file")
	}
	if !overwrite {
		return errors.New("the file is there already; name another, or give --overwrite to replace it")
	}
	return nil
}

func backup(ctx context.Context, from, to string, o BackupOptions) (copied *Copied, err error) {
	temp, err := os.CreateTemp(filepath.Dir(to), ".vinetally-backup-*")
	if err != nil {
		return nil, fmt.Errorf("back up to %s: %w; choose a folder that exists and can be written", to, err)
	}
	defer func() {
		if err != nil {
			for _, end := range []string{"", "-journal", "-wal", "-shm"} {
				_ = os.Remove(temp.Name() + end)
			}
		}
	}()
	if err := temp.Close(); err != nil {
		return nil, fmt.Errorf("back up to %s: %w", to, err)
	}
	if err := copyInto(ctx, from, temp.Name()); err != nil {
		return nil, err
	}
	checked, err := check(ctx, temp.Name(), CheckOptions{})
	switch {
	case err != nil:
		return nil, fmt.Errorf("back up to %s: read the copy again: %w", to, translate(ctx, err))
	case !checked.Sound():
		return nil, fmt.Errorf("back up to %s: the copy isn't sound, so it was not kept (%s); run vinetally check on the database, and copy its file by hand while nothing has it open",
			to, checked.Damage[0])
	}
	if err := settle(from, temp.Name()); err != nil {
		return nil, fmt.Errorf("back up to %s: bring the copy to the disk: %w", to, err)
	}
	if err := free(from, to, o.Overwrite); err != nil { // something may have come there meanwhile
		return nil, fmt.Errorf("back up to %s: %w", to, err)
	}
	if err := os.Rename(temp.Name(), to); err != nil {
		return nil, fmt.Errorf("back up to %s: %w", to, err)
	}
	if err := syncFile(filepath.Dir(to)); err != nil {
		return nil, fmt.Errorf("back up to %s: the copy is there, but its folder could not be brought to the disk: %w", to, err)
	}
	info, err := os.Stat(to)
	if err != nil {
		return nil, fmt.Errorf("back up to %s: %w", to, err)
	}
	checked.Path = to
	return &Copied{Path: to, Bytes: info.Size(), Checked: checked}, nil
}

// copyInto has SQLite write what one read transaction sees into an empty file, row by row and packed
// (sqlite.org/lang_vacuum.html, 4). Writers don't wait for it.
func copyInto(ctx context.Context, from, to string) error {
	return untouched(from, func(setting string) error { return copyOver(ctx, from, copierQuery(checkWait)+setting, to) })
}

func copyOver(ctx context.Context, from, query, to string) error {
	if err := os.Truncate(to, 0); err != nil {
		return fmt.Errorf("back up to %s: %w", to, err)
	}
	pool, err := sql.Open(driverName, uri(from, query))
	if err != nil {
		return fmt.Errorf("back up database %s: %w", from, err)
	}
	defer pool.Close()
	pool.SetMaxOpenConns(1)
	if _, _, err := examine(ctx, pool, pool); err != nil {
		return fmt.Errorf("back up database %s: %w", from, translate(ctx, err))
	}
	if _, err := pool.ExecContext(ctx, `VACUUM INTO ?`, to); err != nil {
		return fmt.Errorf("back up database %s: %w", from, copyFailed(ctx, to, err))
	}
	return nil
}

// copyFailed says of a failed copy what went wrong on the side that it went wrong on.
func copyFailed(ctx context.Context, to string, err error) error {
	code, ok := resultCode(err)
	if !ok || ctx.Err() != nil {
		return translate(ctx, err)
	}
	switch code & 0xff {
	case codeFull:
		return fmt.Errorf("%w: there is no room for the copy in %s; free some space or choose another folder, nothing was kept: %w", ErrFull, filepath.Dir(to), err)
	case codeIOErr, codeCantOpen, codeReadOnly:
		return fmt.Errorf("the copy can't be written in %s; choose another folder, nothing was kept: %w", filepath.Dir(to), err)
	}
	return translate(ctx, err)
}

// settle brings the copy to the disk and lets the same people read it as the database.
func settle(from, to string) error {
	info, err := os.Stat(from)
	if err != nil {
		return err
	}
	if err := os.Chmod(to, info.Mode().Perm()); err != nil {
		return err
	}
	return syncFile(to)
}

func syncFile(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

package storage

import (
	"context"
	"errors"
	"fmt"

	"vinetally/analytics/crop"
)

// What is wrong with the database itself; test with errors.Is.
var (
	ErrNotOurs  = errors.New("not a vinetally database")
	ErrNewer    = errors.New("database of a newer version")
	ErrFull     = errors.New("disk full")
	ErrReadOnly = errors.New("database can't be written")
	ErrCorrupt  = errors.New("database damaged")
)

// SQLite's primary result codes that say something to a user, and the extended ones of broken constraints
// (sqlite.org/rescode.html).
const (
	codePerm, codeBusy, codeLocked, codeReadOnly, codeInterrupt = 3, 5, 6, 8, 9
	codeIOErr, codeCorrupt, codeFull, codeCantOpen              = 10, 11, 13, 14
	codeConstraint, codeAuth, codeNotADB                        = 19, 23, 26

	codeReadOnlyRollback = codeReadOnly | 3<<8
	codeSharedMemorySize = codeIOErr | 19<<8 // there is no room for the file beside the write-ahead log

	codeCheck      = codeConstraint | 1<<8
	codeForeignKey = codeConstraint | 3<<8
	codeNotNull    = codeConstraint | 5<<8
	codePrimaryKey = codeConstraint | 6<<8
	codeTrigger    = codeConstraint | 7<<8
	codeUnique     = codeConstraint | 8<<8
	codeDataType   = codeConstraint | 12<<8
)

// translate turns a driver's error into words and codes, by its number and never by its English text.
func translate(ctx context.Context, err error) error {
	if err == nil || crop.CodeOf(err) != "" {
		return err
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	code, ok := resultCode(err)
	if !ok {
		return err
	}
	switch code {
	case codeUnique, codePrimaryKey:
		return withCause(crop.Errorf(crop.Conflict, "another record has this name, label or time already; read again and choose another"), err)
	case codeForeignKey:
		return withCause(crop.Errorf(crop.Conflict, "a record that is referred to is missing or would be; read again"), err)
	case codeCheck, codeNotNull, codeTrigger, codeDataType:
		return withCause(crop.Errorf(crop.Invalid, "the database refuses a value that a record can't have"), err)
	}
	switch code & 0xff {
	case codeBusy, codeLocked:
		return withCause(busy(), err)
	case codeFull:
		return full(err)
	case codeReadOnly, codePerm, codeAuth:
		return fmt.Errorf("%w: give the program write access to the file and its folder: %w", ErrReadOnly, err)
	case codeCantOpen:
		return fmt.Errorf("%w: the file can't be opened; check that its folder exists and may be written: %w", ErrReadOnly, err)
	case codeCorrupt:
		return fmt.Errorf("%w: restore the file from a backup: %w", ErrCorrupt, err)
	case codeNotADB:
		return fmt.Errorf("%w: the file is something else; name another: %w", ErrNotOurs, err)
	case codeInterrupt:
		return fmt.Errorf("interrupted: %w", err)
	}
	return err
}

// full says that there is no room, of a write or of what SQLite needs beside the file.
func full(cause error) error {
	return withCause(crop.Errorf(crop.Full, "%v: free some space and try again; nothing of this change was stored", ErrFull), errors.Join(ErrFull, cause))
}

func busy() *crop.Error {
	return crop.Errorf(crop.Busy, "the database is taken by another change; try again in a moment")
}

// withCause keeps the driver's error for the log under the words for people.
func withCause(e *crop.Error, cause error) error { return &translated{e, cause} }

type translated struct {
	words *crop.Error
	cause error
}

func (t *translated) Error() string   { return t.words.Error() }
func (t *translated) Unwrap() []error { return []error{t.words, t.cause} }

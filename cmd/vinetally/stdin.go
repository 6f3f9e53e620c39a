package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"vinetally/api/csvfile"
)

// spool copies what stands on standard input to a temporary file, since an import may have to read it more than once. done
// removes the file.
func spool(ctx context.Context, in io.Reader, as string) (source csvfile.Source, done func(), err error) {
	if in == nil {
		return source, nil, errors.New("there is no standard input to read")
	}
	file, err := os.CreateTemp("", "vinetally-input-*.csv")
	if err != nil {
		return source, nil, fmt.Errorf("keep standard input: %w", err)
	}
	done = func() { _ = os.Remove(file.Name()) }
	copied := make(chan error, 1)
	go func() { // a read of a terminal doesn't end when the program is told to
		_, err := io.Copy(file, in)
		copied <- errors.Join(err, file.Close())
	}()
	select {
	case err = <-copied:
	case <-ctx.Done():
		err = ctx.Err()
	}
	if err != nil {
		done()
		return source, nil, fmt.Errorf("keep standard input: %w", err)
	}
	source, err = csvfile.FileAs(file.Name(), as)
	source.Name = "-" // what faults call it
	if err != nil {
		done()
		return source, nil, err
	}
	return source, done, nil
}

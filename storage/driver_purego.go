//go:build !cgo

package storage

import (
	"errors"
	"fmt"
	"net/url"

	"modernc.org/sqlite"
)

// driverName is the SQLite driver in Go alone, for builds without a C compiler.
const driverName = "sqlite"

// writerQuery and readerQuery are the settings of a connection, in this driver's words. The busy timeout comes first,
// since the others may have to wait.
func writerQuery(busyMillis int64) string {
	return url.Values{
		"_pragma": {
			fmt.Sprintf("busy_timeout(%d)", busyMillis), "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(1)",
			"cache_size(-49152)",
		},
		"_txlock": {"immediate"},
	}.Encode()
}

func readerQuery(busyMillis int64) string {
	return url.Values{
		"mode": {"ro"},
		"_pragma": {
			fmt.Sprintf("busy_timeout(%d)", busyMillis), "query_only(1)", "foreign_keys(1)", "cache_size(-8192)",
		},
	}.Encode()
}

// copierQuery is readerQuery for a connection that writes to another file.
func copierQuery(busyMillis int64) string {
	return url.Values{
		"mode": {"ro"}, "_pragma": {fmt.Sprintf("busy_timeout(%d)", busyMillis), "cache_size(-8192)"},
	}.Encode()
}

// undoingQuery is the settings of a connection that undoes what was broken off, when it first reads, and writes nothing else.
func undoingQuery(busyMillis int64) string {
	return url.Values{"mode": {"rw"}, "_pragma": {fmt.Sprintf("busy_timeout(%d)", busyMillis), "query_only(1)"}}.Encode()
}

// resultCode returns SQLite's extended result code (sqlite.org/rescode.html).
func resultCode(err error) (code int, ok bool) {
	if e, ok := errors.AsType[*sqlite.Error](err); ok {
		if e.Code() == codeSharedMemorySize {
			return codeFull, true
		}
		return e.Code(), true
	}
	return 0, false
}

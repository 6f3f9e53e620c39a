//go:build cgo

package storage

import (
	"errors"
	"fmt"
	"net/url"
	"syscall"

	"github.com/mattn/go-sqlite3"
)

// driverName is the SQLite driver in C, the faster one.
const driverName = "sqlite3"

// writerQuery and readerQuery are the settings of a connection, in this driver's words.
func writerQuery(busyMillis int64) string {
	return url.Values{
		"_busy_timeout": {fmt.Sprint(busyMillis)}, "_journal_mode": {"WAL"}, "_synchronous": {"FULL"},
		"_foreign_keys": {"on"}, "_txlock": {"immediate"}, "_cache_size": {"-49152"}, "_stmt_cache_size": {"100"},
	}.Encode()
}

func readerQuery(busyMillis int64) string {
	return url.Values{
		"mode": {"ro"}, "_query_only": {"1"}, "_busy_timeout": {fmt.Sprint(busyMillis)}, "_foreign_keys": {"on"},
		"_cache_size": {"-8192"}, "_stmt_cache_size": {"100"},
	}.Encode()
}

// copierQuery is readerQuery for a connection that writes to another file.
func copierQuery(busyMillis int64) string {
	return url.Values{"mode": {"ro"}, "_busy_timeout": {fmt.Sprint(busyMillis)}, "_cache_size": {"-8192"}}.Encode()
}

// undoingQuery is the settings of a connection that undoes what was broken off, when it first reads, and writes nothing else.
func undoingQuery(busyMillis int64) string {
	return url.Values{"mode": {"rw"}, "_query_only": {"1"}, "_busy_timeout": {fmt.Sprint(busyMillis)}}.Encode()
}

// resultCode returns SQLite's extended result code (sqlite.org/rescode.html).
func resultCode(err error) (code int, ok bool) {
	if e, ok := errors.AsType[sqlite3.Error](err); ok {
		if int(e.Code) == codeIOErr && errors.Is(e.SystemErrno, syscall.ENOSPC) { // of the files beside the database
			return codeFull, true
		}
		if e.ExtendedCode != 0 {
			return int(e.ExtendedCode), true
		}
		return int(e.Code), true
	}
	return 0, false
}

package storage

import (
	"database/sql"
	"encoding/binary"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

// journalOf writes the journal of a transaction that was broken off and had done nothing but add pages to a file of so many
// (sqlite.org/fileformat2.html, 3): a header that names the file's size before, and no page to put back.
func journalOf(t *testing.T, path string, pages uint32) {
	t.Helper()
	header := make([]byte, 512)
	copy(header, "\xd9\xd5\x05\xf9\x20\xa1\x63\xd7")
	binary.BigEndian.PutUint32(header[16:], pages)
	binary.BigEndian.PutUint32(header[20:], 512) // bytes of a sector
	binary.BigEndian.PutUint32(header[24:], 4096)
	if err := os.WriteFile(path+"-journal", header, 0o644); err != nil {
		t.Fatal(err)
	}
}

// plainDatabase makes a database of no program, with some statements carried out.
func plainDatabase(t *testing.T, path string, statements ...string) {
	t.Helper()
	db, err := sql.Open(driverName, uri(path, ""))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, s := range statements {
		if _, err := db.Exec(s); err != nil {
			t.Fatal(err)
		}
	}
}

// TestOpenAfterBeingKilledWhileMade: a file whose first transaction was broken off is a new one again.
func TestOpenAfterBeingKilledWhileMade(t *testing.T) {
	path := filepath.Join(t.TempDir(), "trial.db")
	plainDatabase(t, path, "PRAGMA user_version = 1") // writes the first page
	journalOf(t, path, 0)
	db, err := Open(t.Context(), path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	mustApply(t, db.Site(), named(db.Site(), "spring"))
	if err := db.Close(); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(path + "-journal"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the journal is still there: %v", err)
	}
}

// TestOpenOtherProgramsBrokenOff: another program's database is refused though it was left in the middle of a transaction,
// which is undone as that program would have done.
func TestOpenOtherProgramsBrokenOff(t *testing.T) {
	path := filepath.Join(t.TempDir(), "other.db")
	plainDatabase(t, path, "CREATE TABLE others (x)", "INSERT INTO others VALUES (1)")
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	journalOf(t, path, uint32(len(before)/4096))
	if err := os.WriteFile(path, append(before, make([]byte, 4096)...), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), path, Options{}); !errors.Is(err, ErrNotOurs) {
		t.Errorf("got %v, want %v", err, ErrNotOurs)
	}
	if after, err := os.ReadFile(path); err != nil || string(after) != string(before) {
		t.Errorf("%d bytes are left of %d, or others (%v)", len(after), len(before), err)
	}
}

package storage

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"path"
	"testing"
)

// landedMigrations are the SHA-256 sums (FIPS 180-4) of the migrations that databases have been made with. A line is added
// with each new migration and never changed: a database that has run a migration doesn't run it again, so that an edit
// would make new databases differ from old ones. What a migration did wrong, the next one mends.
var landedMigrations = map[string]string{
	"00001_records.sql":    "54aad1d3ee29868781d39ca6257030db44d9d9c071e2d094e0281e6f69b6c74b",
	"00002_statistics.sql": "67294d4d31dfd09aba31615900d1f76ed4acc57be3f5ffc96ab33f41b434273f",
	"00003_digests.sql":    "eb83bfe8c40439075fb1d3915817989f1bda5336e6690e9a9dd07d675cbc8f0e",
	"00004_tally.sql":      "1b057e6b61cfc33a7f34faf7d71ae2f30047368d85b957da3a202fa7125de63d",
	"00005_imports.sql":    "6907029eeb4ee683217476fb5fdb634c482f9ca054bdfc91edb8c64eb2c378e8",
}

// TestMigrationsStay holds the migrations to what has landed.
func TestMigrationsStay(t *testing.T) {
	files, err := fs.Glob(migrations, "migrations/sqlite/*.sql")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		body, err := migrations.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		name := path.Base(file)
		// A checkout may have another kind of line ends.
		sum := fmt.Sprintf("%x", sha256.Sum256(bytes.ReplaceAll(body, []byte("\r\n"), []byte("\n"))))
		switch want, landed := landedMigrations[name]; {
		case !landed:
			t.Errorf("%s is new; once it is as it should stay for good, add its sum here: %s", name, sum)
		case sum != want:
			t.Errorf("%s was edited, and databases that have run it won't notice; put it back and write a new migration", name)
		}
	}
	if len(files) < len(landedMigrations) {
		t.Errorf("%d migrations, want the %d that have landed", len(files), len(landedMigrations))
	}
}

package storage

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

func TestDataSourceNames(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct{ name, dsn, want string }{
		{"scheme", "sqlite:" + dir + "/a.db", ""},
		{"path alone", filepath.Join(dir, "b.db"), ""},
		{"letters with a meaning in URIs", filepath.Join(dir, "c ?#%41&=ü.db"), ""},
		{"postgres", "postgres://localhost/x", "postgres is not supported yet; use sqlite:FILE"},
		{"postgresql", "postgresql://localhost/x", "postgres is not supported yet; use sqlite:FILE"},
		{"other scheme", "mysql://localhost/x", "no database of the kind mysql; use sqlite:FILE"},
		{"empty", "", "no database file given; use sqlite:FILE"},
		{"scheme alone", "sqlite:", "no database file given; use sqlite:FILE"},
		{"memory", "sqlite::memory:", `":memory:" is not a file; use sqlite:FILE`},
	} {
		t.Run(c.name, func(t *testing.T) {
			db, err := Open(t.Context(), c.dsn, Options{})
			if c.want != "" {
				if err == nil || !strings.HasSuffix(err.Error(), c.want) {
					t.Errorf("open: %v, want %q", err, c.want)
				}
				return
			}
			if err != nil {
				t.Fatalf("open: %v", err)
			}
			if err := db.Close(); err != nil {
				t.Errorf("close: %v", err)
			}
			if _, err := os.Stat(strings.TrimPrefix(c.dsn, "sqlite:")); err != nil {
				t.Errorf("the file is not where it was asked for: %v", err)
			}
		})
	}
}

// TestOpenRefuses: what can't be a database is refused in plain words and left as it was.
func TestOpenRefuses(t *testing.T) {
	foreign := func(path string) error {
		pool, err := sql.Open(driverName, path)
		if err != nil {
			return err
		}
		defer pool.Close()
		_, err = pool.Exec(`CREATE TABLE songs (title TEXT)`)
		return err
	}
	newer := func(path string) error {
		db, err := Open(context.Background(), path, Options{})
		if err != nil {
			return err
		}
		if _, err := db.pools[0].Exec(`INSERT INTO goose_db_version (version_id, is_applied) VALUES (999, 1)`); err != nil {
			return err
		}
		return db.Close()
	}
	for _, c := range []struct {
		name string
		make func(path string) error
		want error
	}{
		{"text file", func(p string) error { return os.WriteFile(p, []byte("season,plant\nspring,A1\n"), 0o644) }, ErrNotOurs},
		{"one byte", func(p string) error { return os.WriteFile(p, []byte("S"), 0o644) }, ErrNotOurs},
		{"99 bytes", func(p string) error { return os.WriteFile(p, bytes.Repeat([]byte("S"), 99), 0o644) }, ErrNotOurs},
		{"511 bytes", func(p string) error { return os.WriteFile(p, bytes.Repeat([]byte("S"), 511), 0o644) }, ErrNotOurs},
		{"folder", func(p string) error { return os.Mkdir(p, 0o755) }, ErrNotOurs},
		{"another program's database", foreign, ErrNotOurs},
		{"newer version", newer, ErrNewer},
		{"damaged", func(p string) error {
			return os.WriteFile(p, append([]byte("SQLite format 3\x00"), bytes.Repeat([]byte("rubbish "), 1000)...), 0o644)
		}, ErrNotOurs},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "file")
			if err := c.make(path); err != nil {
				t.Fatal(err)
			}
			before, _ := os.ReadFile(path)
			_, err := Open(t.Context(), path, Options{})
			if !errors.Is(err, c.want) || !strings.Contains(err.Error(), path) {
				t.Errorf("open: %v, want %v and the path", err, c.want)
			}
			if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
				t.Error("the file was changed")
			}
			if left, _ := filepath.Glob(path + "-*"); len(left) > 0 && c.want != ErrNewer {
				t.Errorf("files were left: %v", left)
			}
		})
	}
	t.Run("no folder", func(t *testing.T) {
		if _, err := Open(t.Context(), filepath.Join(t.TempDir(), "none", "file"), Options{}); !errors.Is(err, ErrReadOnly) {
			t.Errorf("open: %v", err)
		}
	})
	t.Run("folder that nobody can write to", func(t *testing.T) {
		folder := "/proc" // not even root can make a file here
		if _, err := os.Stat(folder); err != nil || os.Geteuid() != 0 {
			folder = t.TempDir()
			if err := os.Chmod(folder, 0o555); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := Open(t.Context(), filepath.Join(folder, "file"), Options{Wait: time.Second}); !errors.Is(err, ErrReadOnly) {
			t.Errorf("open: %v, want %v", err, ErrReadOnly)
		}
	})
}

func TestMigrateTwice(t *testing.T) {
	path := filepath.Join(t.TempDir(), "trial.db")
	var first string
	for i := range 2 {
		db, err := Open(t.Context(), path, Options{})
		if err != nil {
			t.Fatal(err)
		}
		rows, err := db.pools[0].Query(`SELECT coalesce(sql, name) FROM sqlite_schema UNION ALL SELECT version_id FROM goose_db_version
			UNION ALL SELECT hex(uuid) FROM sites UNION ALL SELECT tbl || idx || stat FROM sqlite_stat1`)
		if err != nil {
			t.Fatal(err)
		}
		var all []string
		for rows.Next() {
			var s string
			if err := rows.Scan(&s); err != nil {
				t.Fatal(err)
			}
			all = append(all, s)
		}
		if got := strings.Join(all, "\n"); i == 0 {
			first = got
		} else if got != first {
			t.Errorf("opening again changed the tables:\n%s\nwant\n%s", got, first)
		}
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// TestConnections: every connection has its settings, whichever driver made it.
func TestConnections(t *testing.T) {
	db := openTest(t)
	for _, c := range []struct {
		pool    int
		setting string
		want    string
	}{
		{0, "journal_mode", "wal"}, {0, "synchronous", "2"}, {0, "foreign_keys", "1"}, {0, "busy_timeout", "10000"}, {0, "query_only", "0"},
		{1, "query_only", "1"}, {1, "foreign_keys", "1"}, {1, "busy_timeout", "10000"},
	} {
		var conns []*sql.Conn
		for range []int{1, readers}[c.pool] {
			conn, err := db.pools[c.pool].Conn(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			conns = append(conns, conn)
			var got string
			if err := conn.QueryRowContext(t.Context(), "PRAGMA "+c.setting).Scan(&got); err != nil || got != c.want {
				t.Errorf("pool %d: %s is %s, %v; want %s", c.pool, c.setting, got, err, c.want)
			}
		}
		for _, conn := range conns {
			conn.Close()
		}
	}
	_, err := db.pools[1].Exec(`DELETE FROM scales`)
	if !errors.Is(translate(t.Context(), err), ErrReadOnly) {
		t.Errorf("writing over a reader: %v", err)
	}
}

const childFile = "VINETALLY_STORAGE_TEST_FILE"

// TestChild is not a test of its own: it is the other program in TestTwoProcesses.
func TestChild(t *testing.T) {
	path := os.Getenv(childFile)
	if path == "" {
		return
	}
	db, err := Open(t.Context(), path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for i := range 50 {
		mustApply(t, db.Site(), []crop.Change{{Record: &crop.Season{ID: db.Site().NewID(), Name: fmt.Sprint(os.Getpid(), " ", i)}}})
	}
}

// TestTwoProcesses: four programs open one new file at once and write to it.
func TestTwoProcesses(t *testing.T) {
	path := filepath.Join(t.TempDir(), "trial.db")
	var running []*exec.Cmd
	for range 4 {
		c := exec.Command(os.Args[0], "-test.run=^TestChild$")
		c.Env = append(os.Environ(), childFile+"="+path)
		c.Stdout, c.Stderr = new(bytes.Buffer), new(bytes.Buffer)
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		running = append(running, c)
	}
	for _, c := range running {
		if err := c.Wait(); err != nil {
			t.Errorf("%v\n%s%s", err, c.Stdout, c.Stderr)
		}
	}
	db, err := Open(t.Context(), path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	c, err := db.Site().Catalogue(t.Context())
	if err != nil || len(c.Seasons) != 200 || c.Change != 200 || len(c.Scales) != 2 {
		t.Errorf("%d seasons, change %d, %d scales, %v; want 200, 200, 2", len(c.Seasons), c.Change, len(c.Scales), err)
	}
}

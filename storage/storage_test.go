package storage_test

import (
	"path/filepath"
	"testing"

	"vinetally/storage"
	"vinetally/storage/storagetest"
)

func TestSQLite(t *testing.T) {
	storagetest.Run(t, func(t *testing.T, o storagetest.Options) storagetest.Database {
		if o.Name == "" {
			o.Name = filepath.Join(t.TempDir(), "trial.db")
		}
		db, err := storage.Open(t.Context(), "sqlite:"+o.Name, storage.Options{Now: o.Now})
		if err != nil {
			t.Fatalf("open: %v", err)
		}
		t.Cleanup(func() {
			if err := db.Close(); err != nil {
				t.Errorf("close: %v", err)
			}
		})
		return storagetest.Database{Name: o.Name, Store: db.Site(), Ping: db.Ping, Close: db.Close}
	})
}

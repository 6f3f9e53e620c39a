package storage_test

import (
	"context"
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
		t.Cleanup(func() {
			if wrong, _, err := db.WrongDigests(context.Background()); len(wrong) > 0 {
				t.Errorf("wrong digests of %v, %v", wrong, err)
			}
		})
		return storagetest.Database{Name: o.Name, Store: db.Site(), Ping: db.Ping, Close: db.Close}
	})
}

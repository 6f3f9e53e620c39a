package storagetest

import "testing"

func testModel(t *testing.T, open func(Options) Database) {}

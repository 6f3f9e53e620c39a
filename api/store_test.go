package api

import "testing"

func testClient(t testing.TB) *client {
	t.Helper()
	return newClient(t, newMemory())
}

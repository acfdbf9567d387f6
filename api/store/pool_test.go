package store

import (
	"testing"
)

// TestTheAddressSaysHowManyConnections: the pool opens none until it is asked.
func TestTheAddressSaysHowManyConnections(t *testing.T) {
	for address, want := range map[string]int32{
		"postgres://u@127.0.0.1/x":                   usualConnections,
		"postgres://u@127.0.0.1/x?pool_max_conns=3":  3,
		"host=127.0.0.1 dbname=x pool_max_conns=300": 300,
	} {
		db, err := openPostgres(t.Context(), address)
		if err != nil {
			t.Fatal(err)
		}
		if got := db.pool.Config().MaxConns; got != want {
			t.Errorf("%s: %d connections, want %d", address, got, want)
		}
		if err := db.close(); err != nil {
			t.Error(err)
		}
	}
}

package storetest

import (
	"context"
	"crypto/rand"
	"net/url"
	"path/filepath"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"swardcase/api/store"
)

// Engines are the names of both, as Place takes them.
var Engines = []string{"sqlite", "postgres"}

// Each runs a test over an empty store of each engine.
func Each(t *testing.T, test func(t *testing.T, s *store.Store)) {
	t.Helper()
	for _, engine := range Engines {
		t.Run(engine, func(t *testing.T) { test(t, Open(t, Place(t, engine))) })
	}
}

// Open brings a place up to date and opens it for the length of the test.
func Open(t testing.TB, place store.Place) *store.Store {
	t.Helper()
	if _, err := store.Migrate(t.Context(), place); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(t.Context(), place)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// Place makes an empty place of the engine: a file, or a database that is
// dropped after the test.
func Place(t testing.TB, engine string) store.Place {
	t.Helper()
	if engine == "sqlite" {
		return store.Place{File: filepath.Join(t.TempDir(), "store.db")}
	}
	admin := administration(t)
	name := "test_" + strings.ToLower(rand.Text())
	command(t, admin, "CREATE DATABASE "+name)
	t.Cleanup(func() { command(t, admin, "DROP DATABASE "+name+" WITH (FORCE)") })
	address, err := url.Parse(admin)
	if err != nil {
		t.Fatal(err)
	}
	address.Path = "/" + name
	return store.Place{URL: address.String()}
}

func command(t testing.TB, address, sql string) {
	t.Helper()
	ctx := context.WithoutCancel(t.Context())
	connection, err := pgx.Connect(ctx, address)
	if err != nil {
		t.Fatal(err)
	}
	defer connection.Close(ctx)
	if _, err := connection.Exec(ctx, sql); err != nil {
		t.Fatal(err)
	}
}

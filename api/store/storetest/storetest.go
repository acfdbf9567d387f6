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

// Open brings a place up to date and opens it for the length of the test. A
// database is opened with a login that owns nothing, as in earnest.
func Open(t testing.TB, place store.Place) *store.Store {
	t.Helper()
	if _, err := store.Migrate(t.Context(), place); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(t.Context(), Served(t, place))
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

// Served is a place as the service is given it: for a database that is up to date,
// its address with a login that owns nothing, which is made when it is not there.
func Served(t testing.TB, place store.Place) store.Place {
	t.Helper()
	if place.URL == "" {
		return place
	}
	address, err := url.Parse(place.URL)
	if err != nil {
		t.Fatal(err)
	}
	role := strings.TrimPrefix(address.Path, "/") + serverEnding
	command(t, place.URL, `DO $$ BEGIN
		IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = '`+role+`') THEN CREATE ROLE `+role+` LOGIN PASSWORD 'serves'; END IF;
	END $$`)
	if err := store.GrantServer(t.Context(), place, role); err != nil {
		t.Fatal(err)
	}
	return store.Place{URL: withLogin(address, role, "serves")}
}

// OwnedPlace gives an empty database to a login that is no superuser, and gives
// its address with that login.
func OwnedPlace(t testing.TB, place store.Place) store.Place {
	t.Helper()
	address, err := url.Parse(place.URL)
	if err != nil {
		t.Fatal(err)
	}
	database := strings.TrimPrefix(address.Path, "/")
	role := database + ownerEnding
	command(t, place.URL, "CREATE ROLE "+role+" LOGIN PASSWORD 'owns'")
	command(t, place.URL, "ALTER DATABASE "+database+" OWNER TO "+role)
	return store.Place{URL: withLogin(address, role, "owns")}
}

// withLogin is an address with another login.
func withLogin(address *url.URL, role, password string) string {
	query := address.Query()
	query.Del("user")
	other := *address
	other.RawQuery, other.User = query.Encode(), url.UserPassword(role, password)
	return other.String()
}

// serverEnding and ownerEnding are what the logins of a test's database are
// called after it.
const (
	serverEnding = "_server"
	ownerEnding  = "_owner"
)

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
	t.Cleanup(func() {
		command(t, admin, "DROP DATABASE "+name+" WITH (FORCE)")
		command(t, admin, "DROP ROLE IF EXISTS "+name+serverEnding+", "+name+ownerEnding)
	})
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

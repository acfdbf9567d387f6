package store_test

import (
	"context"
	"crypto/rand"
	"os"
	"strings"
	"testing"
	"time"

	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

// TestAFullStoreSaysSo: the file may not grow, as on a full disk; what was there
// stays whole, and there is room again once there is.
func TestAFullStoreSaysSo(t *testing.T) {
	place := storetest.Place(t, "sqlite")
	s := storetest.Open(t, place)
	furnish(t, s)
	ctx := t.Context()
	s.LimitPages(t, 60)
	big := strings.Repeat(rand.Text(), 20_000)
	stored := 0
	err := error(nil)
	for i := 0; err == nil && i < 100; i++ {
		err = s.Update(ctx, ours, func(tx service.Tx) error {
			return tx.InsertAuditEntry(ctx, service.AuditEntry{ClubID: number(1), At: instant, Who: "x", Action: "create", Noun: "club", NounID: number(1), After: []byte(`"` + big + `"`)})
		})
		if err == nil {
			stored++
		}
	}
	if service.KindOf(err) != service.StoreFull {
		t.Fatalf("got %v after %d entries", err, stored)
	}
	s.LimitPages(t, 1_000_000)
	furnishMore := func(tx service.Tx) error { return tx.InsertGreen(ctx, green(40, 1, "room again")) }
	write(t, s, furnishMore)
	if got := texts(t, handle(t, place), "PRAGMA integrity_check"); len(got) != 1 || got[0] != "ok" {
		t.Errorf("the file is %v", got)
	}
	if n := len(texts(t, handle(t, place), "SELECT number FROM audit_entries")); n != stored {
		t.Errorf("%d entries, want %d", n, stored)
	}
}

// TestAServerThatGoesAndComesBack: requests fail as unavailable while it is away
// and succeed again without a restart of ours.
func TestAServerThatGoesAndComesBack(t *testing.T) {
	server, err := storetest.NewServer(true)
	if err != nil {
		storetest.SkipIfMissing(t, err)
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(server.Folder()) })
	s := storetest.Open(t, store.Place{URL: server.URL("postgres")})
	furnish(t, s)
	look := func() error {
		ctx, cancel := context.WithTimeout(t.Context(), 5*time.Second)
		defer cancel()
		return s.View(ctx, ours, func(tx service.Tx) error {
			_, err := tx.Green(ctx, number(1), number(2))
			return err
		})
	}
	if err := look(); err != nil {
		t.Fatal(err)
	}
	if err := server.Stop(); err != nil {
		t.Fatal(err)
	}
	for range 5 {
		if err := look(); service.KindOf(err) != service.Unavailable {
			t.Errorf("away: %v", err)
		}
	}
	if err := s.Ready(t.Context()); err == nil {
		t.Error("ready while away")
	}
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := server.Stop(); err != nil {
			t.Error(err)
		}
	})
	// A connection of before may fail once more; the pool then has a new one.
	if err := look(); err != nil && look() != nil {
		t.Errorf("back: %v", err)
	}
	if err := s.Ready(t.Context()); err != nil {
		t.Error(err)
	}
}

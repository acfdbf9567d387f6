package store_test

import (
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"

	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

// TestABackupIsOneStateOfABusyStore: each transaction writes a green and its
// audit entry; a copy that is taken meanwhile has as many of one as of the other,
// and all that were acknowledged before it began.
func TestABackupIsOneStateOfABusyStore(t *testing.T) {
	place := storetest.Place(t, "sqlite")
	s := storetest.Open(t, place)
	furnish(t, s)
	ctx := t.Context()
	var acknowledged atomic.Int64
	stop := make(chan struct{})
	var writers sync.WaitGroup
	for w := range 2 {
		writers.Go(func() {
			for i := 0; ; i++ {
				select {
				case <-stop:
					return
				default:
				}
				id := 1_000*(w+1) + i
				err := s.Update(ctx, ours, func(tx service.Tx) error {
					entry := service.AuditEntry{ClubID: number(1), At: instant, Who: "x", Action: "create", Noun: "green", NounID: number(id), After: []byte("{}")}
					return errors.Join(tx.InsertGreen(ctx, green(id, 1, fmt.Sprint("green ", id))), tx.InsertAuditEntry(ctx, entry))
				})
				if err != nil {
					t.Error(err)
					return
				}
				acknowledged.Add(1)
			}
		})
	}
	for i := range 3 {
		before := acknowledged.Load()
		copied := filepath.Join(t.TempDir(), "copy.db")
		if err := store.Backup(ctx, place.File, copied); err != nil {
			t.Fatal(err)
		}
		db := handle(t, store.Place{File: copied})
		greens, entries := texts(t, db, "SELECT id FROM greens WHERE name LIKE 'green %'"), texts(t, db, "SELECT noun_id FROM audit_entries")
		if len(greens) != len(entries) || int64(len(greens)) < before {
			t.Errorf("copy %d has %d greens and %d entries, after %d were acknowledged", i, len(greens), len(entries), before)
		}
	}
	close(stop)
	writers.Wait()
}

// TestAnOlderStoreCanBeBackedUp, as before bringing it up to date.
func TestAnOlderStoreCanBeBackedUp(t *testing.T) {
	place := storetest.Place(t, "sqlite")
	if _, err := store.Migrate(t.Context(), place); err != nil {
		t.Fatal(err)
	}
	if _, err := store.MigrateDown(t.Context(), place); err != nil {
		t.Fatal(err)
	}
	copied := store.Place{File: filepath.Join(t.TempDir(), "copy.db")}
	if err := store.Backup(t.Context(), place.File, copied.File); err != nil {
		t.Fatal(err)
	}
	furnish(t, storetest.Open(t, copied))
}

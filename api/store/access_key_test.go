package store_test

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

// TestAccessReadsBackAsItWasWritten: keys, sessions and share links, by their ids
// and by the hashes of their secrets.
func TestAccessReadsBackAsItWasWritten(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		furnishEverything(t, s, 1)
		later, clubID := instant.Add(time.Hour), number(1)
		key := service.AccessKey{ID: number(20), ClubID: &clubID, CreatedAt: instant, Label: "Ærø $1 '", Role: service.RoleOwner, ExpiresAt: &later}
		session := service.Session{ID: number(21), ClubID: &clubID, CreatedAt: instant, KeyID: key.ID, ExpiresAt: later}
		link := service.ShareLink{ID: number(22), ClubID: clubID, CreatedAt: instant, AppraisalID: number(103), Label: "", ExpiresAt: later}
		write(t, s, func(tx service.Tx) error {
			return errors.Join(tx.InsertAccessKey(ctx, key, hashFor(20)), tx.InsertSession(ctx, session, hashFor(21)), tx.InsertShareLink(ctx, link, hashFor(22)))
		})
		gotKey, keptKey, err1 := s.FindAccessKey(ctx, hashFor(20))
		gotSession, keyOfSession, keptSession, err2 := s.FindSession(ctx, hashFor(21))
		gotLink, keptLink, err3 := s.FindShareLink(ctx, hashFor(22))
		if diff := cmp.Diff([]any{key, session, key, link}, []any{gotKey, gotSession, keyOfSession, gotLink}); diff != "" || errors.Join(err1, err2, err3) != nil {
			t.Errorf("%v (- written, + read)\n%s", errors.Join(err1, err2, err3), diff)
		}
		if diff := cmp.Diff([]string{hashFor(20), hashFor(21), hashFor(22)}, []string{keptKey, keptSession, keptLink}); diff != "" {
			t.Error(diff)
		}
		key.RevokedAt, link.RevokedAt = &later, &later
		write(t, s, func(tx service.Tx) error {
			return errors.Join(tx.RevokeAccessKey(ctx, key), tx.RevokeShareLink(ctx, link))
		})
		kind(t, s, service.PreconditionFailed, func(tx service.Tx) error { return tx.RevokeAccessKey(ctx, key) })
		kind(t, s, service.PreconditionFailed, func(tx service.Tx) error { return tx.RevokeShareLink(ctx, link) })
		err := s.View(ctx, ours, func(tx service.Tx) error {
			gotKey, err1 := tx.AccessKey(ctx, clubID, key.ID)
			gotLink, err2 := tx.ShareLink(ctx, clubID, number(103), link.ID)
			keys, err3 := tx.AccessKeys(ctx, service.Filter{ClubID: clubID, After: number(20), Limit: 9})
			links, err4 := tx.ShareLinks(ctx, service.Filter{ClubID: clubID, AppraisalID: number(103), Limit: 1})
			if diff := cmp.Diff([]any{key, link, 1, 1}, []any{gotKey, gotLink, len(keys), len(links)}); diff != "" {
				t.Error(diff)
			}
			return errors.Join(err1, err2, err3, err4)
		})
		if err != nil {
			t.Error(err)
		}
		for _, hash := range []string{hashFor(99), "", "'; DROP TABLE access_keys; --"} {
			_, _, err1 := s.FindAccessKey(ctx, hash)
			_, _, _, err2 := s.FindSession(ctx, hash)
			_, _, err3 := s.FindShareLink(ctx, hash)
			for _, err := range []error{err1, err2, err3} {
				if service.KindOf(err) != service.NotFound {
					t.Errorf("%q: %v", hash, err)
				}
			}
		}
	})
}

// TestTheDatabaseKeepsKeysAndLinks as they were made: a role cannot be raised, an
// end put off, or a revocation taken back, by whatever program.
func TestTheDatabaseKeepsKeysAndLinks(t *testing.T) {
	for _, engine := range storetest.Engines {
		t.Run(engine, func(t *testing.T) {
			place := storetest.Place(t, engine)
			furnishEverything(t, storetest.Open(t, place), 1)
			db := handle(t, place)
			refuse(t, db, "access_keys_are_kept", `UPDATE access_keys SET role = 'owner' WHERE role = 'viewer'`, `UPDATE access_keys SET expires_at = '2099-01-01'`,
				`UPDATE access_keys SET label = 'b'`, `DELETE FROM access_keys`)
			refuse(t, db, "share_links_are_kept", `UPDATE share_links SET expires_at = '2099-01-01'`, `UPDATE share_links SET label = 'b'`, `DELETE FROM share_links`)
			for _, table := range []string{"access_keys", "share_links"} {
				if _, err := db.Exec(`UPDATE ` + table + ` SET revoked_at = '2027-03-01'`); err != nil {
					t.Error(err)
				}
				refuse(t, db, table+"_are_kept", `UPDATE `+table+` SET revoked_at = NULL`)
			}
			// The same secret twice, a role without its club, and no hash.
			for constraint, values := range map[string]string{
				"secret":                    `'01985e3c-0000-7000-8000-000000000050', '` + number(1) + `', '2027-01-01', 'a', 'viewer', '` + hashFor(104) + `'`,
				"access_keys_operator":      `'01985e3c-0000-7000-8000-000000000051', NULL, '2027-01-01', 'a', 'owner', '` + hashFor(51) + `'`,
				"access_keys_secret_sha256": `'01985e3c-0000-7000-8000-000000000052', '` + number(1) + `', '2027-01-01', 'a', 'owner', 'x'`,
				"access_keys_role":          `'01985e3c-0000-7000-8000-000000000053', '` + number(1) + `', '2027-01-01', 'a', 'king', '` + hashFor(53) + `'`,
			} {
				refuse(t, db, constraint, `INSERT INTO access_keys (id, club_id, created_at, label, role, secret_sha256) VALUES (`+values+`)`)
			}
		})
	}
}

// TestAStoreOfBeforeKeysIsBroughtUpToDate: the audit trail, whose table is written
// anew in SQLite, keeps its entries and goes on with its numbers; a store without
// keys has none afterwards.
func TestAStoreOfBeforeKeysIsBroughtUpToDate(t *testing.T) {
	for _, engine := range storetest.Engines {
		t.Run(engine, func(t *testing.T) {
			place := storetest.Place(t, engine)
			all, err := store.Migrate(t.Context(), place)
			if err != nil {
				t.Fatal(err)
			}
			for n := len(all); n > 6; n-- {
				if _, err := store.MigrateDown(t.Context(), place); err != nil {
					t.Fatal(err)
				}
			}
			db := handle(t, place)
			club := number(1)
			entry := `INSERT INTO audit_entries (club_id, at, who, action, noun, noun_id, after_document) VALUES ('` + club + `', '2027-03-01 09:00:00+00:00', 'local', 'create', 'club', '` + club + `', '{}')`
			for _, statement := range []string{
				`INSERT INTO clubs (id, club_id, version, created_at, updated_at, name, document)
					VALUES ('` + club + `', '` + club + `', 1, '2027-03-01 09:00:00+00:00', '2027-03-01 09:00:00+00:00', 'a', '{"name":"a","site":{}}')`, entry, entry, entry,
			} {
				if _, err := db.Exec(statement); err != nil {
					t.Fatal(err)
				}
			}
			s := storetest.Open(t, place)
			if has, err := s.HasAccessKeys(t.Context()); err != nil || has {
				t.Errorf("has keys: %v, %v", has, err)
			}
			write(t, s, func(tx service.Tx) error {
				return tx.InsertAuditEntry(t.Context(), service.AuditEntry{ClubID: club, At: instant, Who: "x", Action: "revoke", Noun: "access_key", NounID: club, After: []byte("{}")})
			})
			var numbers []int64
			err = s.View(t.Context(), ours, func(tx service.Tx) error {
				entries, err := tx.AuditEntries(t.Context(), service.Filter{ClubID: club, Limit: 10})
				for _, e := range entries {
					numbers = append(numbers, e.Number)
					if !e.At.Equal(instant.Truncate(time.Minute)) && e.Number < 4 {
						t.Errorf("entry %d is of %s", e.Number, e.At)
					}
				}
				return err
			})
			if diff := cmp.Diff([]int64{1, 2, 3, 4}, numbers); diff != "" || err != nil {
				t.Errorf("%v\n%s", err, diff)
			}
			refuse(t, handle(t, place), "audit_entries_are_kept", `UPDATE audit_entries SET who = 'nobody'`, `DELETE FROM audit_entries`)
		})
	}
}

// TestABackupHoldsTheKeysToo: whoever had a key has it in the copy.
func TestABackupHoldsTheKeysToo(t *testing.T) {
	place := storetest.Place(t, "sqlite")
	furnishEverything(t, storetest.Open(t, place), 1)
	copied := store.Place{File: filepath.Join(t.TempDir(), "copy.db")}
	if err := store.Backup(t.Context(), place.File, copied.File); err != nil {
		t.Fatal(err)
	}
	s := storetest.Open(t, copied)
	_, _, err1 := s.FindAccessKey(t.Context(), hashFor(104))
	_, _, err2 := s.FindShareLink(t.Context(), hashFor(109))
	_, _, _, err3 := s.FindSession(t.Context(), hashFor(108))
	if err := errors.Join(err1, err2, err3); err != nil {
		t.Error(err)
	}
}

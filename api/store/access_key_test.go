package store_test

import (
	"errors"
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

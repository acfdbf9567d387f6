package store_test

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
	"swardcase/costs"
)

// hashFor is a hash that no two rows share.
func hashFor(n int) string { return fmt.Sprintf("%064x", n) }

// furnishEverything puts a row into every table for a club.
func furnishEverything(t *testing.T, s *store.Store, n int) {
	t.Helper()
	ctx, at := t.Context(), 100*n
	home, operators := service.Scope{ClubID: number(n)}, service.Scope{EveryClub: true}
	made := appraisal(t, at+3, "12.30", "GBP")
	made.ClubID, made.GreenID, made.SurveyID = number(n), number(at+1), number(at+2)
	clubID := number(n)
	key := service.AccessKey{ID: number(at + 4), ClubID: &clubID, CreatedAt: instant, Label: "a", Role: service.RoleViewer}
	operator := service.AccessKey{ID: number(at + 5), CreatedAt: instant, Label: "a", Role: service.RoleOperator}
	plan := planOf(at+7, n, instant)
	do := func(scope service.Scope, f func(tx service.Tx) error) {
		t.Helper()
		if err := s.Update(ctx, scope, f); err != nil {
			t.Fatal(err)
		}
	}
	do(home, func(tx service.Tx) error {
		claim := func(route, clubID string) error {
			_, _, err := tx.Claim(ctx, service.Claim{Who: route, Route: route, Key: "k", ClubID: clubID, ID: number(at), BodySHA256: hashFor(n), ClaimedAt: instant, LeasedUntil: instant, KeptUntil: instant.Add(time.Hour)})
			return err
		}
		return errors.Join(
			tx.InsertClub(ctx, club(n)), tx.InsertGreen(ctx, green(at+1, n, "a")), tx.InsertSurvey(ctx, survey(at+2, n, at+1, "2027-02-01")),
			tx.InsertPriceBook(ctx, service.PriceBook{Record: record(at+6, n), SeriesID: number(at + 6), Edition: 1, Book: costs.DemoPriceBook()}),
			tx.InsertAppraisal(ctx, made), tx.InsertCoursePlan(ctx, plan, caseOf(at+7)), tx.InsertAccessKey(ctx, key, hashFor(at+4)),
			tx.InsertSession(ctx, service.Session{ID: number(at + 8), ClubID: &clubID, CreatedAt: instant, KeyID: key.ID, ExpiresAt: instant}, hashFor(at+8)),
			tx.InsertShareLink(ctx, service.ShareLink{ID: number(at + 9), ClubID: clubID, CreatedAt: instant, AppraisalID: made.ID, ExpiresAt: instant}, hashFor(at+9)),
			tx.InsertAuditEntry(ctx, service.AuditEntry{ClubID: clubID, At: instant, Who: "x", Action: "create", Noun: "club", NounID: clubID, After: []byte("{}")}),
			claim("POST /"+clubID, clubID),
		)
	})
	do(operators, func(tx service.Tx) error {
		_, _, err := tx.Claim(ctx, service.Claim{Who: "operator", Route: "POST /" + clubID, Key: "k", ID: number(at), BodySHA256: hashFor(n), ClaimedAt: instant, LeasedUntil: instant, KeptUntil: instant.Add(time.Hour)})
		return errors.Join(err, tx.InsertAccessKey(ctx, operator, hashFor(at+5)),
			tx.InsertSession(ctx, service.Session{ID: number(at + 10), CreatedAt: instant, KeyID: operator.ID, ExpiresAt: instant}, hashFor(at+10)))
	})
}

// scoped runs f in a transaction of a login, with the settings of a scope, and
// keeps it.
func scoped(t *testing.T, db *sql.DB, clubID, every string, f func(tx *sql.Tx) error) error {
	t.Helper()
	tx, err := db.BeginTx(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	if clubID != "" {
		if _, err := tx.Exec(`SELECT set_config('swardcase.club_id', $1, true)`, clubID); err != nil {
			t.Fatal(err)
		}
	}
	if every != "" {
		if _, err := tx.Exec(`SELECT set_config('swardcase.every_club', $1, true)`, every); err != nil {
			t.Fatal(err)
		}
	}
	if err := f(tx); err != nil {
		return err
	}
	return tx.Commit()
}

// clubsOf gives the clubs of the rows that a scope sees in a table, "-" for none.
func clubsOf(t *testing.T, db *sql.DB, clubID, every, table string) []string {
	t.Helper()
	var all []string
	err := scoped(t, db, clubID, every, func(tx *sql.Tx) error {
		rows, err := tx.Query(`SELECT coalesce(CAST(club_id AS text), '-') FROM ` + table)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var one string
			if err := rows.Scan(&one); err != nil {
				return err
			}
			all = append(all, one)
		}
		return rows.Err()
	})
	if err != nil {
		t.Fatalf("%s: %v", table, err)
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// clubTables are the tables of the database, but for that of the migrations.
func clubTables(t *testing.T, owner *sql.DB) []string {
	t.Helper()
	return texts(t, owner, `SELECT relname FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace AND relname <> 'goose_db_version' ORDER BY 1`)
}

// twoClubs is a database with two clubs that have a row in every table, seen by
// the login that owns it and by the one that serves.
func twoClubs(t *testing.T) (owner, server *sql.DB, place store.Place) {
	t.Helper()
	place = storetest.Place(t, "postgres")
	s := storetest.Open(t, place)
	furnishEverything(t, s, 1)
	furnishEverything(t, s, 2)
	return handle(t, place), handle(t, storetest.Served(t, place)), place
}

// TestRowSecurityKeepsClubsApart tries every table with bare SQL, as the login
// that serves: to read, change, add and delete across clubs.
func TestRowSecurityKeepsClubsApart(t *testing.T) {
	owner, server, _ := twoClubs(t)
	tried := 0
	for _, table := range clubTables(t, owner) {
		columns := texts(t, owner, `SELECT column_name FROM information_schema.columns WHERE table_schema = 'public' AND table_name = $1
			AND is_generated = 'NEVER' AND is_identity = 'NO' ORDER BY ordinal_position`, table)
		everyone := clubsOf(t, owner, "", "", table)
		if len(everyone) < 2 {
			t.Fatalf("%s has rows of %v only: give it one of each club", table, everyone)
		}
		for _, none := range []string{"", number(9)} {
			if got := clubsOf(t, server, none, "off", table); len(got) != 0 {
				t.Errorf("%s: for the club %q there are rows of %v", table, none, got)
			}
		}
		if got := clubsOf(t, server, number(1), "off", table); !slices.Equal(got, []string{number(1)}) {
			t.Errorf("%s: one club sees rows of %v", table, got)
		}
		wantEvery := map[string]string{"clubs": number(1) + number(2), "access_keys": "-" + number(1) + number(2), "sessions": "-", "idempotency_keys": "-"}[table]
		if got := strings.Join(clubsOf(t, server, "", "on", table), ""); got != wantEvery {
			t.Errorf("%s: for every club there are rows of %v", table, got)
		}

		before := texts(t, owner, `SELECT t::text FROM `+table+` t WHERE club_id IS DISTINCT FROM $1 ORDER BY 1`, number(1))
		for _, change := range []string{
			`UPDATE ` + table + ` SET club_id = '` + number(1) + `'`,
			`UPDATE ` + table + ` SET club_id = '` + number(1) + `' WHERE club_id = '` + number(2) + `'`,
			`UPDATE ` + table + ` SET club_id = '` + number(2) + `'`,
			`DELETE FROM ` + table + ` WHERE club_id = '` + number(2) + `'`,
			`DELETE FROM ` + table + ` WHERE club_id IS NULL`,
			`TRUNCATE ` + table,
			// A row of the other club, copied from what this one sees.
			`INSERT INTO ` + table + ` (` + strings.Join(columns, ", ") + `) SELECT ` +
				strings.Replace(strings.Join(columns, ", "), "club_id", `'`+number(2)+`'`, 1) + ` FROM ` + table,
			`INSERT INTO ` + table + ` (club_id) VALUES ('` + number(2) + `')`,
			`INSERT INTO ` + table + ` (club_id) VALUES (NULL)`,
		} {
			tried++
			err := scoped(t, server, number(1), "off", func(tx *sql.Tx) error {
				result, err := tx.Exec(change)
				if err != nil {
					return err
				}
				if rows, _ := result.RowsAffected(); rows != 0 && !strings.Contains(change, number(1)) {
					t.Errorf("%s changed %d rows", change, rows)
				}
				return nil
			})
			insert := strings.HasPrefix(change, "INSERT")
			if insert && (err == nil || !strings.Contains(err.Error(), "42501") && !strings.Contains(err.Error(), "row-level security")) {
				t.Errorf("%s: %v", change, err)
			}
		}
		after := texts(t, owner, `SELECT t::text FROM `+table+` t WHERE club_id IS DISTINCT FROM $1 ORDER BY 1`, number(1))
		if !slices.Equal(before, after) {
			t.Errorf("%s: what is of the other club has changed", table)
		}
	}
	t.Logf("%d statements across clubs tried on %d tables", tried, len(clubTables(t, owner)))
}

// TestAScopeEndsWithItsTransaction: the next one on the same connection sees
// nothing of it.
func TestAScopeEndsWithItsTransaction(t *testing.T) {
	_, server, _ := twoClubs(t)
	server.SetMaxOpenConns(1)
	if got := clubsOf(t, server, number(1), "on", "clubs"); len(got) != 2 {
		t.Fatalf("sees %v", got)
	}
	if got := clubsOf(t, server, "", "", "clubs"); len(got) != 0 {
		t.Errorf("afterwards it sees %v", got)
	}
}

// TestTheServersLoginCanDoNoMore: it cannot take down the wall, go round it, or
// read a hash.
func TestTheServersLoginCanDoNoMore(t *testing.T) {
	owner, server, _ := twoClubs(t)
	connection, err := server.Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer connection.Close()
	for _, statement := range []string{
		`ALTER TABLE greens DISABLE ROW LEVEL SECURITY`, `ALTER TABLE greens NO FORCE ROW LEVEL SECURITY`, `DROP POLICY greens_of_club ON greens`,
		`ALTER TABLE greens OWNER TO CURRENT_USER`, `DROP TABLE greens`, `CREATE TABLE public.more (a int)`,
		`CREATE OR REPLACE FUNCTION swardcase_club() RETURNS uuid LANGUAGE sql AS 'SELECT NULL::uuid'`,
		`SET ROLE owner`, `SET SESSION AUTHORIZATION owner`, `ALTER ROLE CURRENT_USER BYPASSRLS`,
		`SELECT secret_sha256 FROM access_keys`, `SELECT secret_sha256 FROM sessions`, `SELECT secret_sha256 FROM share_links`, `SELECT * FROM access_keys`,
		`UPDATE access_keys SET role = 'owner'`, `UPDATE appraisals SET title = 'x'`, `UPDATE audit_entries SET who = 'x'`, `DELETE FROM greens`,
		`INSERT INTO goose_db_version (version_id, is_applied) VALUES (99999, true)`, `UPDATE sessions SET expires_at = '2099-01-01'`,
		`COPY clubs TO PROGRAM 'true'`,
	} {
		if _, err := connection.ExecContext(t.Context(), statement); err == nil {
			t.Errorf("%s was done", statement)
		}
	}
	// With row security off a query fails rather than see everything.
	if err := scoped(t, server, number(1), "", func(tx *sql.Tx) error {
		_, err := tx.Exec(`SET LOCAL row_security = off`)
		if err == nil {
			_, err = tx.Exec(`SELECT count(*) FROM greens`)
		}
		return err
	}); err == nil || !strings.Contains(err.Error(), "row-level security") {
		t.Errorf("row security off: %v", err)
	}
	// A table of its own by the name of ours does not deceive the functions.
	for _, statement := range []string{
		`CREATE TEMP TABLE access_keys AS SELECT 1 AS nothing`, `CREATE TEMP TABLE share_links AS SELECT 1 AS nothing`,
	} {
		if _, err := connection.ExecContext(t.Context(), statement); err != nil {
			t.Fatal(err)
		}
	}
	var id string
	if err := connection.QueryRowContext(t.Context(), `SELECT id FROM swardcase_key_of_secret($1)`, hashFor(104)).Scan(&id); err != nil || id != number(104) {
		t.Errorf("found %s: %v", id, err)
	}
	if got := texts(t, owner, `SELECT proname FROM pg_proc WHERE pronamespace = 'public'::regnamespace AND prosecdef AND
		(coalesce(array_to_string(proconfig, ' '), '') NOT LIKE 'search_path=pg_catalog, public, pg_temp' OR has_function_privilege('public', oid, 'execute'))`); len(got) != 0 {
		t.Errorf("these functions run as the owner with a path that is not pinned, or for everybody: %v", got)
	}
}

// TestEveryTableHasRowSecurity, also against its owner, but for those that the
// look-ups of secrets and of what waits must read as the owner.
func TestEveryTableHasRowSecurity(t *testing.T) {
	owner, _, _ := twoClubs(t)
	if bare := texts(t, owner, `SELECT relname FROM pg_class c WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace AND relname <> 'goose_db_version'
		AND (NOT relrowsecurity OR NOT EXISTS (SELECT FROM pg_policy p WHERE p.polrelid = c.oid AND p.polcmd = '*'))`); len(bare) != 0 {
		t.Errorf("without row security, or without a policy for every command: %v", bare)
	}
	unforced := texts(t, owner, `SELECT relname FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace AND relname <> 'goose_db_version'
		AND NOT relforcerowsecurity ORDER BY 1`)
	if want := []string{"access_keys", "course_plans", "sessions", "share_links"}; !slices.Equal(unforced, want) {
		t.Errorf("not forced on their owner: %v, want %v", unforced, want)
	}
}

// TestAnOrdinaryOwnerMigratesAndServes: a login that is no superuser makes the
// tables; where it serves as well, row security holds it too.
func TestAnOrdinaryOwnerMigratesAndServes(t *testing.T) {
	admin := storetest.Place(t, "postgres")
	place := storetest.OwnedPlace(t, admin)
	if _, err := store.Migrate(t.Context(), place); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(t.Context(), place)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	furnishEverything(t, s, 1)
	furnishEverything(t, s, 2)
	owner := handle(t, place)
	for _, table := range []string{"clubs", "greens", "appraisals", "audit_entries", "idempotency_keys"} {
		if got := clubsOf(t, owner, "", "", table); len(got) != 0 {
			t.Errorf("%s: the owner sees rows of %v", table, got)
		}
		if got := clubsOf(t, owner, number(1), "", table); len(got) != 1 {
			t.Errorf("%s: within one club the owner sees rows of %v", table, got)
		}
	}
	key, kept, err := s.FindAccessKey(context.Background(), hashFor(204))
	if err != nil || key.ID != number(204) || kept != hashFor(204) {
		t.Errorf("found %+v: %v", key, err)
	}
	if has, err := s.HasAccessKeys(t.Context()); err != nil || !has {
		t.Errorf("has keys: %v, %v", has, err)
	}
	if _, err := store.MigrateDown(t.Context(), place); err != nil {
		t.Error(err)
	}
}

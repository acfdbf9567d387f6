package main

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver named "pgx"
	_ "modernc.org/sqlite"             // the driver named "sqlite"
)

// place is where a service keeps things: a file, or a database.
type place struct{ file, url string }

// setting is how the service is told of it.
func (p place) setting() string {
	if p.file != "" {
		return "SWARDCASE_STORE=" + p.file
	}
	return "DATABASE_URL=" + p.url
}

// look opens the place behind the service's back.
func (p place) look() (*sql.DB, error) {
	if p.file != "" {
		return sql.Open("sqlite", (&url.URL{Scheme: "file", Opaque: url.PathEscape(p.file), RawQuery: "_pragma=busy_timeout(10000)"}).String())
	}
	return sql.Open("pgx", p.url)
}

// oddities are what no table may hold: a thing without exactly one entry of its
// making, an entry of a thing that is not there, an answer about such a thing.
var oddities = map[string]string{
	"things without an audit entry of their making": `
		SELECT count(*) FROM (` + things + ` EXCEPT SELECT noun_id FROM audit_entries WHERE action = 'create') t`,
	"things made more than once by the audit trail": `
		SELECT count(*) - count(DISTINCT noun_id) FROM audit_entries WHERE action = 'create'`,
	"things of the audit trail that are not there": `
		SELECT count(*) FROM (SELECT noun_id FROM audit_entries EXCEPT SELECT id FROM (` + things + `) t) e`,
	"answers that tell of things that are not there": `
		SELECT count(*) FROM (SELECT answer->>'id' FROM idempotency_keys WHERE answer IS NOT NULL
		EXCEPT SELECT CAST(id AS text) FROM (` + things + `) t) k`,
	"numbers of the audit trail that run against its instants, for one thing": `
		SELECT count(*) FROM (SELECT at, lag(at) OVER (PARTITION BY noun_id ORDER BY number) AS earlier FROM audit_entries) e
		WHERE earlier > at`,
}

const things = `SELECT id FROM clubs UNION ALL SELECT id FROM greens UNION ALL SELECT id FROM surveys
		UNION ALL SELECT id FROM price_books UNION ALL SELECT id FROM appraisals
		UNION ALL SELECT id FROM access_keys UNION ALL SELECT id FROM share_links`

// checkWhole looks for oddities, and has SQLite check its file.
func (p place) checkWhole(ctx context.Context) (err error) {
	db, err := p.look()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	for name, query := range oddities {
		var found int
		if err := db.QueryRowContext(ctx, query).Scan(&found); err != nil {
			return fmt.Errorf("look for %s: %w", name, err)
		}
		if found > 0 {
			return fmt.Errorf("%d %s", found, name)
		}
	}
	if p.file == "" {
		return nil
	}
	var verdict string
	if err := db.QueryRowContext(ctx, "PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
		return errors.Join(fmt.Errorf("the integrity check of the file says %q", verdict), err)
	}
	return nil
}

// count is how many of a kind a club has.
func (p place) count(ctx context.Context, kind, clubID string) (n int, err error) {
	db, err := p.look()
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	return n, db.QueryRowContext(ctx, "SELECT count(*) FROM "+kind+" WHERE club_id = $1", clubID).Scan(&n)
}

// kept is how many of a club's writes are there, heard of or not.
func (p place) kept(ctx context.Context, k club) (int, error) {
	total := 0
	for kind, first := range already {
		n, err := p.count(ctx, kind, k.id)
		if err != nil {
			return 0, err
		}
		total += n - first
	}
	return total, nil
}

// ageClaims ends the leases of claims that a death left behind, as the passing
// of two minutes would.
func (p place) ageClaims(ctx context.Context) (err error) {
	db, err := p.look()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	_, err = db.ExecContext(ctx, "UPDATE idempotency_keys SET leased_until = claimed_at WHERE answer IS NULL")
	return err
}

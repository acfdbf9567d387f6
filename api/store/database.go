package store

import (
	"context"

	"swardcase/api/service"
)

// database is what the store needs of an engine. There are two: a pgx pool and
// modernc's SQLite. Both take $1, $2, … in any order and more than once, so that
// one set of queries serves both.
type database interface {
	// tx runs f in a transaction, and keeps it when f returns nil.
	tx(ctx context.Context, readOnly bool, f func(querier) error) error
	// confine tells the engine whose rows the transaction may see.
	confine(ctx context.Context, q querier, scope service.Scope) error
	// lookUp scans the one row of a query outside any transaction.
	lookUp(ctx context.Context, sql string, args []any, into ...any) error
	// ping reaches the engine.
	ping(ctx context.Context) error
	// translate turns an error of the driver into one of the service's kinds.
	translate(err error) error
	close() error
}

// lookups are what follows FROM, or SELECT, where a secret is looked up by its
// hash. In PostgreSQL the login that serves may not read these tables across
// clubs: functions that run as their owner give the row of the one secret. Those of
// jobs are found in the same way, before it is known whose they are.
type lookups struct {
	accessKey, session, shareLink string
	hasAccessKeys                 string
	// dueJob takes an instant and how many jobs to pass over.
	dueJob, jobDepth string
}

var (
	sqliteLookups = lookups{
		accessKey:     "access_keys WHERE secret_sha256 = $1",
		session:       "sessions s JOIN access_keys k ON k.id = s.key_id WHERE s.secret_sha256 = $1",
		shareLink:     "share_links WHERE secret_sha256 = $1",
		hasAccessKeys: "EXISTS (SELECT 1 FROM access_keys)",
		dueJob:        "club_id, id FROM course_plans WHERE claimable_at <= $1 ORDER BY id LIMIT 1 OFFSET $2",
		jobDepth: `count(*) FILTER (WHERE state = 'queued'), count(*) FILTER (WHERE state = 'running'),
			unixepoch(min(created_at) FILTER (WHERE state = 'queued')) FROM course_plans WHERE claimable_at IS NOT NULL`,
	}
	postgresLookups = lookups{
		accessKey:     "swardcase_key_of_secret($1)",
		session:       "swardcase_session_of_secret($1) s CROSS JOIN swardcase_key_of_session($1) k",
		shareLink:     "swardcase_share_link_of_secret($1)",
		hasAccessKeys: "swardcase_has_keys()",
		dueJob:        "job_club, job FROM swardcase_due_job($1, $2)",
		jobDepth:      "queued, running, oldest_s FROM swardcase_job_depth()",
	}
)

// querier runs queries within a transaction.
type querier interface {
	// exec gives the number of rows that were changed.
	exec(ctx context.Context, sql string, args ...any) (int64, error)
	// row scans the one row of a query, and gives errNoRow when there is none.
	row(ctx context.Context, sql string, args []any, into ...any) error
	// rows calls scan for each row of a query.
	rows(ctx context.Context, sql string, args []any, scan func(scanner) error) error
}

// scanner reads the columns of the row at hand.
type scanner interface{ Scan(into ...any) error }

// cursor is the rows of a query, of either driver.
type cursor interface {
	scanner
	Next() bool
	Err() error
}

// each scans every row.
func each(rows cursor, scan func(scanner) error) error {
	for rows.Next() {
		if err := scan(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

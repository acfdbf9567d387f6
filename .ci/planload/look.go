package main

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver named "pgx"

	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

// database is the one that the server comes with.
const database = "postgres"

// makeTables makes the tables and a login that owns nothing, and gives the address
// with which the service serves.
func makeTables(ctx context.Context, server *storetest.Server) (string, error) {
	place := store.Place{URL: server.URL(database)}
	if _, err := store.Migrate(ctx, place); err != nil {
		return "", err
	}
	look, err := openLook(server)
	if err != nil {
		return "", err
	}
	defer look.db.Close()
	if _, err := look.db.ExecContext(ctx, "CREATE ROLE "+store.DefaultServerRole+" LOGIN"); err != nil {
		return "", err
	}
	if err := store.GrantServer(ctx, place, store.DefaultServerRole); err != nil {
		return "", err
	}
	return server.URLAs(store.DefaultServerRole, database), nil
}

// look reads the database behind the services' backs, as its owner.
type look struct{ db *sql.DB }

func openLook(server *storetest.Server) (look, error) {
	db, err := sql.Open("pgx", server.URL(database))
	return look{db}, err
}

// ended is how many plans have ended.
func (l look) ended(ctx context.Context) (ended int, err error) {
	err = l.db.QueryRowContext(ctx, `SELECT count(*) FROM course_plans WHERE ended_at IS NOT NULL`).Scan(&ended)
	return ended, err
}

// runningOf gives the plans that a process works on.
func (l look) runningOf(ctx context.Context, pid int) (ids []string, err error) {
	rows, err := l.db.QueryContext(ctx, `SELECT id FROM course_plans WHERE state = 'running' AND split_part(worker, '/', 2) = $1::text`, fmt.Sprint(pid))
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var id string
		if err := rows.Scan(&id); err != nil {
			return nil, err
		}
		ids = append(ids, id)
	}
	return ids, rows.Err()
}

// untilEnded waits until some plans have ended.
func (l look) untilEnded(ctx context.Context, ids []string) error {
	return l.until(ctx, `SELECT count(*) FROM course_plans WHERE ended_at IS NULL AND id = ANY($1::uuid[])`, ids)
}

// untilAllEnded waits until every plan has ended.
func (l look) untilAllEnded(ctx context.Context) error {
	return l.until(ctx, `SELECT count(*) FROM course_plans WHERE ended_at IS NULL`)
}

// patience is how long nothing may come to an end.
const patience = 10 * time.Minute

// until waits until a query counts nothing.
func (l look) until(ctx context.Context, query string, arguments ...any) error {
	last, since := -1, time.Now()
	for {
		var open int
		if err := l.db.QueryRowContext(ctx, query, arguments...).Scan(&open); err != nil || open == 0 {
			return err
		}
		if open != last {
			last, since = open, time.Now()
		}
		if time.Since(since) > patience {
			return fmt.Errorf("%d plans have not ended, and none has for %s", open, patience)
		}
		if err := pause(ctx, 100*time.Millisecond); err != nil {
			return err
		}
	}
}

// oddities are what must not be found, each as a count.
var oddities = []struct{ what, query string }{
	{"plans that are not done", `SELECT count(*) FROM course_plans WHERE state <> 'done'`},
	{"plans without a result", `SELECT count(*) FROM course_plans p WHERE NOT EXISTS (SELECT FROM course_plan_documents d WHERE d.plan_id = p.id AND d.part = 'result')`},
	{"results too many", `SELECT count(*) - count(DISTINCT plan_id) FROM course_plan_documents WHERE part = 'result'`},
	{"plans whose end the audit trail does not tell once", `SELECT count(*) FROM course_plans p
		WHERE (SELECT count(*) FROM audit_entries e WHERE e.noun_id = p.id AND e.action IN ('finish', 'fail', 'cancel')) <> 1`},
	{"courses whose plans came out differently", `SELECT count(*) FROM
		(SELECT case_sha256 FROM course_plans GROUP BY case_sha256 HAVING count(DISTINCT result_sha256) > 1) t`},
}

// check holds every plan to what was promised: each is made, once, and only those
// that the killed process had were begun twice.
func (l look) check(ctx context.Context, clubs, left int) error {
	var plans, again int
	err := l.db.QueryRowContext(ctx, `SELECT count(*), count(*) FILTER (WHERE claim > 1) FROM course_plans`).Scan(&plans, &again)
	if err != nil {
		return err
	}
	var broken []error
	if plans != clubs {
		broken = append(broken, fmt.Errorf("%d plans were asked for, and %d are there", clubs, plans))
	}
	if again != left {
		broken = append(broken, fmt.Errorf("%d plans were begun more than once, and the killed process had %d", again, left))
	}
	for _, oddity := range oddities {
		var found int
		if err := l.db.QueryRowContext(ctx, oddity.query).Scan(&found); err != nil {
			return fmt.Errorf("look for %s: %w", oddity.what, err)
		}
		if found != 0 {
			broken = append(broken, fmt.Errorf("%d %s", found, oddity.what))
		}
	}
	return errors.Join(broken...)
}

// report prints the figures, by the instants that are kept with the plans.
func (l look) report(ctx context.Context) error {
	var plans, kinds int
	var seconds, work50, work95, wait50 float64
	err := l.db.QueryRowContext(ctx, `SELECT count(*), count(DISTINCT case_sha256), extract(epoch FROM max(ended_at) - min(started_at)),
			percentile_cont(0.5) WITHIN GROUP (ORDER BY extract(epoch FROM ended_at - started_at)),
			percentile_cont(0.95) WITHIN GROUP (ORDER BY extract(epoch FROM ended_at - started_at)),
			percentile_cont(0.5) WITHIN GROUP (ORDER BY extract(epoch FROM started_at - created_at))
		FROM course_plans`).Scan(&plans, &kinds, &seconds, &work50, &work95, &wait50)
	if err != nil {
		return err
	}
	fmt.Printf("%d plans of %d different courses made in %.1f s: %.0f a minute; half took a worker less than %.2f s, 95 %% less than %.2f s; half waited less than %.1f s\n",
		plans, kinds, seconds, 60*float64(plans)/seconds, work50, work95, wait50)
	fmt.Println("nothing lost, no plan made twice, every course with one and the same plan")
	return nil
}

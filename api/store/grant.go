package store

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"
)

// DefaultServerRole is the PostgreSQL login that serves, where no other is named.
const DefaultServerRole = "swardcase_server"

// ErrNoServerRole says that the database knows no such login.
var ErrNoServerRole = errors.New("the database has no such login")

// serverMay is all that the login which serves may do: it owns nothing, changes
// only what the program changes, and cannot read the hash of a secret. A new
// table needs its line here.
var serverMay = []string{
	"USAGE ON SCHEMA public",
	"SELECT ON goose_db_version",
	"SELECT, INSERT, UPDATE ON clubs, greens, surveys, price_books",
	"SELECT, INSERT, UPDATE (version, updated_at, archived_at) ON appraisals",
	"SELECT, INSERT ON audit_entries",
	"SELECT, INSERT, UPDATE, DELETE ON idempotency_keys",
	"SELECT (id, club_id, created_at, label, role, expires_at, revoked_at), INSERT, UPDATE (revoked_at) ON access_keys",
	"SELECT (id, club_id, created_at, appraisal_id, label, expires_at, revoked_at), INSERT, UPDATE (revoked_at) ON share_links",
	"SELECT (id, club_id, created_at, key_id, expires_at), INSERT, DELETE ON sessions",
	"EXECUTE ON FUNCTION swardcase_key_of_secret(text), swardcase_session_of_secret(text), swardcase_key_of_session(text)",
	"EXECUTE ON FUNCTION swardcase_share_link_of_secret(text), swardcase_has_keys()",
	"SELECT, INSERT, UPDATE (version, updated_at, archived_at, state, started_at, ended_at, attempts, progress_document, reason, claim, claimable_at," +
		" worker, engine_version, result_sha256) ON course_plans",
	"SELECT, INSERT ON course_plan_documents",
	"EXECUTE ON FUNCTION swardcase_due_job(timestamptz, bigint), swardcase_job_depth()",
}

// GrantServer lets a login of a PostgreSQL database serve, and takes from it what
// it may not do. It is called with the login that owns the tables, once they are
// up to date. A login that sees through row security is refused.
func GrantServer(ctx context.Context, place Place, role string) error {
	db, err := openPostgres(ctx, place.URL)
	if err != nil {
		return err
	}
	defer db.close()
	err = db.tx(ctx, false, func(q querier) error {
		var seesThrough, owns bool
		err := q.row(ctx, `SELECT rolsuper OR rolbypassrls,
				EXISTS (SELECT FROM pg_class WHERE relowner = r.oid AND relnamespace = 'public'::regnamespace)
			FROM pg_roles r WHERE rolname = $1`, []any{role}, &seesThrough, &owns)
		switch {
		case errors.Is(err, errNoRow):
			return ErrNoServerRole
		case err != nil:
			return err
		case seesThrough || owns:
			return fmt.Errorf("the login %s must not serve: it owns tables or sees through row security; "+
				"make another with CREATE ROLE %s LOGIN PASSWORD '…'", role, DefaultServerRole)
		}
		name := pgx.Identifier{role}.Sanitize()
		for _, taken := range []string{"ALL ON ALL TABLES IN SCHEMA public", "ALL ON ALL FUNCTIONS IN SCHEMA public", "CREATE ON SCHEMA public"} {
			if _, err := q.exec(ctx, "REVOKE "+taken+" FROM "+name); err != nil {
				return err
			}
		}
		for _, given := range serverMay {
			if _, err := q.exec(ctx, "GRANT "+given+" TO "+name); err != nil {
				return err
			}
		}
		return nil
	})
	if errors.Is(err, ErrNoServerRole) {
		return err
	}
	return db.translate(err)
}

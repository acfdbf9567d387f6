package store

import (
	"context"
	"errors"
	"net"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"
	driver "modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"swardcase/api/service"
)

// errNoRow is a query for one thing that found none.
var errNoRow = &service.Error{Kind: service.NotFound, Detail: "There is no such thing."}

// clashes says what the caller is told of a broken constraint, by its name. One
// that is not here is broken by us and not by the caller.
var clashes = map[string]string{
	"greens_name_taken":         "The club has another green of this name: choose another name, or archive the other.",
	"surveys_day_taken":         "The green has another survey of this day: archive it first, or replace it.",
	"price_books_edition_taken": "Another edition of this price book was stored at the same moment: send the request again.",
	"price_books_used_is_kept":  "An appraisal has used this edition, so that it cannot change. Post a new edition that succeeds it.",
	"clubs_pk":                  "A club of this id is there already.",
}

// known gives an error that needs no translation: it is one of ours, or the
// caller has gone.
func known(err error) bool {
	var ours *service.Error
	return err == nil || errors.As(err, &ours) || service.Faults(err) != nil ||
		errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded)
}

func clash(constraint string, cause error) error {
	if detail, ours := clashes[constraint]; ours {
		return &service.Error{Kind: service.Conflict, Detail: detail, Cause: cause}
	}
	return cause
}

func unavailable(cause error) error {
	return &service.Error{Kind: service.Unavailable, Detail: "The store cannot be reached just now; try again in a moment.", Cause: cause}
}

func full(cause error) error {
	return &service.Error{Kind: service.StoreFull, Detail: "The store has no room left: nothing of this request was kept.", Cause: cause}
}

// translate reads PostgreSQL's SQLSTATE (its appendix A) and constraint name.
func (p *postgres) translate(err error) error {
	var told *pgconn.PgError
	switch {
	case known(err):
		return err
	case !errors.As(err, &told):
		return lostConnection(err)
	}
	switch class := told.Code[:2]; {
	case class == "23": // integrity constraint violation
		return clash(told.ConstraintName, err)
	case told.Code == "53100": // disk full
		return full(err)
	case class == "08", class == "53", class == "57", class == "58", // connection, resources, shutdown, system
		told.Code == "40001", told.Code == "40P01", told.Code == "25006": // serialisation, deadlock, a standby
		return unavailable(err)
	}
	return err
}

// lostConnection tells a server that cannot be reached from an error of ours.
func lostConnection(err error) error {
	var network net.Error
	var refused *pgconn.ConnectError
	if errors.As(err, &network) || errors.As(err, &refused) || pgconn.SafeToRetry(err) ||
		strings.Contains(err.Error(), "unexpected EOF") || strings.Contains(err.Error(), "conn closed") {
		return unavailable(err)
	}
	return err
}

// uniqueColumns are the unique constraints of SQLite by their columns, which is
// all that its message tells of them.
var uniqueColumns = map[string]string{
	"clubs.id":                              "clubs_pk",
	"greens.id":                             "greens_pk",
	"greens.club_id, greens.id":             "greens_in_club",
	"greens.club_id, greens.name":           "greens_name_taken",
	"surveys.id":                            "surveys_pk",
	"surveys.club_id, surveys.id":           "surveys_in_club",
	"surveys.green_id, surveys.surveyed_on": "surveys_day_taken",
	"price_books.id":                        "price_books_pk",
	"price_books.club_id, price_books.id":   "price_books_in_club",
	"price_books.club_id, price_books.series_id, price_books.edition": "price_books_edition_taken",
	"appraisals.id":                         "appraisals_pk",
	"appraisals.club_id, appraisals.id":     "appraisals_in_club",
	"share_links.id":                        "share_links_pk",
	"share_links.secret_sha256":             "share_links_secret_taken",
	"access_keys.id":                        "access_keys_pk",
	"access_keys.secret_sha256":             "access_keys_secret_taken",
	"sessions.id":                           "sessions_pk",
	"sessions.secret_sha256":                "sessions_secret_taken",
	"course_plans.id":                       "course_plans_pk",
	"course_plans.club_id, course_plans.id": "course_plans_in_club",
	"course_plan_documents.plan_id, course_plan_documents.part":          "course_plan_documents_pk",
	"idempotency_keys.who, idempotency_keys.route, idempotency_keys.key": "idempotency_keys_pk",
}

// translate reads SQLite's extended result code. Constraints are named at the end
// of its message, and unique ones by their columns.
func (s *sqlite) translate(err error) error {
	var told *driver.Error
	if known(err) || !errors.As(err, &told) {
		return err
	}
	switch told.Code() {
	case sqlite3.SQLITE_CONSTRAINT_UNIQUE, sqlite3.SQLITE_CONSTRAINT_PRIMARYKEY:
		return clash(uniqueColumns[messageEnd(told, "UNIQUE constraint failed: ")], err)
	case sqlite3.SQLITE_CONSTRAINT_CHECK:
		return clash(messageEnd(told, "CHECK constraint failed: "), err)
	case sqlite3.SQLITE_CONSTRAINT_TRIGGER:
		return clash(messageEnd(told, "constraint failed: "), err)
	}
	switch told.Code() & 0xff {
	case sqlite3.SQLITE_FULL:
		return full(err)
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PROTOCOL:
		return unavailable(err)
	case sqlite3.SQLITE_INTERRUPT:
		return errors.Join(context.Canceled, err)
	}
	return err
}

// messageEnd is what follows the words, without the code that the driver adds.
func messageEnd(told *driver.Error, words string) string {
	_, end, _ := strings.Cut(told.Error(), words)
	end, _, _ = strings.Cut(end, " (")
	return end
}

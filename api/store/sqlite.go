package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"time"

	_ "modernc.org/sqlite" // the driver named "sqlite"

	"swardcase/api/service"
)

// sqlite is the adapter over one file. SQLite has one writer at a time: asking
// for more connections would only make them wait on one another's locks.
type sqlite struct {
	writer, reader *sql.DB
	// lookUps are the queries of lookUp by their text: few, and asked for nearly
	// every request.
	lookUps sync.Map // of *sql.Stmt
}

const (
	// busyTimeout is how long a transaction waits for another process's lock.
	busyTimeout = 5 * time.Second
	sqliteReads = 4
)

func openSQLite(file string) (*sqlite, error) {
	// The file is made here and not by the driver, so that only its owner can
	// read what clubs have confided.
	created, err := os.OpenFile(file, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, fmt.Errorf("open the store: %w", err)
	}
	if err := created.Close(); err != nil {
		return nil, fmt.Errorf("open the store: %w", err)
	}
	writer, err := sql.Open("sqlite", sqliteDSN(file, "immediate"))
	if err != nil {
		return nil, fmt.Errorf("open the store: %w", err)
	}
	writer.SetMaxOpenConns(1)
	reader, err := sql.Open("sqlite", sqliteDSN(file, "deferred", "query_only(1)"))
	if err != nil {
		return nil, errors.Join(fmt.Errorf("open the store: %w", err), writer.Close())
	}
	reader.SetMaxOpenConns(sqliteReads)
	return &sqlite{writer: writer, reader: reader}, nil
}

// sqliteDSN names a file with what every connection is set to: a log that is
// written ahead and synchronised at each commit, so that what was acknowledged
// is on disk, and instants in a form that sorts and reads back.
func sqliteDSN(file, lock string, pragmas ...string) string {
	query := url.Values{"_time_format": {"sqlite"}, "_txlock": {lock}}
	for _, pragma := range append([]string{
		fmt.Sprintf("busy_timeout(%d)", busyTimeout.Milliseconds()),
		"journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(1)",
	}, pragmas...) {
		query.Add("_pragma", pragma)
	}
	return sqliteFile(file) + "?" + query.Encode()
}

// sqliteFile names a file in a way that a question mark in its path cannot end.
func sqliteFile(file string) string {
	return "file:" + (&url.URL{Path: filepath.ToSlash(file)}).EscapedPath()
}

func (s *sqlite) tx(ctx context.Context, readOnly bool, f func(querier) error) error {
	db := s.writer
	if readOnly {
		db = s.reader
	}
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // does nothing once the transaction is kept
	if err := f(sqliteTx{tx}); err != nil {
		return err
	}
	return tx.Commit()
}

// confine does nothing: SQLite has no row security.
func (s *sqlite) confine(context.Context, querier, service.Scope) error { return nil }

func (s *sqlite) lookUp(ctx context.Context, query string, args []any, into ...any) error {
	prepared, err := s.prepared(ctx, query)
	if err != nil {
		return err
	}
	return noSQLiteRow(prepared.QueryRowContext(ctx, args...).Scan(into...))
}

// prepared gives a query that the engine has read: to read the text of a look-up
// costs more than to answer it. The reader closes what it has prepared.
func (s *sqlite) prepared(ctx context.Context, query string) (*sql.Stmt, error) {
	if known, is := s.lookUps.Load(query); is {
		return known.(*sql.Stmt), nil
	}
	made, err := s.reader.PrepareContext(ctx, query)
	if err != nil {
		return nil, err
	}
	if earlier, is := s.lookUps.LoadOrStore(query, made); is {
		return earlier.(*sql.Stmt), made.Close()
	}
	return made, nil
}

func (s *sqlite) ping(ctx context.Context) error { return s.reader.PingContext(ctx) }

func (s *sqlite) close() error { return errors.Join(s.reader.Close(), s.writer.Close()) }

type sqliteTx struct{ tx *sql.Tx }

func (t sqliteTx) exec(ctx context.Context, query string, args ...any) (int64, error) {
	result, err := t.tx.ExecContext(ctx, query, args...)
	if err != nil {
		return 0, err
	}
	return result.RowsAffected()
}

func (t sqliteTx) row(ctx context.Context, query string, args []any, into ...any) error {
	return noSQLiteRow(t.tx.QueryRowContext(ctx, query, args...).Scan(into...))
}

func noSQLiteRow(err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return errNoRow
	}
	return err
}

func (t sqliteTx) rows(ctx context.Context, query string, args []any, scan func(scanner) error) error {
	rows, err := t.tx.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	return each(rows, scan)
}

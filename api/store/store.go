// Package store keeps what the service is given: in PostgreSQL, or in one SQLite
// file where no server is wanted. The queries are the same for both; what differs
// is in one small adapter each, in the migrations, and in how errors are told.
package store

import (
	"context"
	"errors"
	"fmt"

	"swardcase/api/service"
)

// Store implements service.Store. It is safe for concurrent use.
type Store struct {
	db      database
	engine  engine
	lookups lookups
}

var _ service.Store = (*Store)(nil)

// Place is where things are kept: one of the two.
type Place struct {
	// File is the path of a SQLite file, which is made when it is not there.
	File string
	// URL is the address of a PostgreSQL database.
	URL string
}

// Open opens a store whose tables are all there. A SQLite file is brought up to
// date first, since one process owns it; a PostgreSQL database is not, since the
// login that serves need not own the tables: `swardcase migrate up` does it.
func Open(ctx context.Context, place Place) (*Store, error) {
	if place.File != "" {
		if _, err := Migrate(ctx, place); err != nil {
			return nil, err
		}
	}
	s, err := open(ctx, place)
	if err != nil {
		return nil, err
	}
	if err := s.checkMigrations(ctx); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

func open(ctx context.Context, place Place) (*Store, error) {
	switch {
	case place.File != "" && place.URL != "":
		return nil, errors.New("give a file or the address of a database, not both")
	case place.File != "":
		db, err := openSQLite(place.File)
		if err != nil {
			return nil, err
		}
		return &Store{db, sqliteEngine(db), sqliteLookups}, nil
	case place.URL != "":
		db, err := openPostgres(ctx, place.URL)
		if err != nil {
			return nil, err
		}
		return &Store{db, postgresEngine(db), postgresLookups}, nil
	}
	return nil, errors.New("give a file or the address of a database")
}

// Close lets go of the engine. Transactions under way are waited for.
func (s *Store) Close() error { return s.db.close() }

// View runs f in a transaction that only reads.
func (s *Store) View(ctx context.Context, scope service.Scope, f func(service.Tx) error) error {
	return s.run(ctx, scope, true, f)
}

// Update runs f in a transaction that is kept when f returns nil.
func (s *Store) Update(ctx context.Context, scope service.Scope, f func(service.Tx) error) error {
	return s.run(ctx, scope, false, f)
}

// run tells the engine whose rows the transaction is for. Every query names the
// club itself as well; where the engine has row security, that is a second wall.
func (s *Store) run(ctx context.Context, scope service.Scope, readOnly bool, f func(service.Tx) error) (err error) {
	ctx, end := span(ctx, map[bool]string{true: "store.View", false: "store.Update"}[readOnly])
	defer func() { end(err) }()
	return s.told(ctx, s.db.tx(ctx, readOnly, func(q querier) error {
		if err := s.db.confine(ctx, q, scope); err != nil {
			return err
		}
		return f(tx{q})
	}))
}

// lookUp scans the one row of a query that belongs to no club's transaction.
func (s *Store) lookUp(ctx context.Context, sql string, args []any, into ...any) (err error) {
	ctx, end := span(ctx, "store.LookUp")
	defer func() { end(err) }()
	return s.told(ctx, s.db.lookUp(ctx, sql, args, into...))
}

// told turns an error of the driver into one of the service's kinds.
func (s *Store) told(ctx context.Context, err error) error {
	if err != nil && ctx.Err() != nil && !known(err) {
		return fmt.Errorf("the store was left: %w", errors.Join(ctx.Err(), err))
	}
	return s.db.translate(err)
}

// Ready says whether the engine answers and has every migration.
func (s *Store) Ready(ctx context.Context) error {
	if err := s.db.ping(ctx); err != nil {
		return fmt.Errorf("reach the store: %w", err)
	}
	return s.checkMigrations(ctx)
}

// tx implements service.Tx.
type tx struct{ q querier }

// changed reports an update that found no row: there was one a moment ago, so
// that somebody else has changed it since.
func changed(rows int64, err error) error {
	if err != nil || rows == 1 {
		return err
	}
	return &service.Error{Kind: service.PreconditionFailed, Detail: "Somebody else changed it at the same moment: read it again."}
}

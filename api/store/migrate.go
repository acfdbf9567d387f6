package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"path"

	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"

	"swardcase/api/service"
	"swardcase/migrations"
)

// engine is what the migrations need to know of an engine.
type engine struct {
	dialect goose.Dialect
	folder  fs.FS
	// open gives a database/sql handle, which goose asks for.
	open func() *sql.DB
	// closes says whether closing the handle is ours to do.
	closes  bool
	options []goose.ProviderOption
}

func postgresEngine(p *postgres) engine {
	e := engine{
		dialect: goose.DialectPostgres, folder: migrations.Postgres(), closes: true,
		open: func() *sql.DB { return stdlib.OpenDBFromPool(p.pool) },
	}
	// Two processes that migrate at once wait for one another.
	if locker, err := lock.NewPostgresSessionLocker(); err == nil {
		e.options = append(e.options, goose.WithSessionLocker(locker))
	}
	return e
}

func sqliteEngine(s *sqlite) engine {
	return engine{
		dialect: goose.DialectSQLite3, folder: migrations.SQLite(),
		open: func() *sql.DB { return s.writer },
	}
}

// provide hands goose to f.
func (e engine) provide(f func(*goose.Provider) error) error {
	db := e.open()
	if e.closes {
		defer db.Close()
	}
	provider, err := goose.NewProvider(e.dialect, db, e.folder, append(e.options, goose.WithDisableGlobalRegistry(true))...)
	if err != nil {
		return fmt.Errorf("read the migrations: %w", err)
	}
	return f(provider)
}

// checkMigrations refuses tables that are older or newer than this program. It
// only reads, since the login that serves may not be able to do more.
func (s *Store) checkMigrations(ctx context.Context) error {
	has, wants, err := s.migrations(ctx)
	if err == nil && has < wants {
		err = misfit("The tables are at migration %d and %d is needed: run swardcase migrate up.", has, wants)
	}
	return err
}

// migrations gives the last migration that the tables have and the last that
// this program knows. Tables that are not there, or are newer, are an error.
func (s *Store) migrations(ctx context.Context) (has, wants int64, err error) {
	if wants, err = lastNumber(s.engine.folder); err != nil {
		return 0, 0, err
	}
	err = s.db.tx(ctx, true, func(q querier) error {
		return q.row(ctx, "SELECT coalesce(max(version_id), 0) FROM goose_db_version WHERE is_applied", nil, &has)
	})
	err = s.db.translate(err)
	switch {
	case err != nil && service.KindOf(err) != service.Internal:
		return 0, 0, err
	case err != nil: // there is no such table yet, or it may not be read
		missing := misfit("The tables are not there: run swardcase migrate up.")
		missing.Cause = err
		return 0, 0, missing
	case has > wants:
		return 0, 0, misfit("The tables are at migration %d, made by a newer program; this one knows %d.", has, wants)
	}
	return has, wants, nil
}

func misfit(detail string, numbers ...any) *service.Error {
	return &service.Error{Kind: service.Unavailable, Detail: fmt.Sprintf(detail, numbers...)}
}

// lastNumber is the number of the last migration in a folder.
func lastNumber(folder fs.FS) (int64, error) {
	names, err := fs.Glob(folder, "*.sql")
	if err != nil || len(names) == 0 {
		return 0, errors.Join(errors.New("the program holds no migrations"), err)
	}
	number, err := goose.NumericComponent(names[len(names)-1])
	if err != nil {
		return 0, fmt.Errorf("read the number of a migration: %w", err)
	}
	return number, nil
}

// Migration is one migration and whether the tables have it.
type Migration struct {
	Number  int64
	Name    string
	Applied bool
}

// Migrate brings the tables up to date, and gives the migrations that it ran.
func Migrate(ctx context.Context, place Place) ([]Migration, error) {
	var ran []Migration
	err := withProvider(ctx, place, func(p *goose.Provider) error {
		results, err := p.Up(ctx)
		for _, r := range results {
			ran = append(ran, Migration{r.Source.Version, path.Base(r.Source.Path), true})
		}
		return err
	})
	return ran, err
}

// MigrateDown takes the last migration back, with what was stored in its tables.
func MigrateDown(ctx context.Context, place Place) (Migration, error) {
	var last Migration
	err := withProvider(ctx, place, func(p *goose.Provider) error {
		result, err := p.Down(ctx)
		if errors.Is(err, goose.ErrNoNextVersion) {
			return errors.New("there is no migration to take back")
		}
		if err == nil {
			last = Migration{result.Source.Version, path.Base(result.Source.Path), false}
		}
		return err
	})
	return last, err
}

// Migrations lists every migration that this program knows.
func Migrations(ctx context.Context, place Place) ([]Migration, error) {
	var all []Migration
	err := withProvider(ctx, place, func(p *goose.Provider) error {
		list, err := p.Status(ctx)
		for _, m := range list {
			all = append(all, Migration{m.Source.Version, path.Base(m.Source.Path), m.State == goose.StateApplied})
		}
		return err
	})
	return all, err
}

func withProvider(ctx context.Context, place Place, f func(*goose.Provider) error) (err error) {
	s, err := open(ctx, place)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	if err := s.engine.provide(f); err != nil {
		return fmt.Errorf("migrate: %w", s.db.translate(err))
	}
	return nil
}

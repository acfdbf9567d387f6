package store

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"swardcase/api/service"
)

// postgres is the adapter over a pgx pool.
type postgres struct{ pool *pgxpool.Pool }

// What the address may say of how many connections are open at once, and how many
// there are otherwise. A commit waits for the disk, and the server writes those
// that wait together: with 16 connections twice as much is stored as with one for
// each of a few processors.
const (
	poolSize         = "pool_max_conns="
	usualConnections = 16
)

func openPostgres(ctx context.Context, url string) (*postgres, error) {
	config, err := pgxpool.ParseConfig(url)
	if err != nil {
		// The driver's own text repeats the address, and a password may be in it.
		return nil, errors.New("the address of the database cannot be read; write postgres://USER@HOST:PORT/NAME")
	}
	if !strings.Contains(url, poolSize) {
		config.MaxConns = usualConnections
	}
	// Instants are written and read in UTC whatever the server's own zone.
	config.ConnConfig.RuntimeParams["timezone"] = "UTC"
	config.ConnConfig.RuntimeParams["application_name"] = "swardcase"
	pool, err := pgxpool.NewWithConfig(ctx, config)
	if err != nil {
		return nil, fmt.Errorf("open the database: %w", err)
	}
	return &postgres{pool}, nil
}

func (p *postgres) tx(ctx context.Context, readOnly bool, f func(querier) error) error {
	// A reader sees one state throughout; a writer is kept right by the version
	// in each update, so that the usual level is enough for it.
	options := pgx.TxOptions{IsoLevel: pgx.ReadCommitted, AccessMode: pgx.ReadWrite}
	if readOnly {
		options = pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}
	}
	return pgx.BeginTxFunc(ctx, p.pool, options, func(tx pgx.Tx) error { return f(postgresTx{tx}) })
}

// confine sets what the policies of the tables ask for, until the transaction
// ends.
func (p *postgres) confine(ctx context.Context, q querier, scope service.Scope) error {
	every := map[bool]string{true: "on", false: "off"}[scope.EveryClub]
	_, err := q.exec(ctx, `SELECT set_config('swardcase.club_id', $1, true), set_config('swardcase.every_club', $2, true)`, scope.ClubID, every)
	return err
}

func (p *postgres) lookUp(ctx context.Context, sql string, args []any, into ...any) error {
	return noRow(p.pool.QueryRow(ctx, sql, args...).Scan(into...))
}

func (p *postgres) ping(ctx context.Context) error { return p.pool.Ping(ctx) }

func (p *postgres) close() error {
	p.pool.Close()
	return nil
}

type postgresTx struct{ tx pgx.Tx }

func (t postgresTx) exec(ctx context.Context, sql string, args ...any) (int64, error) {
	tag, err := t.tx.Exec(ctx, sql, args...)
	return tag.RowsAffected(), err
}

func (t postgresTx) row(ctx context.Context, sql string, args []any, into ...any) error {
	return noRow(t.tx.QueryRow(ctx, sql, args...).Scan(into...))
}

func noRow(err error) error {
	if errors.Is(err, pgx.ErrNoRows) {
		return errNoRow
	}
	return err
}

func (t postgresTx) rows(ctx context.Context, sql string, args []any, scan func(scanner) error) error {
	rows, err := t.tx.Query(ctx, sql, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	return each(rows, scan)
}

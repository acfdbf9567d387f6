package store

import "context"

// database is what the store needs of an engine. There are two: a pgx pool and
// modernc's SQLite. Both take $1, $2, … in any order and more than once, so that
// one set of queries serves both.
type database interface {
	// tx runs f in a transaction, and keeps it when f returns nil.
	tx(ctx context.Context, readOnly bool, f func(querier) error) error
	// ping reaches the engine.
	ping(ctx context.Context) error
	// translate turns an error of the driver into one of the service's kinds.
	translate(err error) error
	close() error
}

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

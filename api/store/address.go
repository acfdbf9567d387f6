package store

import (
	"errors"

	"github.com/jackc/pgx/v5/pgxpool"
)

// errBadURL does not repeat the address, in which a password may be, as the
// driver's own text does.
var errBadURL = errors.New("the address of the database cannot be read; write postgres://USER@HOST:PORT/NAME")

// CheckURL says whether the address of a PostgreSQL database can be read. It does
// not call there.
func CheckURL(url string) error {
	if _, err := pgxpool.ParseConfig(url); err != nil {
		return errBadURL
	}
	return nil
}

// Package migrations holds the numbered SQL that makes the store's tables: one
// folder for each engine, with equal numbers, because row security, numeric
// columns and triggers are written differently in each. A migration that has
// been released never changes: old databases have already run it.
//
// The folder schema holds what the migrations come to, for readers; a test keeps
// it true.
package migrations

import (
	"embed"
	"io/fs"
)

//go:embed postgres/*.sql sqlite/*.sql
var files embed.FS

// Postgres is the folder of PostgreSQL.
func Postgres() fs.FS { return folder("postgres") }

// SQLite is the folder of SQLite.
func SQLite() fs.FS { return folder("sqlite") }

func folder(name string) fs.FS {
	sub, err := fs.Sub(files, name)
	if err != nil { // cannot happen: the names are those embedded above
		panic("migrations: " + err.Error())
	}
	return sub
}

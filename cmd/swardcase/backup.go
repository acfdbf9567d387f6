package main

import (
	"context"
	"errors"
	"flag"
	"fmt"

	"swardcase/api/store"
)

var backupCommand = command{
	name:      "backup",
	arguments: "FILE",
	summary:   "Copy the store into a new file",
	detail: `
Copies a SQLite store, which may be in use, into FILE, and checks the copy.
A PostgreSQL database is backed up with its own pg_dump.
` + placeHelp,
	define: copyAction("backup", func(ctx context.Context, p *process, kept, copied string) error {
		if err := store.Backup(ctx, kept, copied); err != nil {
			return err
		}
		_, err := fmt.Fprintf(p.stdout, "%s is backed up in %s\n", kept, copied)
		return err
	}),
}

var restoreCommand = command{
	name:      "restore",
	arguments: "FILE",
	summary:   "Put a copy back where the store belongs",
	detail: `
Checks the copy FILE and puts it where the SQLite store belongs. It replaces
nothing: stop the service, and move the old store away first, with the files
beside it whose names end in -wal and -shm. A PostgreSQL database is restored
with its own pg_restore.
` + placeHelp,
	define: copyAction("restore", func(ctx context.Context, p *process, kept, copied string) error {
		if err := store.Restore(ctx, copied, kept); err != nil {
			return err
		}
		_, err := fmt.Fprintf(p.stdout, "%s is restored from %s\n", kept, copied)
		return err
	}),
}

// copyAction is what both share: one argument, and a store that is a file.
func copyAction(name string, do func(ctx context.Context, p *process, kept, copied string) error) func(*flag.FlagSet) action {
	return func(flags *flag.FlagSet) action {
		where := placeFlag(flags)
		return func(ctx context.Context, p *process, arguments []string) error {
			place := where(p)
			switch {
			case len(arguments) != 1:
				return &usageError{name, fmt.Sprintf("give the file of the copy; %d were given", len(arguments))}
			case place.URL != "":
				return errors.New("the store is a PostgreSQL database: use pg_dump and pg_restore")
			case place.File == "":
				return &usageError{name, "say which store: --store FILE"}
			}
			return do(ctx, p, place.File, arguments[0])
		}
	}
}

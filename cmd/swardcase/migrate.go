package main

import (
	"context"
	"flag"
	"fmt"
	"io"

	"swardcase/api/store"
)

var migrateCommand = command{
	name:      "migrate",
	arguments: "up|down|status",
	summary:   "Bring the store's tables up to date",
	detail: `
up runs every migration that the tables lack; down takes the last one back, and
what was stored in its tables is lost; status lists them. A SQLite file is
brought up to date by serve itself, a PostgreSQL database only here, with a
login that may make tables.
` + placeHelp,
	define: func(flags *flag.FlagSet) action {
		where := placeFlag(flags)
		return func(ctx context.Context, p *process, arguments []string) error {
			if len(arguments) != 1 {
				return &usageError{"migrate", "say up, down or status"}
			}
			place := where(p)
			if place == (store.Place{}) {
				return &usageError{"migrate", "say which store: --store FILE, or DATABASE_URL"}
			}
			switch arguments[0] {
			case "up":
				ran, err := store.Migrate(ctx, place)
				return p.printMigrations(ran, "applied", "up to date already", err)
			case "down":
				last, err := store.MigrateDown(ctx, place)
				return p.printMigrations([]store.Migration{last}, "taken back", "", err)
			case "status":
				all, err := store.Migrations(ctx, place)
				return p.printMigrations(all, "", "", err)
			}
			return &usageError{"migrate", fmt.Sprintf("there is no migrate %s; say up, down or status", arguments[0])}
		}
	},
}

// printMigrations lists migrations with what was done, or how they stand.
func (p *process) printMigrations(list []store.Migration, done, none string, err error) error {
	if err != nil {
		return err
	}
	if len(list) == 0 {
		_, err := io.WriteString(p.stdout, none+"\n")
		return err
	}
	for _, m := range list {
		state := done
		if state == "" {
			state = map[bool]string{true: "applied", false: "pending"}[m.Applied]
		}
		if _, err := fmt.Fprintf(p.stdout, "%-10s %s\n", state, m.Name); err != nil {
			return err
		}
	}
	return nil
}

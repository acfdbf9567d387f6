package main

import (
	"context"
	"errors"
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
login that may make tables. up then lets the login of --server-role serve: one
that owns nothing, and that row security keeps within one club at a time.
` + placeHelp,
	define: func(flags *flag.FlagSet) action {
		where := placeFlag(flags)
		role := flags.String("server-role", "", "the PostgreSQL `LOGIN` that serves (usually "+store.DefaultServerRole+")")
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
				if err := p.printMigrations(ran, "applied", "up to date already", err); err != nil || place.URL == "" {
					return err
				}
				return p.letServe(ctx, place, *role)
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

// letServe lets a login serve. That the usual one is not there is no fault: a
// database may be served by the login that owns it.
func (p *process) letServe(ctx context.Context, place store.Place, named string) error {
	role := named
	if role == "" {
		role = store.DefaultServerRole
	}
	err := store.GrantServer(ctx, place, role)
	said := fmt.Sprintf("%s may serve\n", role)
	if errors.Is(err, store.ErrNoServerRole) {
		said = fmt.Sprintf("there is no login %s: make one that owns nothing with CREATE ROLE %s LOGIN PASSWORD '…', "+
			"run this again, and serve with it\n", role, role)
		if named == "" {
			err = nil
		}
	}
	if err != nil {
		return err
	}
	_, err = io.WriteString(p.stdout, said)
	return err
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

package store_test

import (
	"database/sql"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	_ "github.com/jackc/pgx/v5/stdlib" // the driver named "pgx"

	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

var update = flag.Bool("update", false, "write the schemas for readers anew; review what changed")

func TestMain(m *testing.M) { storetest.Main(m) }

// handle opens a place with database/sql, to look at it from outside.
func handle(t *testing.T, place store.Place) *sql.DB {
	t.Helper()
	name, source := "sqlite", "file:"+place.File+"?_pragma=foreign_keys(1)"
	if place.URL != "" {
		name, source = "pgx", place.URL
	}
	db, err := sql.Open(name, source)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

// texts gives the first column of a query's rows.
func texts(t *testing.T, db *sql.DB, query string, args ...any) []string {
	t.Helper()
	rows, err := db.QueryContext(t.Context(), query, args...)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	var all []string
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			t.Fatal(err)
		}
		all = append(all, text)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	return all
}

const (
	postgresColumns = `SELECT table_name || '.' || column_name || CASE is_nullable WHEN 'YES' THEN ' NULL' ELSE '' END || ' ' || data_type
		FROM information_schema.columns WHERE table_schema = 'public' AND table_name <> 'goose_db_version'
		ORDER BY table_name, ordinal_position`
	sqliteColumns = `SELECT t.name || '.' || c.name || CASE c."notnull" WHEN 0 THEN ' NULL' ELSE '' END || ' ' || lower(c.type)
		FROM sqlite_schema t, pragma_table_info(t.name) c
		WHERE t.type = 'table' AND t.name NOT IN ('goose_db_version', 'sqlite_sequence') ORDER BY t.name, c.cid`
)

// sameType says which type of SQLite stands for each of PostgreSQL.
var sameType = strings.NewReplacer(
	" uuid", " text", " json", " text", " date", " text", " numeric", " text",
	" bigint", " integer", " timestamp with time zone", " timestamp", " double precision", " real",
)

// TestBothEnginesHaveTheSameColumns compares what the migrations come to.
func TestBothEnginesHaveTheSameColumns(t *testing.T) {
	columns := map[string][]string{}
	for engine, query := range map[string]string{"postgres": postgresColumns, "sqlite": sqliteColumns} {
		place := storetest.Place(t, engine)
		storetest.Open(t, place)
		columns[engine] = texts(t, handle(t, place), query)
	}
	for i, column := range columns["postgres"] {
		columns["postgres"][i] = sameType.Replace(column)
	}
	if len(columns["sqlite"]) < 60 {
		t.Errorf("only %d columns were found", len(columns["sqlite"]))
	}
	if diff := cmp.Diff(columns["postgres"], columns["sqlite"]); diff != "" {
		t.Errorf("the columns differ (- PostgreSQL, + SQLite):\n%s", diff)
	}
}

// TestEveryTableKeepsClubsApart: row security needs the club on every row.
func TestEveryTableKeepsClubsApart(t *testing.T) {
	place := storetest.Place(t, "sqlite")
	storetest.Open(t, place)
	tables := texts(t, handle(t, place), `SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT IN ('goose_db_version', 'sqlite_sequence')`)
	with := texts(t, handle(t, place), `SELECT t.name FROM sqlite_schema t, pragma_table_info(t.name) c WHERE t.type = 'table' AND c.name = 'club_id'`)
	if len(tables) < 8 || len(tables) != len(with) {
		t.Errorf("of the tables %v only %v have a club_id", tables, with)
	}
}

// TestEveryUniqueConstraintIsKnownByItsColumns: SQLite tells no more of one.
func TestEveryUniqueConstraintIsKnownByItsColumns(t *testing.T) {
	place := storetest.Place(t, "sqlite")
	storetest.Open(t, place)
	found := texts(t, handle(t, place), `
		SELECT (SELECT group_concat(t.name || '.' || c.name, ', ' ORDER BY c.seqno) FROM pragma_index_info(i.name) c)
		FROM sqlite_schema t, pragma_index_list(t.name) i
		WHERE t.type = 'table' AND i."unique" = 1 AND t.name <> 'goose_db_version'`)
	slices.Sort(found)
	if diff := cmp.Diff(found, store.UniqueColumns()); diff != "" {
		t.Errorf("the constraints differ (- database, + code):\n%s", diff)
	}
}

// TestMigrationsGoUpAndDown: down to nothing and up again gives the same tables.
func TestMigrationsGoUpAndDown(t *testing.T) {
	for engine, query := range map[string]string{"postgres": postgresColumns, "sqlite": sqliteColumns} {
		t.Run(engine, func(t *testing.T) {
			place := storetest.Place(t, engine)
			ran, err := store.Migrate(t.Context(), place)
			if err != nil || len(ran) < 6 {
				t.Fatalf("ran %v: %v", ran, err)
			}
			before := texts(t, handle(t, place), query)
			for i := range ran {
				last, err := store.MigrateDown(t.Context(), place)
				if want := ran[len(ran)-1-i]; err != nil || last.Number != want.Number || last.Name != want.Name {
					t.Fatalf("took back %v, want %v: %v", last, want, err)
				}
			}
			if _, err := store.MigrateDown(t.Context(), place); err == nil || !strings.Contains(err.Error(), "no migration to take back") {
				t.Errorf("went below the first migration: %v", err)
			}
			if left := texts(t, handle(t, place), query); len(left) > 0 {
				t.Errorf("left behind: %v", left)
			}
			if _, err := store.Migrate(t.Context(), place); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(before, texts(t, handle(t, place), query)); diff != "" {
				t.Error(diff)
			}
			if again, err := store.Migrate(t.Context(), place); err != nil || len(again) != 0 {
				t.Errorf("ran again: %v, %v", again, err)
			}
		})
	}
}

// TestTablesOfAnotherAgeAreRefused: the service neither guesses nor mends them.
func TestTablesOfAnotherAgeAreRefused(t *testing.T) {
	place := storetest.Place(t, "postgres")
	refused := func(want string) {
		t.Helper()
		s, err := store.Open(t.Context(), place)
		if err == nil {
			s.Close()
		}
		if service.KindOf(err) != service.Unavailable || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %q", err, want)
		}
	}
	refused("run swardcase migrate up")
	if _, err := store.Migrate(t.Context(), place); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(t.Context(), place)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Ready(t.Context()); err != nil {
		t.Error(err)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	if _, err := store.MigrateDown(t.Context(), place); err != nil {
		t.Fatal(err)
	}
	refused("run swardcase migrate up")
	if _, err := handle(t, place).Exec(`INSERT INTO goose_db_version (version_id, is_applied) VALUES (99999, true)`); err != nil {
		t.Fatal(err)
	}
	refused("made by a newer program")
}

func TestPlacesThatCannotBeOpened(t *testing.T) {
	for name, place := range map[string]store.Place{
		"nowhere":      {},
		"two places":   {File: "a", URL: "b"},
		"no folder":    {File: filepath.Join(t.TempDir(), "no", "such", "folder.db")},
		"no address":   {URL: "postgres://%zz:secret@x/y"},
		"not a store":  {File: notAStore(t)},
		"nobody there": {URL: "postgres://127.0.0.1:1/x?connect_timeout=1&user=u&password=secret"},
	} {
		s, err := store.Open(t.Context(), place)
		if err == nil {
			s.Close()
			t.Errorf("%s was opened", name)
			continue
		}
		if strings.Contains(err.Error(), "secret") {
			t.Errorf("%s: a password is shown: %v", name, err)
		}
	}
}

func notAStore(t *testing.T) string {
	file := filepath.Join(t.TempDir(), "picture.db")
	if err := os.WriteFile(file, []byte(strings.Repeat("not a database ", 1000)), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

func TestOnlyTheOwnerReadsTheFile(t *testing.T) {
	place := storetest.Place(t, "sqlite")
	storetest.Open(t, place)
	info, err := os.Stat(place.File)
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v: %v", info.Mode(), err)
	}
}

// TestTheSchemasForReadersAreTrue compares the kept texts with the engines' own.
func TestTheSchemasForReadersAreTrue(t *testing.T) {
	for engine, dump := range map[string]func(*testing.T, store.Place) string{"postgres": postgresSchema, "sqlite": sqliteSchema} {
		t.Run(engine, func(t *testing.T) {
			place := storetest.Place(t, engine)
			storetest.Open(t, place)
			got := dump(t, place)
			file := filepath.Join("..", "..", "migrations", "schema", engine+".sql")
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

const readerNote = "-- What the migrations come to, for readers. Nothing runs this: change the tables by a\n-- new migration, then write this anew with go test ./api/store -run Schemas -update.\n"

func sqliteSchema(t *testing.T, place store.Place) string {
	all := texts(t, handle(t, place), `SELECT sql FROM sqlite_schema
		WHERE sql IS NOT NULL AND tbl_name <> 'goose_db_version' AND name <> 'sqlite_sequence' ORDER BY tbl_name, type DESC, name`)
	return readerNote + "\n" + strings.Join(all, ";\n\n") + ";\n"
}

// postgresSchema writes tables from the server's catalogues, which its versions
// agree on better than the texts of its dump program.
func postgresSchema(t *testing.T, place store.Place) string {
	db := handle(t, place)
	var b strings.Builder
	b.WriteString(readerNote)
	for _, table := range texts(t, db, `SELECT table_name FROM information_schema.tables
		WHERE table_schema = 'public' AND table_name <> 'goose_db_version' ORDER BY 1`) {
		lines := texts(t, db, `SELECT '    ' || attname || ' ' || format_type(atttypid, atttypmod) || CASE WHEN attnotnull THEN ' NOT NULL' ELSE '' END ||
			CASE attidentity WHEN 'a' THEN ' GENERATED ALWAYS AS IDENTITY' ELSE '' END
			FROM pg_attribute WHERE attrelid = $1::regclass AND attnum > 0 AND NOT attisdropped ORDER BY attnum`, table)
		lines = append(lines, texts(t, db, `SELECT '    CONSTRAINT ' || conname || ' ' || pg_get_constraintdef(oid)
			FROM pg_constraint WHERE conrelid = $1::regclass AND contype IN ('p', 'u', 'f', 'c') ORDER BY array_position(ARRAY['p', 'u', 'f', 'c'], contype::text), conname`, table)...)
		b.WriteString("\nCREATE TABLE " + table + " (\n" + strings.Join(lines, ",\n") + "\n);\n")
		more := texts(t, db, `SELECT indexdef FROM pg_indexes WHERE schemaname = 'public' AND tablename = $1
			AND indexname NOT IN (SELECT conname FROM pg_constraint) ORDER BY indexname`, table)
		more = append(more, texts(t, db, `SELECT pg_get_triggerdef(oid) FROM pg_trigger WHERE tgrelid = $1::regclass AND NOT tgisinternal ORDER BY tgname`, table)...)
		more = append(more, texts(t, db, `SELECT 'ALTER TABLE ' || relname || ' ENABLE ROW LEVEL SECURITY' || CASE WHEN relforcerowsecurity THEN ', FORCE ROW LEVEL SECURITY' ELSE '' END
			FROM pg_class WHERE oid = $1::regclass AND relrowsecurity`, table)...)
		more = append(more, texts(t, db, `SELECT 'CREATE POLICY ' || policyname || ' ON ' || tablename || ' FOR ' || cmd || ' USING ' || qual ||
			coalesce(' WITH CHECK ' || with_check, '') FROM pg_policies WHERE schemaname = 'public' AND tablename = $1 ORDER BY policyname`, table)...)
		for _, statement := range more {
			b.WriteString(statement + ";\n")
		}
	}
	functions := texts(t, db, `SELECT pg_get_functiondef(oid) FROM pg_proc WHERE pronamespace = 'public'::regnamespace ORDER BY proname`)
	spaces := regexp.MustCompile(`[ \t]+\n`)
	for _, function := range functions {
		b.WriteString("\n" + spaces.ReplaceAllString(strings.TrimSpace(function), "\n") + ";\n")
	}
	return b.String()
}

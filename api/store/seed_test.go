package store_test

import (
	"net/url"
	"strings"
	"testing"

	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

// TestOlderAppraisalsGetTheirSeed from their cases, where the tables are brought
// up to date by a login that owns them and is bound by row security.
func TestOlderAppraisalsGetTheirSeed(t *testing.T) {
	for _, engine := range storetest.Engines {
		t.Run(engine, func(t *testing.T) {
			ctx := t.Context()
			whole := storetest.Place(t, engine)
			place := owned(t, whole)
			s := storetest.Open(t, place)
			furnish(t, s)
			want := map[int]int64{5: 9007199254740991, 6: 0}
			write(t, s, func(tx service.Tx) error {
				seeded, bare := appraisal(t, 5, "1", "GBP"), appraisal(t, 6, "1", "GBP")
				seeded.Case = []byte(`{"confidence":{"draws":100,"seed":9007199254740991}}`)
				if err := tx.InsertAppraisal(ctx, seeded); err != nil {
					return err
				}
				return tx.InsertAppraisal(ctx, bare)
			})
			for {
				last, err := store.MigrateDown(ctx, place)
				if err != nil {
					t.Fatal(err)
				}
				if strings.Contains(last.Name, "appraisal_seeds") {
					break
				}
			}
			if _, err := store.Migrate(ctx, place); err != nil {
				t.Fatal(err)
			}
			err := s.View(ctx, ours, func(tx service.Tx) error {
				for id, seed := range want {
					if got, err := tx.AppraisalSummary(ctx, number(1), number(id)); err != nil || got.Seed != seed {
						t.Errorf("appraisal %d has the seed %d, want %d: %v", id, got.Seed, seed, err)
					}
				}
				return nil
			})
			if err != nil {
				t.Fatal(err)
			}
			refuse(t, handle(t, whole), "appraisals_are_kept", `UPDATE appraisals SET seed = seed + 1`)
		})
	}
}

// owned hands an empty database to a login that is no superuser.
func owned(t *testing.T, place store.Place) store.Place {
	t.Helper()
	if place.URL == "" {
		return place
	}
	address, err := url.Parse(place.URL)
	if err != nil {
		t.Fatal(err)
	}
	database := strings.TrimPrefix(address.Path, "/")
	role := database + "_owner"
	admin := handle(t, place)
	run := func(statements ...string) {
		t.Helper()
		for _, statement := range statements {
			if _, err := admin.Exec(statement); err != nil {
				t.Fatalf("%s: %v", statement, err)
			}
		}
	}
	run("CREATE ROLE "+role+" LOGIN CREATEROLE PASSWORD 'owns'", "ALTER DATABASE "+database+" OWNER TO "+role)
	t.Cleanup(func() { run("REASSIGN OWNED BY "+role+" TO CURRENT_USER", "DROP OWNED BY "+role, "DROP ROLE "+role) })
	query := address.Query()
	query.Del("user")
	address.RawQuery, address.User = query.Encode(), url.UserPassword(role, "owns")
	return store.Place{URL: address.String()}
}

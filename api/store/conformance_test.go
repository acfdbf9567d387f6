package store_test

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
	"swardcase/costs"
)

// The tests in this file are one suite over both engines: whatever holds of one
// must hold of the other.

var instant = time.Date(2027, 3, 1, 9, 0, 0, 123456000, time.UTC)

// number makes a UUID of version 7 that sorts by n.
func number(n int) string { return fmt.Sprintf("01985e3c-0000-7000-8000-%012d", n) }

func record(id, club int) service.Record {
	return service.Record{ID: number(id), ClubID: number(club), Version: 1, CreatedAt: instant, UpdatedAt: instant}
}

func club(id int) service.Club {
	return service.Club{Record: record(id, id), ClubInput: service.ClubInput{Name: fmt.Sprintf("Club %d", id)}}
}

func green(id, clubID int, name string) service.Green {
	g := service.Green{Record: record(id, clubID)}
	g.Green.Name = name
	return g
}

func survey(id, clubID, greenID int, day string) service.Survey {
	v := service.Survey{Record: record(id, clubID)}
	v.GreenID, v.Survey.SurveyedOn = number(greenID), day
	return v
}

func money(t *testing.T, amount, code string) costs.Money {
	t.Helper()
	currency, _ := costs.LookupCurrency(code)
	m, err := costs.ParseMoney(amount, currency)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func appraisal(t *testing.T, id int, amount, code string) service.Appraisal {
	a := service.Appraisal{Case: []byte(`{"b": 1.0,  "a":"é\u0000"}`), Result: []byte(`{"z":[1e2, 0.10]}`)}
	a.Record = record(id, 1)
	a.GreenID, a.SurveyID = number(2), number(3)
	a.CaseFormat, a.EngineVersion, a.Seed = 1, "1", 1<<53-1
	a.CaseSHA256, a.ResultSHA256 = strings.Repeat("a", 64), strings.Repeat("b", 64)
	a.Index, a.Grade, a.Advice, a.Option, a.Headline = 100.0/3, "poor", "best_option", "layered_rebuild/seed", "Take it."
	a.Capital, a.ApproveCapital, a.NetPresentValue = money(t, amount, code), money(t, amount, code), money(t, "-"+amount, code)
	return a
}

// ours is the scope of the club of most tests.
var ours = service.Scope{ClubID: number(1)}

// write runs one transaction that must be kept.
func write(t *testing.T, s *store.Store, f func(tx service.Tx) error) {
	t.Helper()
	if err := s.Update(t.Context(), ours, f); err != nil {
		t.Fatal(err)
	}
}

// kind runs one transaction and sorts its error.
func kind(t *testing.T, s *store.Store, want service.Kind, f func(tx service.Tx) error) error {
	t.Helper()
	err := s.Update(t.Context(), ours, f)
	if err == nil || service.KindOf(err) != want {
		t.Errorf("the error is %v, of kind %d, want %d", err, service.KindOf(err), want)
	}
	return err
}

// furnish puts a club with a green and a survey into a store.
func furnish(t *testing.T, s *store.Store) {
	t.Helper()
	ctx := t.Context()
	write(t, s, func(tx service.Tx) error {
		return errors.Join(tx.InsertClub(ctx, club(1)), tx.InsertGreen(ctx, green(2, 1, "a")), tx.InsertSurvey(ctx, survey(3, 1, 2, "2027-02-01")))
	})
}

func TestThingsReadBackAsTheyWereWritten(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		furnish(t, s)
		later := instant.Add(time.Hour)
		book := service.PriceBook{Record: record(4, 1), SeriesID: number(4), Edition: 1, Book: costs.DemoPriceBook()}
		old := appraisal(t, 5, "123456789012.34", "GBP")
		old.PriceBookID, old.ArchivedAt, old.Title = &book.ID, &later, "Ærø — 'quoted' \"twice\" $1"
		again := appraisal(t, 6, "1234", "JPY")
		again.ReappraisesID = &old.ID
		write(t, s, func(tx service.Tx) error {
			return errors.Join(tx.InsertPriceBook(ctx, book), tx.InsertAppraisal(ctx, old), tx.InsertAppraisal(ctx, again), tx.InsertAppraisal(ctx, appraisal(t, 7, "0.001", "KWD")))
		})
		err := s.View(ctx, ours, func(tx service.Tx) error {
			gotClub, err1 := tx.Club(ctx, number(1), number(1))
			gotGreen, err2 := tx.Green(ctx, number(1), number(2))
			gotSurvey, err3 := tx.Survey(ctx, number(1), number(3))
			gotBook, err4 := tx.PriceBook(ctx, number(1), number(4))
			gotOld, err5 := tx.Appraisal(ctx, number(1), number(5))
			gotAgain, err6 := tx.AppraisalSummary(ctx, number(1), number(6))
			gotDinars, err7 := tx.Appraisal(ctx, number(1), number(7))
			got := []any{gotClub, gotGreen, gotSurvey, gotBook, gotOld, gotAgain, gotDinars}
			want := []any{club(1), green(2, 1, "a"), survey(3, 1, 2, "2027-02-01"), book, old, again.AppraisalSummary, appraisal(t, 7, "0.001", "KWD")}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("(- written, + read)\n%s", diff)
			}
			if text := gotOld.Capital.String() + " " + gotAgain.Capital.String() + " " + gotDinars.NetPresentValue.String(); text != "123456789012.34 GBP 1234 JPY -0.001 KWD" {
				t.Errorf("amounts came back as %s", text)
			}
			return errors.Join(err1, err2, err3, err4, err5, err6, err7)
		})
		if err != nil {
			t.Fatal(err)
		}
	})
}

// TestATransactionIsKeptWholeOrNotAtAll
func TestATransactionIsKeptWholeOrNotAtAll(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		stop := errors.New("stop here")
		err := s.Update(ctx, ours, func(tx service.Tx) error {
			return errors.Join(tx.InsertClub(ctx, club(1)), stop)
		})
		if !errors.Is(err, stop) {
			t.Errorf("got %v", err)
		}
		kind(t, s, service.Conflict, func(tx service.Tx) error {
			return errors.Join(tx.InsertClub(ctx, club(1)), tx.InsertGreen(ctx, green(2, 1, "a")), tx.InsertGreen(ctx, green(3, 1, "a")))
		})
		func() {
			defer func() { _ = recover() }()
			_ = s.Update(ctx, ours, func(tx service.Tx) error {
				_ = tx.InsertClub(ctx, club(1))
				panic("halfway")
			})
		}()
		gone, cancel := context.WithCancel(ctx)
		err = s.Update(gone, ours, func(tx service.Tx) error {
			defer cancel()
			return tx.InsertClub(gone, club(1))
		})
		if service.KindOf(err) != service.Unavailable {
			t.Errorf("a caller who left was told %v", err)
		}
		kind(t, s, service.NotFound, func(tx service.Tx) error {
			_, err := tx.Club(ctx, number(1), number(1))
			return err
		})
		furnish(t, s)
	})
}

// TestAViewOnlyReads
func TestAViewOnlyReads(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		err := s.View(t.Context(), ours, func(tx service.Tx) error { return tx.InsertClub(t.Context(), club(1)) })
		if err == nil {
			t.Error("a view has written")
		}
		furnish(t, s)
		// What is written meanwhile is not seen.
		err = s.View(t.Context(), ours, func(tx service.Tx) error {
			if _, err := tx.Green(t.Context(), number(1), number(2)); err != nil {
				return err
			}
			write(t, s, func(tx service.Tx) error { return tx.InsertGreen(t.Context(), green(9, 1, "later")) })
			all, err := tx.Greens(t.Context(), service.Filter{ClubID: number(1), Limit: 10})
			if len(all) != 1 {
				t.Errorf("saw %d greens", len(all))
			}
			return err
		})
		if err != nil {
			t.Error(err)
		}
	})
}

// TestConstraintsAreTold: what the caller can mend is a conflict with words for
// it, and what only we can have broken is an internal error.
func TestConstraintsAreTold(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		furnish(t, s)
		archived := green(20, 1, "a")
		archived.ArchivedAt = &instant
		write(t, s, func(tx service.Tx) error { return tx.InsertGreen(ctx, archived) })
		for words, f := range map[string]func(tx service.Tx) error{
			"another green of this name": func(tx service.Tx) error { return tx.InsertGreen(ctx, green(21, 1, "a")) },
			"another survey of this day": func(tx service.Tx) error { return tx.InsertSurvey(ctx, survey(21, 1, 2, "2027-02-01")) },
			"was stored at the same moment": func(tx service.Tx) error {
				book := service.PriceBook{Record: record(22, 1), SeriesID: number(22), Edition: 1, Book: costs.DemoPriceBook()}
				first := tx.InsertPriceBook(ctx, book)
				book.ID = number(23)
				return errors.Join(first, tx.InsertPriceBook(ctx, book))
			},
		} {
			if err := kind(t, s, service.Conflict, f); err == nil || !strings.Contains(err.Error(), words) {
				t.Errorf("got %v, want %q", err, words)
			}
		}
		for name, f := range map[string]func(tx service.Tx) error{
			"the same id":              func(tx service.Tx) error { return tx.InsertGreen(ctx, green(2, 1, "b")) },
			"a club that is not there": func(tx service.Tx) error { return tx.InsertGreen(ctx, green(24, 99, "b")) },
			"a green of another club": func(tx service.Tx) error {
				return tx.InsertSurvey(ctx, survey(26, 25, 2, "2027-02-02"))
			},
			"no name": func(tx service.Tx) error { return tx.InsertGreen(ctx, green(27, 1, "")) },
			"no hash": func(tx service.Tx) error {
				a := appraisal(t, 28, "1", "GBP")
				a.CaseSHA256 = ""
				return tx.InsertAppraisal(ctx, a)
			},
			"a bad noun": func(tx service.Tx) error {
				return tx.InsertAuditEntry(ctx, service.AuditEntry{ClubID: number(1), NounID: number(1), Action: "create", Noun: "Hat!", After: []byte("{}")})
			},
		} {
			if err := s.Update(ctx, ours, f); err == nil || service.KindOf(err) != service.Internal {
				t.Errorf("%s: %v", name, err)
			}
		}
	})
}

// TestAnOldVersionChangesNothing
func TestAnOldVersionChangesNothing(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		furnish(t, s)
		changedGreen := green(2, 1, "b")
		changedGreen.Version = 2
		write(t, s, func(tx service.Tx) error { return tx.UpdateGreen(ctx, changedGreen) })
		kind(t, s, service.PreconditionFailed, func(tx service.Tx) error { return tx.UpdateGreen(ctx, changedGreen) })
		abroad := changedGreen
		abroad.ClubID, abroad.Version = number(9), 3
		kind(t, s, service.PreconditionFailed, func(tx service.Tx) error { return tx.UpdateGreen(ctx, abroad) })
	})
}

// TestTheDatabaseItselfKeepsWhatMustNotChange goes past the program.
func TestTheDatabaseItselfKeepsWhatMustNotChange(t *testing.T) {
	for _, engine := range storetest.Engines {
		t.Run(engine, func(t *testing.T) {
			place := storetest.Place(t, engine)
			s := storetest.Open(t, place)
			ctx := t.Context()
			furnish(t, s)
			used := service.PriceBook{Record: record(4, 1), SeriesID: number(4), Edition: 1, UsedAt: &instant, Book: costs.DemoPriceBook()}
			free := service.PriceBook{Record: record(5, 1), SeriesID: number(4), Edition: 2, Book: costs.DemoPriceBook()}
			write(t, s, func(tx service.Tx) error {
				return errors.Join(tx.InsertPriceBook(ctx, used), tx.InsertPriceBook(ctx, free), tx.InsertAppraisal(ctx, appraisal(t, 6, "12.30", "GBP")),
					tx.InsertAuditEntry(ctx, service.AuditEntry{ClubID: number(1), At: instant, Who: "x", Action: "create", Noun: "club", NounID: number(1), After: []byte("{}")}))
			})
			db := handle(t, place)
			refuse(t, db, "price_books_used_is_kept",
				`UPDATE price_books SET document = '{}' WHERE edition = 1`, `UPDATE price_books SET used_at = NULL WHERE edition = 1`)
			refuse(t, db, "appraisals_are_kept",
				`UPDATE appraisals SET capital = '12.31'`, `UPDATE appraisals SET result_document = '{}'`, `UPDATE appraisals SET title = 'other'`,
				`UPDATE appraisals SET created_at = '2020-01-01'`, `DELETE FROM appraisals`)
			refuse(t, db, "audit_entries_are_kept", `UPDATE audit_entries SET who = 'nobody'`, `DELETE FROM audit_entries`)
			refuse(t, db, "appraisals_capital", strings.Replace(copyAppraisal, "capital,", "'NaN',", 1))
			for _, allowed := range []string{
				`UPDATE price_books SET document = '{}' WHERE edition = 2`, `UPDATE price_books SET archived_at = '2027-01-01' WHERE edition = 1`,
				`UPDATE appraisals SET version = version + 1, archived_at = '2027-01-01'`,
			} {
				if _, err := db.Exec(allowed); err != nil {
					t.Errorf("%s: %v", allowed, err)
				}
			}
		})
	}
}

// copyAppraisal adds a second row like the first, in which a test can change one
// value.
const copyAppraisal = `INSERT INTO appraisals SELECT '01985e3c-0000-7000-8000-000000000077', club_id, version, created_at, updated_at, archived_at,
	green_id, survey_id, price_book_id, reappraises_id, title, case_format, engine_version, case_sha256, result_sha256, index_score, grade,
	advice, advised_option, headline, currency, capital, approve_capital, net_present_value, case_document, result_document, seed FROM appraisals`

func refuse(t *testing.T, db *sql.DB, constraint string, statements ...string) {
	t.Helper()
	for _, statement := range statements {
		if _, err := db.Exec(statement); err == nil || !strings.Contains(err.Error()+constraintOf(err), constraint) {
			t.Errorf("%.80s: %v", statement, err)
		}
	}
}

// TestListsPickAndOrder
func TestListsPickAndOrder(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		furnish(t, s)
		write(t, s, func(tx service.Tx) error {
			gone := survey(14, 1, 2, "2024-02-01")
			gone.ArchivedAt = &instant
			return errors.Join(tx.InsertGreen(ctx, green(9, 1, "b")),
				tx.InsertSurvey(ctx, survey(11, 1, 2, "2025-02-01")), tx.InsertSurvey(ctx, survey(12, 1, 2, "2026-02-01")),
				tx.InsertSurvey(ctx, survey(13, 1, 9, "2026-02-01")), tx.InsertSurvey(ctx, gone))
		})
		for name, tt := range map[string]struct {
			filter service.Filter
			want   []int
		}{
			"all":         {service.Filter{}, []int{3, 11, 12, 13}},
			"archived":    {service.Filter{Archived: true}, []int{3, 11, 12, 13, 14}},
			"one green":   {service.Filter{GreenID: number(2)}, []int{3, 11, 12}},
			"after":       {service.Filter{After: number(11)}, []int{12, 13}},
			"from":        {service.Filter{From: "2026-02-01"}, []int{3, 12, 13}},
			"to":          {service.Filter{To: "2026-02-01", GreenID: number(2)}, []int{11, 12}},
			"two at most": {service.Filter{Limit: 2}, []int{3, 11}},
		} {
			tt.filter.ClubID = number(1)
			if tt.filter.Limit == 0 {
				tt.filter.Limit = 100
			}
			var got, want []string
			for _, n := range tt.want {
				want = append(want, number(n))
			}
			err := s.View(ctx, ours, func(tx service.Tx) error {
				list, err := tx.Surveys(ctx, tt.filter)
				for _, v := range list {
					got = append(got, v.ID)
				}
				return err
			})
			if diff := cmp.Diff(want, got); diff != "" || err != nil {
				t.Errorf("%s: %v\n%s", name, err, diff)
			}
		}
		err := s.View(ctx, ours, func(tx service.Tx) error {
			list, err := tx.LatestSurveys(ctx, number(1), number(2), 2)
			if len(list) != 2 || list[0].Survey.SurveyedOn != "2026-02-01" || list[1].Survey.SurveyedOn != "2027-02-01" {
				t.Errorf("the latest are %+v", list)
			}
			return err
		})
		if err != nil {
			t.Error(err)
		}
	})
}

// TestHostileValuesAreOnlyValues: text of any kind goes in as an argument.
func TestHostileValuesAreOnlyValues(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		furnish(t, s)
		for i, name := range []string{"'; DROP TABLE greens; --", "$1", "\u202e", "%_", "\\", `""`, "🏌"} {
			g := green(100+i, 1, name)
			a := appraisal(t, 200+i, "1", "GBP")
			a.Headline, a.Index = name, math.SmallestNonzeroFloat64
			write(t, s, func(tx service.Tx) error { return errors.Join(tx.InsertGreen(ctx, g), tx.InsertAppraisal(ctx, a)) })
			err := s.View(ctx, ours, func(tx service.Tx) error {
				found, err := tx.Greens(ctx, service.Filter{ClubID: number(1), Name: name, Limit: 10})
				if len(found) != 1 || found[0].Green.Name != name {
					t.Errorf("%q: found %v", name, found)
				}
				back, err2 := tx.Appraisal(ctx, number(1), a.ID)
				if back.Headline != name || back.Index != a.Index {
					t.Errorf("%q came back as %q, %g", name, back.Headline, back.Index)
				}
				return errors.Join(err, err2)
			})
			if err != nil {
				t.Error(err)
			}
		}
	})
}

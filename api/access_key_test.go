package api_test

import (
	"bytes"
	"database/sql"
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver named "pgx"

	"swardcase/api"
	"swardcase/api/service"
)

// TestASecretIsShownOnce: not when the answer is given again for an
// Idempotency-Key, not when the key is read or listed, not in the audit trail, not
// in the store, and not in the log.
func TestASecretIsShownOnce(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		log := &bytes.Buffer{}
		k.harness = harnessOf(t, k.service, func(c *api.Config) { c.Logger = slog.New(slog.NewJSONHandler(log, nil)) })
		s := k.setUp()
		appraisal := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		owner, made := k.key(t, "", s.club.ID, "owner")
		shown := []thing{made}
		for _, post := range []struct{ at, body string }{
			{s.at + "/keys", `{"label":"the office","role":"viewer","valid_days":30}`},
			{appraisal.location + "/share-links", `{"label":"the captain"}`},
		} {
			headers := append(bearer(owner), "Idempotency-Key", "once")
			first := k.want(201, "POST", post.at, post.body, headers...)
			again := k.want(201, "POST", post.at, post.body, headers...)
			secret := secretOf(t, first)
			if want := strings.Replace(first.body, `"`+secret+`"`, "null", 1); again.body != want || again.location != first.location {
				t.Errorf("given again: %s, want %s", again.body, want)
			}
			shown = append(shown, first)
			for _, at := range []string{first.location, post.at} {
				if got := k.want(200, "GET", at, "", bearer(owner)...); strings.Contains(got.body, "secret") || !strings.Contains(got.body, first.ID) {
					t.Errorf("%s: %s", at, got.body)
				}
			}
		}
		trail := k.want(200, "GET", s.at+"/audit-entries?limit=200", "", bearer(owner)...).body
		kept := k.everything(t)
		for _, made := range shown {
			secret := secretOf(t, made)
			for where, text := range map[string]string{"audit trail": trail, "log": log.String(), "store": kept} {
				if strings.Contains(text, secret) || strings.Contains(text, secret[5:30]) {
					t.Errorf("a secret is in the %s", where)
				}
			}
			if !strings.Contains(kept, sha(secret)) {
				t.Error("its hash is not in the store")
			}
		}
		if strings.Contains(trail, sha(secretOf(t, made))) {
			t.Error("a hash is in the audit trail")
		}
	})
}

// everything is all that the tables hold, as text.
func (k *keeping) everything(t *testing.T) string {
	t.Helper()
	driver, source := "sqlite", "file:"+k.place.File
	tables := `SELECT name FROM sqlite_schema WHERE type = 'table'`
	if k.place.URL != "" {
		driver, source = "pgx", k.place.URL
		tables = `SELECT table_name FROM information_schema.tables WHERE table_schema = 'public'`
	}
	db, err := sql.Open(driver, source)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var all strings.Builder
	for _, table := range rowsOf(t, db, tables) {
		for _, row := range rowsOf(t, db, "SELECT * FROM "+table) {
			all.WriteString(table + ": " + row + "\n")
		}
	}
	return all.String()
}

// rowsOf gives each row of a query as one line of text.
func rowsOf(t *testing.T, db *sql.DB, query string) []string {
	t.Helper()
	rows, err := db.QueryContext(t.Context(), query)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for rows.Next() {
		values := make([]sql.NullString, len(columns))
		into := make([]any, len(columns))
		for i := range values {
			into[i] = &values[i]
		}
		if err := rows.Scan(into...); err != nil {
			t.Fatal(err)
		}
		line := make([]string, len(columns))
		for i, value := range values {
			line[i] = value.String
		}
		lines = append(lines, strings.Join(line, " "))
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	return lines
}

// TestTheTrailNamesTheKey by label and id, whatever the label looks like.
func TestTheTrailNamesTheKey(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		owner, made := k.key(t, "", s.club.ID, "owner")
		k.want(200, "DELETE", s.green.location, "", append(bearer(owner), "If-Match", "*")...)
		k.want(200, "DELETE", made.location, "", bearer(owner)...)
		operator := k.operatorKey(t)
		second, _ := k.key(t, operator, s.club.ID, "owner")
		trail := k.want(200, "GET", s.at+"/audit-entries?limit=200", "", bearer(second)...).body
		for _, want := range []string{
			fmt.Sprintf(`"who":"the owner (key %s)","action":"archive","noun":"green","noun_id":%q`, made.ID, s.green.ID),
			fmt.Sprintf(`"who":"the owner (key %s)","action":"revoke","noun":"access_key","noun_id":%q`, made.ID, made.ID),
			fmt.Sprintf(`"who":"local","action":"create","noun":"access_key","noun_id":%q`, made.ID),
			`"who":"the host (key `,
		} {
			if !strings.Contains(trail, want) {
				t.Errorf("the trail lacks %s: %.3000s", want, trail)
			}
		}
	})
}

// TestTheScopeOfAnIdempotencyKeyIsItsCaller: two callers may use the same word.
func TestTheScopeOfAnIdempotencyKeyIsItsCaller(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		one, _ := k.key(t, "", s.club.ID, "owner")
		two, _ := k.key(t, one, s.club.ID, "owner")
		green := func(name string) string {
			return fmt.Sprintf(`{"green":{"name":%q,"area_m2":400,"perimeter_m":75,"age_years":9,"has_drains":false}}`, name)
		}
		first := k.want(201, "POST", s.at+"/greens", green("the 1st"), append(bearer(one), "Idempotency-Key", "a")...)
		again := k.want(201, "POST", s.at+"/greens", green("the 1st"), append(bearer(one), "Idempotency-Key", "a")...)
		other := k.want(201, "POST", s.at+"/greens", green("the 2nd"), append(bearer(two), "Idempotency-Key", "a")...)
		if first.ID != again.ID || other.ID == first.ID {
			t.Errorf("%s, %s, %s", first.ID, again.ID, other.ID)
		}
	})
}

// TestKeysEnd by their date, by being revoked, and not before.
func TestKeysEnd(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		owner, _ := k.key(t, "", s.club.ID, "owner")
		short, made := k.key(t, owner, s.club.ID, "viewer", `,"valid_days":30`)
		if want := k.clock.now.AddDate(0, 0, 30).Format(time.RFC3339); !strings.Contains(made.body, `"expires_at":"`+want+`"`) {
			t.Errorf("made %s, want an end on %s", made.body, want)
		}
		k.clock.now = k.clock.now.AddDate(0, 0, 30).Add(-time.Second)
		k.want(200, "GET", s.at, "", bearer(short)...)
		k.clock.now = k.clock.now.Add(time.Second)
		k.refused(401, "unauthenticated", "GET", s.at, "", bearer(short)...)
		k.want(200, "GET", s.at, "", bearer(owner)...)

		revoked := k.want(200, "DELETE", made.location, "", bearer(owner)...)
		if again := k.want(200, "DELETE", made.location, "", bearer(owner)...); again.body != revoked.body {
			t.Errorf("revoked twice: %s, %s", revoked.body, again.body)
		}
		for _, body := range []string{`{"label":"","role":"viewer"}`, `{"label":"a","role":"operator"}`, `{"label":"a","role":"viewer","valid_days":0}`, `{"label":"a\u202e","role":"viewer"}`, `{"role":"viewer"}`} {
			k.refused(422, "faulty-document", "POST", s.at+"/keys", body, bearer(owner)...)
		}
	})
}

// TestSpoiltKeysAreRefused: each letter of a key counts, and so do the words
// around it.
func TestSpoiltKeysAreRefused(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		secret, _ := k.key(t, "", s.club.ID, "owner")
		k.want(200, "GET", s.at, "", "Authorization", "bearer  "+secret+" ")
		spoilt := []string{"", "Bearer", "Basic " + secret, secret, "Bearer " + strings.ToUpper(secret), "Bearer " + secret + "a", "Bearer swl" + secret[3:], "Bearer \x00"}
		for i := range len(secret) {
			other := byte('a')
			if secret[i] == 'a' {
				other = 'b'
			}
			spoilt = append(spoilt, "Bearer "+secret[:i]+string(other)+secret[i+1:], "Bearer "+secret[:i])
		}
		for _, header := range spoilt {
			k.refused(401, "unauthenticated", "GET", s.at, "", "Authorization", header)
		}
	})
}

// TestSessions begin with a key, and end by signing out, in time, and with the key.
func TestSessions(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		ctx := t.Context()
		s := k.setUp()
		owner, _ := k.key(t, "", s.club.ID, "owner")
		editor, made := k.key(t, owner, s.club.ID, "editor")
		in := func(secret string) service.NewSession {
			t.Helper()
			session, err := k.service.SignIn(ctx, secret)
			if err != nil {
				t.Fatal(err)
			}
			return session
		}
		out := func(session service.NewSession, why string) {
			t.Helper()
			caller, err := k.service.SessionCaller(ctx, session.Secret)
			if service.KindOf(err) != service.Unauthenticated || caller.Role != "" {
				t.Errorf("%s: %+v, %v", why, caller, err)
			}
		}
		one, two, operators := in(editor), in(editor), in(k.operatorKey(t))
		caller, err := k.service.SessionCaller(ctx, one.Secret)
		want := service.Caller{Who: "the editor (key " + made.ID + ")", KeyID: made.ID, ClubID: s.club.ID, Role: service.RoleEditor}
		if err != nil || caller != want || one.Caller != want || one.Secret == two.Secret {
			t.Errorf("signed in as %+v: %v", caller, err)
		}
		if caller, err := k.service.SessionCaller(ctx, operators.Secret); err != nil || caller.Role != service.RoleOperator {
			t.Errorf("an operator signed in as %+v: %v", caller, err)
		}
		for _, session := range []service.NewSession{one, operators, one} {
			if err := k.service.SignOut(ctx, session.Secret); err != nil {
				t.Fatal(err)
			}
			out(session, "signed out")
		}
		k.clock.now = k.clock.now.Add(service.SessionLength - time.Second)
		if _, err := k.service.SessionCaller(ctx, two.Secret); err != nil {
			t.Error(err)
		}
		k.clock.now = k.clock.now.Add(time.Second)
		out(two, "after its time")
		three := in(editor) // clears away what has ended
		if got := k.everything(t); strings.Contains(got, sha(two.Secret)) || !strings.Contains(got, sha(three.Secret)) {
			t.Error("ended sessions are kept")
		}
		k.want(200, "DELETE", made.location, "", bearer(owner)...)
		out(three, "after its key")
		for _, secret := range []string{"", "swc_", editor, one.Secret + "a", three.Secret} {
			if _, err := k.service.SignIn(ctx, secret); service.KindOf(err) != service.Unauthenticated {
				t.Errorf("signed in with %q: %v", secret, err)
			}
		}
	})
}

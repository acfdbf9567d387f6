package main

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	_ "github.com/jackc/pgx/v5/stdlib" // the driver named "pgx"

	"swardcase/.ci/served"
	"swardcase/api/store/storetest"
	"swardcase/openapi"
)

// statements are texts that do harm wherever a text becomes part of a query.
var statements = []string{
	`'; DROP TABLE clubs CASCADE; --`,
	`x' OR '1'='1`,
	`x'; SELECT pg_sleep(30); --`,
	`\'; DELETE FROM audit_entries; --`,
	`$1); TRUNCATE greens CASCADE; --`,
	`x"; UPDATE clubs SET archived_at = now(); --`,
}

// injection tries every text that a caller can send, over PostgreSQL.
type injection struct {
	client  *client
	program string
	doc     *openapi3.T
	parts   map[string]any
	club    string // address
	number  int

	fields, sent, taken, refused int
	kept                         map[string]int // things stored, by table
}

func sqlEverywhere(ctx context.Context, l *lab) (err error) {
	server, err := storetest.NewServer(false)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, server.Remove()) }()
	place := "DATABASE_URL=" + server.URL("postgres")
	if err := l.Migrate(ctx, place); err != nil {
		return err
	}
	s, err := l.serve(place, "--address-rate", "0")
	if err != nil {
		return err
	}
	i := &injection{client: s.client("127.0.0.1"), program: l.Program, kept: map[string]int{}}
	if i.doc, err = openapi.Load(); err != nil {
		return err
	}
	err = errors.Join(i.bodies(ctx), i.parameters(ctx))
	if err == nil {
		err = i.checkTables(ctx, server.URL("postgres"))
	}
	if err = errors.Join(err, s.Stop()); err == nil {
		fmt.Printf("  %d text fields of bodies, parameters and headers × %d statements: %d requests, %d taken as text and read back as sent, %d refused with 4xx; every table whole\n",
			i.fields, len(statements), i.sent, i.taken, i.refused)
	}
	return err
}

// bodies puts each statement into each text of each document that is stored or
// computed on.
func (i *injection) bodies(ctx context.Context) error {
	text, err := os.ReadFile(filepath.Join("testdata", "cases", "green_14.json"))
	if err != nil {
		return err
	}
	if err := json.Unmarshal(text, &i.parts); err != nil {
		return err
	}
	club, err := i.make(ctx, "/v1/clubs", map[string]any{"name": "Thornmere Golf Club", "site": i.parts["site"]}, "clubs")
	if err != nil {
		return err
	}
	i.club = "/v1/clubs/" + club
	green, err := i.make(ctx, i.club+"/greens", i.green(), "greens")
	if err != nil {
		return err
	}
	survey, err := i.make(ctx, i.club+"/surveys", i.survey(green), "surveys")
	if err != nil {
		return err
	}
	printed, err := exec.CommandContext(ctx, i.program, "prices", "--format", "json").Output()
	if err != nil {
		return fmt.Errorf("print a price book: %w", err)
	}
	var book map[string]any
	if err := json.Unmarshal(printed, &book); err != nil {
		return err
	}
	appraisal := func() map[string]any {
		request := map[string]any{"green_id": green, "survey_id": survey, "confidence": map[string]any{"draws": 0}}
		for _, name := range []string{"title", "money", "requirements", "available", "choices"} {
			if part := i.parts[name]; part != nil {
				request[name] = part
			}
		}
		return request
	}
	made, err := i.make(ctx, i.club+"/appraisals", appraisal(), "appraisals")
	if err != nil {
		return err
	}
	nothing := func() map[string]any { return map[string]any{} }
	for _, target := range []struct {
		schema, path, table string
		body                func() map[string]any
	}{
		{"ClubInput", "/v1/clubs", "clubs", func() map[string]any {
			return map[string]any{"name": "Another", "site": i.parts["site"]}
		}},
		{"GreenInput", i.club + "/greens", "greens", i.green},
		{"SurveyInput", i.club + "/surveys", "surveys", func() map[string]any { return i.survey(green) }},
		{"AppraisalRequest", i.club + "/appraisals", "appraisals", appraisal},
		{"ReappraisalRequest", i.club + "/appraisals/" + made + "/reappraisals", "appraisals", nothing},
		{"ShareLinkInput", i.club + "/appraisals/" + made + "/share-links", "share_links", nothing},
		{"PriceBookInput", i.club + "/price-books", "price_books", func() map[string]any { return map[string]any{"book": book} }},
		{"Case", "/v1/trial-appraisals", "", func() map[string]any { return maps.Clone(i.parts) }},
	} {
		schema := i.doc.Components.Schemas[target.schema]
		if schema == nil {
			return fmt.Errorf("the contract has no %s", target.schema)
		}
		for _, field := range textFields(schema.Value, target.body(), nil) {
			i.fields++
			for _, statement := range statements {
				body := with(target.body(), field, statement).(map[string]any)
				if err := i.try(ctx, target.path, target.table, body, statement); err != nil {
					return fmt.Errorf("%s at %v: %w", target.schema, field, err)
				}
			}
		}
	}
	return nil
}

// green and survey are sound, and each of a name or a day of its own.
func (i *injection) green() map[string]any {
	i.number++
	green := maps.Clone(i.parts["green"].(map[string]any))
	green["name"] = fmt.Sprintf("green %d", i.number)
	return map[string]any{"green": green, "upkeep": i.parts["upkeep"]}
}

func (i *injection) survey(green string) map[string]any {
	i.number++
	survey := maps.Clone(i.parts["survey"].(map[string]any))
	survey["surveyed_on"] = time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, i.number).Format(time.DateOnly)
	return map[string]any{"green_id": green, "survey": survey}
}

func (i *injection) make(ctx context.Context, path string, body map[string]any, table string) (string, error) {
	text, err := json.Marshal(body)
	if err != nil {
		return "", err
	}
	a, err := i.client.send(ctx, http.MethodPost, path, text)
	if err != nil || a.status != http.StatusCreated {
		return "", errors.Join(fmt.Errorf("%s was answered %d: %.500s", path, a.status, a.body), err)
	}
	i.kept[table]++
	return served.IDOf(a.body)
}

// slept is how long an answer takes only when a statement was carried out.
const slept = 25 * time.Second

// try sends one body. What is taken must come back as it was sent.
func (i *injection) try(ctx context.Context, path, table string, body map[string]any, statement string) error {
	text, err := json.Marshal(body)
	if err != nil {
		return err
	}
	a, err := i.client.send(ctx, http.MethodPost, path, text, "Idempotency-Key", fmt.Sprintf("try-%d", i.sent))
	if err != nil {
		return err
	}
	i.sent++
	if a.took > slept {
		return fmt.Errorf("%q was carried out: the answer took %s", statement, a.took)
	}
	if a.status != http.StatusCreated && a.status != http.StatusOK {
		i.refused++
		return a.refusal()
	}
	if table != "" {
		i.kept[table]++
		if a, err = i.client.send(ctx, http.MethodGet, a.header.Get("Location"), nil); err != nil {
			return err
		}
	}
	quoted, err := json.Marshal(statement)
	if err != nil {
		return err
	}
	// The answer is written with the same rules for signs as the question.
	if a.status != http.StatusOK || !strings.Contains(string(a.body), string(quoted)) {
		return fmt.Errorf("%q was taken, and is not read back: %d %.300s", statement, a.status, a.body)
	}
	i.taken++
	return nil
}

// parameters puts each statement into each part of each address, into each
// parameter of a query, and into the headers that the contract names.
func (i *injection) parameters(ctx context.Context) error {
	for path, item := range i.doc.Paths.Map() {
		for method, operation := range item.Operations() {
			for _, p := range slices.Concat(item.Parameters, operation.Parameters) {
				i.fields++
				for _, statement := range statements {
					at, headers := path, []string{"If-Match", "*"}
					query := ""
					switch p.Value.In {
					case openapi3.ParameterInPath:
						at = strings.Replace(path, "{"+p.Value.Name+"}", url.PathEscape(statement), 1)
					case openapi3.ParameterInQuery:
						query = "?" + p.Value.Name + "=" + url.QueryEscape(statement)
					default:
						headers = append(headers, p.Value.Name, statement)
					}
					at = braces.ReplaceAllString(strings.Replace(at, "/v1/clubs/{club_id}", i.club, 1), "01985e3c-0000-7000-8000-000000000001") + query
					a, err := i.client.send(ctx, method, at, nil, headers...)
					if err != nil {
						return err
					}
					i.sent++
					switch {
					case a.took > slept:
						return fmt.Errorf("%s %s was carried out: the answer took %s", method, at, a.took)
					case a.status == http.StatusOK:
						i.taken++
					default:
						i.refused++
						if err := a.refusal(); err != nil {
							return fmt.Errorf("%s %s: %w", method, at, err)
						}
					}
				}
			}
		}
	}
	return nil
}

// checkTables looks behind the service: every table is there, with what was
// acknowledged and no more.
func (i *injection) checkTables(ctx context.Context, address string) (err error) {
	db, err := sql.Open("pgx", address)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	things := 0
	for table, want := range i.kept {
		var got, archived int
		ended := "archived_at"
		if table == "share_links" {
			ended = "revoked_at"
		}
		if err := db.QueryRowContext(ctx, "SELECT count(*), count("+ended+") FROM "+table).Scan(&got, &archived); err != nil {
			return err
		}
		if got != want || archived != 0 {
			return fmt.Errorf("%s has %d rows, %d archived; %d were acknowledged and none archived", table, got, archived, want)
		}
		things += want
	}
	var entries int
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM audit_entries WHERE action = 'create'").Scan(&entries); err != nil || entries != things {
		return errors.Join(fmt.Errorf("%d audit entries for %d things", entries, things), err)
	}
	return nil
}

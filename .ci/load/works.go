package main

import (
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"swardcase/api/store/storetest"
)

// work is one sort of request, and the table that its row goes into.
type work struct {
	name  string
	table string
	keyed bool
	slow  time.Duration // how long one takes on a busy machine, if long
	// body is a request, with NAME where a name of its own goes.
	body func(s *target, green, survey string) (string, error)
}

var works = []work{
	{"greens", "greens", false, 0, greenBody},
	{"greens, each with an Idempotency-Key", "greens", true, 0, greenBody},
	{"appraisals without draws", "appraisals", false, 100 * time.Millisecond, appraisalBody(0)},
	{"appraisals without draws, each with an Idempotency-Key", "appraisals", true, 100 * time.Millisecond, appraisalBody(0)},
	{"appraisals with 10,000 draws, each with an Idempotency-Key", "appraisals", true, 400 * time.Millisecond, appraisalBody(10_000)},
}

func greenBody(*target, string, string) (string, error) {
	return `{"green":{"name":"NAME","area_m2":412,"perimeter_m":75,"age_years":9,"has_drains":false}}`, nil
}

func appraisalBody(draws int) func(*target, string, string) (string, error) {
	return func(s *target, green, survey string) (string, error) {
		request := maps.Clone(s.parts)
		for _, stored := range []string{"case_format", "site", "green", "upkeep", "survey"} {
			delete(request, stored)
		}
		request["green_id"], request["survey_id"] = fmt.Appendf(nil, "%q", green), fmt.Appendf(nil, "%q", survey)
		request["confidence"] = fmt.Appendf(nil, `{"draws":%d}`, draws)
		text, err := json.Marshal(request)
		return string(text), err
	}
}

//go:embed post.lua
var postScript string

// wrk posts with so many clients for the time that a measurement lasts.
func (b *bench) wrk(ctx context.Context, s *target, w work, clients int) (figure, error) {
	run := fmt.Sprintf("%d clients at %d", clients, time.Now().UnixNano())
	green, survey, err := s.newGreen(ctx, run)
	if err != nil {
		return figure{}, err
	}
	body, err := w.body(s, green, survey)
	if err != nil {
		return figure{}, err
	}
	body = strings.ReplaceAll(body, "NAME", run+" NAME")
	script := filepath.Join(b.Scratch, "post.lua")
	if err := os.WriteFile(script, []byte(postScript), 0o600); err != nil {
		return figure{}, err
	}
	key := ""
	if w.keyed {
		key = strings.ReplaceAll(run, " ", "-")
	}
	threads := min(clients, 2)
	// Long enough that every client is answered several times.
	lasts := max(b.lasts, 3*time.Duration(clients)*w.slow, 5*w.slow)
	output, err := exec.CommandContext(ctx, "wrk", "-t", strconv.Itoa(threads), "-c", strconv.Itoa(clients),
		"-d", fmt.Sprintf("%ds", int(lasts.Round(time.Second).Seconds())), "--timeout", "60s", "-s", script,
		s.URL+"/v1/clubs/"+s.club+"/"+w.table, "--", body, key, strconv.Itoa(threads)).CombinedOutput()
	if err != nil {
		return figure{}, fmt.Errorf("wrk: %w: %s", err, output)
	}
	_, text, found := strings.Cut(string(output), "measured ")
	var requests, refused, unanswered, lastedUS, p99US float64
	if _, err := fmt.Sscan(text, &requests, &refused, &unanswered, &lastedUS, &p99US); !found || err != nil {
		return figure{}, fmt.Errorf("wrk said %s", output)
	}
	if unanswered > 0 || w.slow == 0 && refused > 0 {
		return figure{}, fmt.Errorf("of %.0f requests %.0f were refused and %.0f not answered", requests, refused, unanswered)
	}
	return figure{(requests - refused) / lastedUS * 1e6, time.Duration(p99US * 1e3), int(refused)}, nil
}

// pgbench inserts the newest row of the table again and again, as rows of their
// own ids and names.
func (b *bench) pgbench(ctx context.Context, server *storetest.Server, w work, clients int) (figure, error) {
	folder, err := os.MkdirTemp(b.Scratch, "pgbench-")
	if err != nil {
		return figure{}, err
	}
	script := filepath.Join(folder, "script.sql")
	if err := os.WriteFile(script, []byte(insertScripts[w.table]), 0o600); err != nil {
		return figure{}, err
	}
	output, err := exec.CommandContext(ctx, "pgbench", "--no-vacuum", "--protocol=prepared", "--client="+strconv.Itoa(clients),
		"--jobs="+strconv.Itoa(min(clients, 2)), fmt.Sprintf("--time=%d", int(b.lasts.Seconds())), "--file="+script,
		"--define=ready=0", "--define=run="+filepath.Base(folder), "--log", "--log-prefix="+filepath.Join(folder, "times"),
		"--host="+server.Folder(), "--username=owner", "postgres").CombinedOutput()
	if err != nil {
		return figure{}, fmt.Errorf("pgbench: %w: %s", err, output)
	}
	return readTimes(folder, output)
}

// readTimes reads the rate that pgbench prints, and the times that it logged: in
// each line, the third field is microseconds.
func readTimes(folder string, output []byte) (figure, error) {
	var f figure
	_, text, _ := strings.Cut(string(output), "tps = ")
	if _, err := fmt.Sscan(text, &f.perSecond); err != nil {
		return f, fmt.Errorf("pgbench said %s", output)
	}
	if !strings.Contains(string(output), "failed transactions: 0 ") {
		return f, fmt.Errorf("some transactions of pgbench failed: %s", output)
	}
	logs, err := filepath.Glob(filepath.Join(folder, "times*"))
	if err != nil {
		return f, err
	}
	var times []time.Duration
	for _, log := range logs {
		text, err := os.ReadFile(log)
		if err != nil {
			return f, err
		}
		for line := range strings.Lines(string(text)) {
			fields := strings.Fields(line)
			if len(fields) < 3 {
				continue
			}
			us, err := strconv.ParseInt(fields[2], 10, 64)
			if err != nil {
				return f, err
			}
			times = append(times, time.Duration(us)*time.Microsecond)
		}
	}
	if len(times) == 0 {
		return f, fmt.Errorf("pgbench logged no times")
	}
	f.p99 = percentile99(times)
	return f, nil
}

// insertScripts read the newest row of a table once for each client, and then
// send it as parameters of an INSERT. A green has a
// name of its own.
var insertScripts = map[string]string{
	"greens": `
\if :ready = 0
SELECT club_id AS club, document::text AS document FROM greens ORDER BY id DESC LIMIT 1 \gset
\set ready 1
\set n 0
\endif
\set n :n + 1
INSERT INTO greens (id, club_id, version, created_at, updated_at, archived_at, name, document)
VALUES (gen_random_uuid(), :club, 1, now(), now(), NULL, :run || '-' || :client_id || '-' || :n, :document);
`,
	"appraisals": `
\if :ready = 0
SELECT club_id AS club, green_id AS of, survey_id AS survey, title, case_format, engine_version, seed, case_sha256, result_sha256, index_score, grade, advice,
	advised_option, headline, currency, capital, approve_capital, net_present_value, case_document::text AS input, result_document::text AS result
FROM appraisals ORDER BY id DESC LIMIT 1 \gset
\set ready 1
\endif
INSERT INTO appraisals (id, club_id, version, created_at, updated_at, archived_at, green_id, survey_id, price_book_id, reappraises_id, title,
	case_format, engine_version, seed, case_sha256, result_sha256, index_score, grade, advice,
	advised_option, headline, currency, capital, approve_capital, net_present_value, case_document, result_document)
VALUES (gen_random_uuid(), :club, 1, now(), now(), NULL, :of, :survey, NULL, NULL, :title,
	:case_format, :engine_version, :seed, :case_sha256, :result_sha256, :index_score, :grade, :advice,
	:advised_option, :headline, :currency, :capital, :approve_capital, :net_present_value, :input, :result);
`,
}

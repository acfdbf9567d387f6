package store

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"

	"swardcase/api/service"
)

// query puts a SELECT together from the conditions that a filter has. Values go
// in as arguments only.
type query struct {
	sql   strings.Builder
	args  []any
	joint string
}

func selectFrom(columns, table string) *query {
	q := &query{joint: " WHERE "}
	q.sql.WriteString("SELECT " + columns + " FROM " + table)
	return q
}

// where adds a condition that ends in an operator; the value follows it.
func (q *query) where(condition string, value any) {
	q.args = append(q.args, value)
	q.sql.WriteString(q.joint + condition + " $" + strconv.Itoa(len(q.args)))
	q.joint = " AND "
}

// whereText adds a condition unless the value is empty.
func (q *query) whereText(condition, value string) {
	if value != "" {
		q.where(condition, value)
	}
}

func (q *query) whereLive(filter service.Filter) {
	if !filter.Archived {
		q.sql.WriteString(q.joint + "archived_at IS NULL")
		q.joint = " AND "
	}
}

// page orders by a column and stops after the filter's limit.
func (q *query) page(order string, limit int) (string, []any) {
	q.sql.WriteString(" ORDER BY " + order + " LIMIT " + strconv.Itoa(limit))
	return q.sql.String(), q.args
}

// recordColumns are the columns of every stored thing, in the order in which
// recordFields and recordValues give them.
const recordColumns = "id, club_id, version, created_at, updated_at, archived_at"

func recordFields(r *service.Record) []any {
	return []any{&r.ID, &r.ClubID, &r.Version, &r.CreatedAt, &r.UpdatedAt, &r.ArchivedAt}
}

func recordValues(r service.Record) []any {
	return []any{r.ID, r.ClubID, r.Version, r.CreatedAt, r.UpdatedAt, r.ArchivedAt}
}

// inUTC puts a record's instants into UTC, in which the engines keep them.
func inUTC(r *service.Record) {
	r.CreatedAt, r.UpdatedAt = r.CreatedAt.UTC(), r.UpdatedAt.UTC()
	r.ArchivedAt = utc(r.ArchivedAt)
}

func utc(at *time.Time) *time.Time {
	if at == nil {
		return nil
	}
	in := at.UTC()
	return &in
}

// asDocument writes what a thing says of itself as one JSON text.
func asDocument(value any) (string, error) {
	text, err := json.Marshal(value)
	if err != nil {
		return "", fmt.Errorf("write a document: %w", err)
	}
	return string(text), nil
}

func readDocument(text []byte, into any) error {
	if err := json.Unmarshal(text, into); err != nil {
		return fmt.Errorf("read a stored document: %w", err)
	}
	return nil
}

// orNull gives NULL for empty text.
func orNull(text string) any {
	if text == "" {
		return nil
	}
	return text
}

// textOrNull gives NULL for no document.
func textOrNull(text []byte) any {
	if text == nil {
		return nil
	}
	return string(text)
}

package store

import (
	"context"

	"swardcase/api/service"
)

const auditColumns = "club_id, at, who, action, noun, noun_id, before_document, after_document"

func scanAuditEntry(from scanner) (service.AuditEntry, error) {
	var e service.AuditEntry
	var before, after []byte
	err := from.Scan(&e.Number, &e.ClubID, &e.At, &e.Who, &e.Action, &e.Noun, &e.NounID, &before, &after)
	e.At, e.Before, e.After = e.At.UTC(), before, after
	return e, err
}

// InsertAuditEntry adds an entry; the engine numbers it.
func (t tx) InsertAuditEntry(ctx context.Context, e service.AuditEntry) error {
	_, err := t.q.exec(ctx, `INSERT INTO audit_entries (`+auditColumns+`) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		e.ClubID, e.At, e.Who, e.Action, e.Noun, e.NounID, textOrNull(e.Before), string(e.After))
	return err
}

// AuditEntries lists entries by number.
func (t tx) AuditEntries(ctx context.Context, f service.Filter) ([]service.AuditEntry, error) {
	q := selectFrom("number, "+auditColumns, "audit_entries")
	q.where("club_id =", f.ClubID)
	q.where("number >", f.AfterNumber)
	q.whereText("noun_id =", f.NounID)
	return many(ctx, t.q, scanAuditEntry, q, "number", f.Limit)
}

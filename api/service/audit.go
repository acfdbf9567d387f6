package service

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"
	"time"
)

// What the audit trail says was done.
const (
	actionCreate  = "create"
	actionReplace = "replace"
	actionArchive = "archive"
	actionRestore = "restore"
	actionRevoke  = "revoke"
	actionCancel  = "cancel"
	actionFinish  = "finish" // a course plan, by the service
	actionFail    = "fail"   // the same, without a result
	actionUse     = "use"    // a price book, by the first appraisal that took it
)

// AuditEntry says who did what to what, when, and how it stood before and after.
// Number gives the order; it rises even where the clock was set back.
type AuditEntry struct {
	Number int64           `json:"number"`
	ClubID string          `json:"club_id"`
	At     time.Time       `json:"at"`
	Who    string          `json:"who"`
	Action string          `json:"action"`
	Noun   string          `json:"noun"`
	NounID string          `json:"noun_id"`
	Before json.RawMessage `json:"before"`
	After  json.RawMessage `json:"after"`
}

// audit adds an entry in the transaction of what it tells of, so that there is
// never one without the other. before is nil for what is new.
func (s *Service) audit(ctx context.Context, tx Tx, action, noun string, record Record, before []byte, after any) error {
	text, err := json.Marshal(after)
	if err != nil {
		return fmt.Errorf("write the %s for the audit trail: %w", noun, err)
	}
	caller, _ := CallerOf(ctx)
	return tx.InsertAuditEntry(ctx, AuditEntry{
		ClubID: record.ClubID, At: record.UpdatedAt, Who: caller.Who,
		Action: action, Noun: noun, NounID: record.ID, Before: before, After: text,
	})
}

// AuditEntries lists what was done in a club, oldest first. The cursor is the
// number of the last entry seen.
func (s *Service) AuditEntries(ctx context.Context, f Filter) (Page[AuditEntry], error) {
	return list(ctx, s, auditTrail, f)
}

// auditTrail is only ever listed.
var auditTrail = keeper[AuditEntry]{
	list:   Tx.AuditEntries,
	cursor: func(e AuditEntry) string { return strconv.FormatInt(e.Number, 10) },
}

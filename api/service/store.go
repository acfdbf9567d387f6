package service

import (
	"context"
	"strconv"
	"time"
)

// Store keeps what clubs and consultants hand over. What Update has returned
// without an error is on disk. Its errors are of the kinds below: NotFound,
// Conflict, Unavailable, StoreFull; what it does not know is internal.
type Store interface {
	// View runs f in a transaction that only reads, and sees one state of the
	// store throughout. The club, empty for none, is whose rows it may see.
	View(ctx context.Context, clubID string, f func(Tx) error) error
	// Update runs f in a transaction that is kept when f returns nil, and undone
	// in whole otherwise.
	Update(ctx context.Context, clubID string, f func(Tx) error) error
	// Ready says whether the store can be reached and has every migration.
	Ready(ctx context.Context) error
}

// Tx is one transaction. Getters answer NotFound for what the club does not
// have. Updates find the row at the version before the one they are given, and
// answer PreconditionFailed when it is no longer there; that closes the gap
// between reading a thing and changing it.
type Tx interface {
	Club(ctx context.Context, clubID, id string) (Club, error)
	Clubs(ctx context.Context, f Filter) ([]Club, error)
	InsertClub(ctx context.Context, club Club) error
	UpdateClub(ctx context.Context, club Club) error

	Green(ctx context.Context, clubID, id string) (Green, error)
	Greens(ctx context.Context, f Filter) ([]Green, error)
	InsertGreen(ctx context.Context, green Green) error
	UpdateGreen(ctx context.Context, green Green) error

	Survey(ctx context.Context, clubID, id string) (Survey, error)
	Surveys(ctx context.Context, f Filter) ([]Survey, error)
	InsertSurvey(ctx context.Context, survey Survey) error
	UpdateSurvey(ctx context.Context, survey Survey) error

	PriceBook(ctx context.Context, clubID, id string) (PriceBook, error)
	PriceBooks(ctx context.Context, f Filter) ([]PriceBook, error)
	InsertPriceBook(ctx context.Context, book PriceBook) error
	UpdatePriceBook(ctx context.Context, book PriceBook) error
	// LatestSurveys gives the last surveys of a green by their day, oldest first,
	// without the archived.
	LatestSurveys(ctx context.Context, clubID, greenID string, most int) ([]Survey, error)
	// LastEdition is the highest edition of a series, 0 when there is none.
	LastEdition(ctx context.Context, clubID, seriesID string) (int64, error)

	Appraisal(ctx context.Context, clubID, id string) (Appraisal, error)
	// AppraisalSummary leaves the documents out.
	AppraisalSummary(ctx context.Context, clubID, id string) (AppraisalSummary, error)
	Appraisals(ctx context.Context, f Filter) ([]AppraisalSummary, error)
	// LatestAppraisals gives the live appraisal of each green that was made last,
	// without its documents.
	LatestAppraisals(ctx context.Context, clubID string) ([]AppraisalSummary, error)
	InsertAppraisal(ctx context.Context, appraisal Appraisal) error
	// UpdateAppraisal changes the version and the instants, and nothing else.
	UpdateAppraisal(ctx context.Context, summary AppraisalSummary) error

	InsertAuditEntry(ctx context.Context, entry AuditEntry) error
	AuditEntries(ctx context.Context, f Filter) ([]AuditEntry, error)

	// Claim takes an idempotency key, unless it is taken by a claim whose lease
	// has not ended or by an answer that is still kept; then it gives that one
	// and claimed is false.
	Claim(ctx context.Context, claim Claim) (earlier Claim, claimed bool, err error)
	// Answer writes the answer of a claim. It fails with Conflict when the claim
	// has been lost to a later one.
	Answer(ctx context.Context, claim Claim) error
	// Release drops a claim that came to nothing.
	Release(ctx context.Context, claim Claim) error
}

// Filter picks what a list holds. An empty field picks everything; each list
// uses the fields that its things have. Lists are in the order of their ids,
// which is that of their making.
type Filter struct {
	ClubID        string
	GreenID       string
	SeriesID      string
	ReappraisesID string
	NounID        string // of the audit trail
	Name          string // of a green, exactly
	From, To      string // of a survey's day, YYYY-MM-DD, both included
	Archived      bool   // with what is archived
	After         string // the id of the last thing already seen
	AfterNumber   int64  // of the last audit entry already seen
	Limit         int
}

// Record is what every stored thing has. Version rises by one at each change.
type Record struct {
	ID         string     `json:"id"`
	ClubID     string     `json:"club_id"`
	Version    int64      `json:"version"`
	CreatedAt  time.Time  `json:"created_at"`
	UpdatedAt  time.Time  `json:"updated_at"`
	ArchivedAt *time.Time `json:"archived_at"`
}

// Identity is the thing's id.
func (r Record) Identity() string { return r.ID }

// Tag is the ETag of the thing's version (RFC 9110, section 8.8.3).
func (r Record) Tag() string { return strconv.Quote(strconv.FormatInt(r.Version, 10)) }

// Claim is an idempotency key in use. Who and Route are its scope.
type Claim struct {
	Who, Route, Key string
	ClubID          string // empty for a request that makes a club
	ID              string
	BodySHA256      string
	ClaimedAt       time.Time
	LeasedUntil     time.Time
	KeptUntil       time.Time
	Answer          []byte // nil while under way
}

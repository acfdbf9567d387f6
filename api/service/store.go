package service

import (
	"context"
	"encoding/json"
	"strconv"
	"time"
)

// Store keeps what clubs and consultants hand over. What Update has returned
// without an error is on disk. Its errors are of the kinds below: NotFound,
// Conflict, Unavailable, StoreFull; what it does not know is internal.
type Store interface {
	// View runs f in a transaction that only reads, and sees one state of the
	// store throughout.
	View(ctx context.Context, scope Scope, f func(Tx) error) error
	// Update runs f in a transaction that is kept when f returns nil, and undone
	// in whole otherwise.
	Update(ctx context.Context, scope Scope, f func(Tx) error) error

	// The following look a secret up by its hash, before it is known which club it
	// is of. They give NotFound, or also the hash that is kept.
	FindAccessKey(ctx context.Context, secretSHA256 string) (key AccessKey, kept string, err error)
	FindSession(ctx context.Context, secretSHA256 string) (session Session, key AccessKey, kept string, err error)
	FindShareLink(ctx context.Context, secretSHA256 string) (link ShareLink, kept string, err error)
	// HasAccessKeys says whether there is a key of any kind, live or not.
	HasAccessKeys(ctx context.Context) (bool, error)

	// DueJob names the oldest job of any club that a worker may take at an instant,
	// after some that are passed over; NotFound when there is none.
	DueJob(ctx context.Context, at time.Time, past int) (JobName, error)
	// JobDepth counts the jobs of all clubs that have not ended.
	JobDepth(ctx context.Context) (JobDepth, error)

	// Ready says whether the store can be reached and has every migration.
	Ready(ctx context.Context) error
}

// Scope says whose rows a transaction may see and change.
type Scope struct {
	// ClubID is the one club; empty for none.
	ClubID string
	// EveryClub opens the list of clubs, the list of keys, and what belongs to no
	// club; nothing else of any club.
	EveryClub bool
}

// claimant is the club that an idempotency key is kept for: none when a club is
// only being made.
func (s Scope) claimant() string {
	if s.EveryClub {
		return ""
	}
	return s.ClubID
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

	CoursePlan(ctx context.Context, clubID, id string) (CoursePlan, error)
	// CoursePlanCase gives the resolved case of a plan.
	CoursePlanCase(ctx context.Context, clubID, id string) (json.RawMessage, error)
	// CoursePlanSummary leaves the result out.
	CoursePlanSummary(ctx context.Context, clubID, id string) (CoursePlanSummary, error)
	CoursePlans(ctx context.Context, f Filter) ([]CoursePlanSummary, error)
	// OpenCoursePlans counts those of a club that have not ended.
	OpenCoursePlans(ctx context.Context, clubID string) (int64, error)
	InsertCoursePlan(ctx context.Context, plan CoursePlanSummary, course []byte) error
	// InsertCoursePlanResult adds the one result that a plan may have.
	InsertCoursePlanResult(ctx context.Context, plan CoursePlanSummary, result []byte) error
	// UpdateCoursePlan changes how the work stands, the version and the instants.
	UpdateCoursePlan(ctx context.Context, plan CoursePlanSummary) error

	// AccessKey takes an empty clubID for the key of an operator, as AccessKeys
	// does for the keys of all.
	AccessKey(ctx context.Context, clubID, id string) (AccessKey, error)
	AccessKeys(ctx context.Context, f Filter) ([]AccessKey, error)
	InsertAccessKey(ctx context.Context, key AccessKey, secretSHA256 string) error
	// RevokeAccessKey writes when the key was revoked, once.
	RevokeAccessKey(ctx context.Context, key AccessKey) error

	InsertSession(ctx context.Context, session Session, secretSHA256 string) error
	DeleteSession(ctx context.Context, clubID *string, id string) error
	// DeleteEndedSessions clears away what has ended; a nil clubID stands for
	// operators.
	DeleteEndedSessions(ctx context.Context, clubID *string, at time.Time) error

	ShareLink(ctx context.Context, clubID, appraisalID, id string) (ShareLink, error)
	ShareLinks(ctx context.Context, f Filter) ([]ShareLink, error)
	InsertShareLink(ctx context.Context, link ShareLink, secretSHA256 string) error
	// RevokeShareLink writes when the link was revoked, once.
	RevokeShareLink(ctx context.Context, link ShareLink) error

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
	AppraisalID   string // of a share link
	ReappraisesID string
	NounID        string // of the audit trail
	Name          string // of a green, exactly
	From, To      string // of a survey's day, YYYY-MM-DD, both included
	State         string // of a course plan
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

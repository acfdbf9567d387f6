package service

import (
	"context"
	"time"

	"swardcase/api/contract"
)

// How long a share link serves, in days, when nothing is said.
const shareLinkDays = 90

// ShareLinkInput is what is said of a share link when it is made.
type ShareLinkInput struct {
	// Label is for the club itself: who the link is meant for.
	Label string `json:"label,omitempty"`
	// ValidDays is how long the link serves; 0 stands for 90 days.
	ValidDays int `json:"valid_days,omitempty"`
}

// ShareLink shows one appraisal, and nothing else, to whoever has its secret, of
// which only the hash is kept.
type ShareLink struct {
	ID          string     `json:"id"`
	ClubID      string     `json:"club_id"`
	CreatedAt   time.Time  `json:"created_at"`
	AppraisalID string     `json:"appraisal_id"`
	Label       string     `json:"label"`
	ExpiresAt   time.Time  `json:"expires_at"`
	RevokedAt   *time.Time `json:"revoked_at"`
}

// Identity is the link's id.
func (l ShareLink) Identity() string { return l.ID }

// Live says whether the link still serves.
func (l ShareLink) Live(now time.Time) bool { return l.RevokedAt == nil && now.Before(l.ExpiresAt) }

// NewShareLink is a link with its secret, which is given this once and, like that
// of a key, has no JSON name.
type NewShareLink struct {
	ShareLink
	Secret string `json:"-"`
}

// SharedAppraisal is what a share link shows.
type SharedAppraisal struct {
	ClubName  string    `json:"club_name"`
	ExpiresAt time.Time `json:"expires_at"`
	Appraisal Appraisal `json:"appraisal"`
}

var shareLinks = keeper[ShareLink]{noun: "share_link", list: Tx.ShareLinks, cursor: ShareLink.Identity}

// CreateShareLink makes a link to one appraisal.
func (s *Service) CreateShareLink(ctx context.Context, call Call, clubID, appraisalID string, document contract.Document) (NewShareLink, error) {
	return once(ctx, s, call, clubID, func() (func(Tx) (NewShareLink, error), error) {
		var input ShareLinkInput
		if err := document.Decode(&input); err != nil {
			return nil, err
		}
		if err := checkPlain("/label", input.Label).Err(); err != nil {
			return nil, err
		}
		return func(tx Tx) (NewShareLink, error) { return s.insertShareLink(ctx, tx, clubID, appraisalID, input) }, nil
	})
}

func (s *Service) insertShareLink(ctx context.Context, tx Tx, clubID, appraisalID string, input ShareLinkInput) (NewShareLink, error) {
	var made NewShareLink
	if err := s.openClub(ctx, tx, clubID); err != nil {
		return made, err
	}
	shown, err := tx.AppraisalSummary(ctx, clubID, appraisalID)
	if err != nil {
		return made, named(appraisals.words(), err)
	}
	if err := live(&shown.Record); err != nil {
		return made, err
	}
	id, err := s.timeline.newID()
	if err != nil {
		return made, err
	}
	secret, hash, err := newSecret(s.timeline.random, sharePrefix)
	if err != nil {
		return made, err
	}
	days := input.ValidDays
	if days == 0 {
		days = shareLinkDays
	}
	now := s.timeline.now()
	made = NewShareLink{ShareLink{
		ID: id, ClubID: clubID, CreatedAt: now, AppraisalID: appraisalID, Label: input.Label, ExpiresAt: now.AddDate(0, 0, days),
	}, secret}
	if err := tx.InsertShareLink(ctx, made.ShareLink, hash); err != nil {
		return made, err
	}
	return made, s.auditAccess(ctx, tx, actionCreate, shareLinks.noun, clubID, id, nil, made.ShareLink)
}

// ShareLink reads one link of an appraisal.
func (s *Service) ShareLink(ctx context.Context, clubID, appraisalID, id string) (ShareLink, error) {
	of := shareLinks
	of.get = func(tx Tx, ctx context.Context, clubID, id string) (ShareLink, error) {
		return tx.ShareLink(ctx, clubID, appraisalID, id)
	}
	return read(ctx, s, of, clubID, id)
}

// ShareLinks lists the links of an appraisal, those that serve no longer too.
func (s *Service) ShareLinks(ctx context.Context, f Filter) (Page[ShareLink], error) {
	of := shareLinks
	of.list = func(tx Tx, ctx context.Context, f Filter) ([]ShareLink, error) {
		if _, err := tx.AppraisalSummary(ctx, f.ClubID, f.AppraisalID); err != nil {
			return nil, named(appraisals.words(), err)
		}
		return tx.ShareLinks(ctx, f)
	}
	return list(ctx, s, of, f)
}

// RevokeShareLink ends a link. One that is revoked already stays as it is.
func (s *Service) RevokeShareLink(ctx context.Context, clubID, appraisalID, id string) (ShareLink, error) {
	var link ShareLink
	err := s.update(ctx, clubID, func(tx Tx) error {
		before, err := tx.ShareLink(ctx, clubID, appraisalID, id)
		if err != nil {
			return named(shareLinks.words(), err)
		}
		link = before
		if link.RevokedAt != nil {
			return nil
		}
		now := s.timeline.now()
		link.RevokedAt = &now
		if err := tx.RevokeShareLink(ctx, link); err != nil {
			return err
		}
		return s.auditAccess(ctx, tx, actionRevoke, shareLinks.noun, clubID, id, before, link)
	})
	return link, err
}

// SharedAppraisal shows the appraisal of a link to whoever has its secret; it asks
// for no caller. A link that is not known, has expired, was revoked, or whose
// appraisal or club is archived gets one and the same answer.
func (s *Service) SharedAppraisal(ctx context.Context, secret string) (SharedAppraisal, error) {
	var shared SharedAppraisal
	if s.store == nil {
		return shared, errNoStore()
	}
	link, err := bySecret(ctx, sharePrefix, secret, errNoLink(), s.store.FindShareLink)
	switch {
	case err != nil:
		return shared, err
	case !link.Live(s.timeline.now()):
		return shared, errNoLink()
	}
	err = s.store.View(ctx, Scope{ClubID: link.ClubID}, func(tx Tx) error {
		club, err := tx.Club(ctx, link.ClubID, link.ClubID)
		if err != nil {
			return err
		}
		appraisal, err := tx.Appraisal(ctx, link.ClubID, link.AppraisalID)
		if err != nil {
			return err
		}
		if club.ArchivedAt != nil || appraisal.ArchivedAt != nil {
			return errNoLink()
		}
		shared = SharedAppraisal{ClubName: club.Name, ExpiresAt: link.ExpiresAt, Appraisal: appraisal}
		return nil
	})
	return shared, err
}

func errNoLink() error {
	return &Error{Kind: NotFound, Detail: "This link shows nothing, or no longer: ask the club for a new one."}
}

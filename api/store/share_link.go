package store

import (
	"context"

	"swardcase/api/service"
)

const shareLinkColumns = "id, club_id, created_at, appraisal_id, label, expires_at, revoked_at"

func shareLinkFields(l *service.ShareLink) []any {
	return []any{&l.ID, &l.ClubID, &l.CreatedAt, &l.AppraisalID, &l.Label, &l.ExpiresAt, &l.RevokedAt}
}

func settleShareLink(l *service.ShareLink) {
	l.CreatedAt, l.ExpiresAt, l.RevokedAt = l.CreatedAt.UTC(), l.ExpiresAt.UTC(), utc(l.RevokedAt)
}

func scanShareLink(from scanner) (service.ShareLink, error) {
	var link service.ShareLink
	err := from.Scan(shareLinkFields(&link)...)
	settleShareLink(&link)
	return link, err
}

// FindShareLink looks a link up by the hash of its secret.
func (s *Store) FindShareLink(ctx context.Context, secretSHA256 string) (service.ShareLink, string, error) {
	var link service.ShareLink
	var kept string
	err := s.lookUp(ctx, "SELECT "+shareLinkColumns+", secret_sha256 FROM "+s.lookups.shareLink,
		[]any{secretSHA256}, append(shareLinkFields(&link), &kept)...)
	settleShareLink(&link)
	return link, kept, err
}

// ShareLink reads one link of an appraisal.
func (t tx) ShareLink(ctx context.Context, clubID, appraisalID, id string) (service.ShareLink, error) {
	return one(ctx, t.q, scanShareLink, "SELECT "+shareLinkColumns+" FROM share_links WHERE club_id = $1 AND appraisal_id = $2 AND id = $3",
		clubID, appraisalID, id)
}

// ShareLinks lists the links of an appraisal.
func (t tx) ShareLinks(ctx context.Context, f service.Filter) ([]service.ShareLink, error) {
	q := selectFrom(shareLinkColumns, "share_links")
	q.where("club_id =", f.ClubID)
	q.where("appraisal_id =", f.AppraisalID)
	q.whereText("id >", f.After)
	return many(ctx, t.q, scanShareLink, q, "id", f.Limit)
}

// InsertShareLink adds a link.
func (t tx) InsertShareLink(ctx context.Context, l service.ShareLink, secretSHA256 string) error {
	_, err := t.q.exec(ctx, `INSERT INTO share_links (`+shareLinkColumns+`, secret_sha256) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		l.ID, l.ClubID, l.CreatedAt, l.AppraisalID, l.Label, l.ExpiresAt, l.RevokedAt, secretSHA256)
	return err
}

// RevokeShareLink writes when a link was revoked. The database refuses it a second
// time.
func (t tx) RevokeShareLink(ctx context.Context, l service.ShareLink) error {
	return changed(t.q.exec(ctx, `UPDATE share_links SET revoked_at = $3 WHERE club_id = $1 AND id = $2 AND revoked_at IS NULL`,
		l.ClubID, l.ID, l.RevokedAt))
}

package store

import (
	"context"
	"time"

	"swardcase/api/service"
)

// FindSession looks a session up by the hash of its secret, with its key.
func (s *Store) FindSession(ctx context.Context, secretSHA256 string) (service.Session, service.AccessKey, string, error) {
	var session service.Session
	var key service.AccessKey
	var kept string
	fields := []any{&session.ID, &session.ClubID, &session.CreatedAt, &session.KeyID, &session.ExpiresAt, &kept}
	err := s.lookUp(ctx, `SELECT s.id, s.club_id, s.created_at, s.key_id, s.expires_at, s.secret_sha256,
			k.id, k.club_id, k.created_at, k.label, k.role, k.expires_at, k.revoked_at
		FROM `+s.lookups.session, []any{secretSHA256}, append(fields, accessKeyFields(&key)...)...)
	session.CreatedAt, session.ExpiresAt = session.CreatedAt.UTC(), session.ExpiresAt.UTC()
	settleAccessKey(&key)
	return session, key, kept, err
}

// InsertSession adds a session.
func (t tx) InsertSession(ctx context.Context, s service.Session, secretSHA256 string) error {
	_, err := t.q.exec(ctx, `INSERT INTO sessions (id, club_id, created_at, key_id, expires_at, secret_sha256) VALUES ($1, $2, $3, $4, $5, $6)`,
		s.ID, s.ClubID, s.CreatedAt, s.KeyID, s.ExpiresAt, secretSHA256)
	return err
}

// DeleteSession removes a session; one that is gone is no error.
func (t tx) DeleteSession(ctx context.Context, clubID *string, id string) error {
	if clubID == nil {
		_, err := t.q.exec(ctx, `DELETE FROM sessions WHERE club_id IS NULL AND id = $1`, id)
		return err
	}
	_, err := t.q.exec(ctx, `DELETE FROM sessions WHERE club_id = $1 AND id = $2`, clubID, id)
	return err
}

// DeleteEndedSessions removes what has ended by itself.
func (t tx) DeleteEndedSessions(ctx context.Context, clubID *string, at time.Time) error {
	if clubID == nil {
		_, err := t.q.exec(ctx, `DELETE FROM sessions WHERE club_id IS NULL AND expires_at <= $1`, at)
		return err
	}
	_, err := t.q.exec(ctx, `DELETE FROM sessions WHERE club_id = $1 AND expires_at <= $2`, clubID, at)
	return err
}

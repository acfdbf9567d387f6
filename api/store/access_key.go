package store

import (
	"context"

	"swardcase/api/service"
)

const accessKeyColumns = "id, club_id, created_at, label, role, expires_at, revoked_at"

func accessKeyFields(k *service.AccessKey) []any {
	return []any{&k.ID, &k.ClubID, &k.CreatedAt, &k.Label, &k.Role, &k.ExpiresAt, &k.RevokedAt}
}

// settleAccessKey puts a key's instants into UTC.
func settleAccessKey(k *service.AccessKey) {
	k.CreatedAt, k.ExpiresAt, k.RevokedAt = k.CreatedAt.UTC(), utc(k.ExpiresAt), utc(k.RevokedAt)
}

func scanAccessKey(from scanner) (service.AccessKey, error) {
	var key service.AccessKey
	err := from.Scan(accessKeyFields(&key)...)
	settleAccessKey(&key)
	return key, err
}

// FindAccessKey looks a key up by the hash of its secret.
func (s *Store) FindAccessKey(ctx context.Context, secretSHA256 string) (service.AccessKey, string, error) {
	var key service.AccessKey
	var kept string
	err := s.lookUp(ctx, "SELECT "+accessKeyColumns+", secret_sha256 FROM "+s.lookups.accessKey,
		[]any{secretSHA256}, append(accessKeyFields(&key), &kept)...)
	settleAccessKey(&key)
	return key, kept, err
}

// HasAccessKeys says whether there is a key of any kind.
func (s *Store) HasAccessKeys(ctx context.Context) (bool, error) {
	var has bool
	err := s.lookUp(ctx, "SELECT "+s.lookups.hasAccessKeys, nil, &has)
	return has, err
}

// AccessKey reads one key of a club, or of an operator.
func (t tx) AccessKey(ctx context.Context, clubID, id string) (service.AccessKey, error) {
	if clubID == "" {
		return one(ctx, t.q, scanAccessKey, "SELECT "+accessKeyColumns+" FROM access_keys WHERE club_id IS NULL AND id = $1", id)
	}
	return one(ctx, t.q, scanAccessKey, "SELECT "+accessKeyColumns+" FROM access_keys WHERE club_id = $1 AND id = $2", clubID, id)
}

// AccessKeys lists the keys of a club, or of all.
func (t tx) AccessKeys(ctx context.Context, f service.Filter) ([]service.AccessKey, error) {
	q := selectFrom(accessKeyColumns, "access_keys")
	q.whereText("club_id =", f.ClubID)
	q.whereText("id >", f.After)
	return many(ctx, t.q, scanAccessKey, q, "id", f.Limit)
}

// InsertAccessKey adds a key.
func (t tx) InsertAccessKey(ctx context.Context, k service.AccessKey, secretSHA256 string) error {
	_, err := t.q.exec(ctx, `INSERT INTO access_keys (`+accessKeyColumns+`, secret_sha256) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		k.ID, k.ClubID, k.CreatedAt, k.Label, k.Role, k.ExpiresAt, k.RevokedAt, secretSHA256)
	return err
}

// RevokeAccessKey writes when a key was revoked. The database refuses it a second
// time.
func (t tx) RevokeAccessKey(ctx context.Context, k service.AccessKey) error {
	return changed(t.q.exec(ctx, `UPDATE access_keys SET revoked_at = $2 WHERE id = $1 AND revoked_at IS NULL`, k.ID, k.RevokedAt))
}

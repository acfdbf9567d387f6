package store

import (
	"context"
	"errors"

	"swardcase/api/service"
)

// Claim takes a key. An old claim without an answer whose lease has ended, and
// an answer that is kept no longer, give way to the new one.
func (t tx) Claim(ctx context.Context, c service.Claim) (service.Claim, bool, error) {
	if _, err := t.q.exec(ctx, `DELETE FROM idempotency_keys WHERE kept_until < $1`, c.ClaimedAt); err != nil {
		return c, false, err
	}
	for range claimTries {
		taken, err := t.takeKey(ctx, c)
		if err != nil || taken {
			return c, taken, err
		}
		earlier := c
		err = t.q.row(ctx, `SELECT claim, body_sha256, answer FROM idempotency_keys WHERE who = $1 AND route = $2 AND key = $3`,
			[]any{c.Who, c.Route, c.Key}, &earlier.ID, &earlier.BodySHA256, &earlier.Answer)
		if !errors.Is(err, errNoRow) {
			return earlier, false, err
		}
		// It was let go of between the two queries: take it after all.
	}
	return c, false, &service.Error{Kind: service.UnderWay, Detail: "Ask again in a moment with the same key."}
}

const claimTries = 3

func (t tx) takeKey(ctx context.Context, c service.Claim) (bool, error) {
	taken, err := t.q.exec(ctx, `INSERT INTO idempotency_keys AS old
			(who, route, key, club_id, claim, body_sha256, claimed_at, leased_until, kept_until)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)
		ON CONFLICT (who, route, key) DO UPDATE
		SET club_id = $4, claim = $5, body_sha256 = $6, claimed_at = $7, leased_until = $8, kept_until = $9
		WHERE old.answer IS NULL AND old.leased_until < $7`,
		c.Who, c.Route, c.Key, orNull(c.ClubID), c.ID, c.BodySHA256, c.ClaimedAt, c.LeasedUntil, c.KeptUntil)
	return taken == 1, err
}

// Answer writes a claim's answer, in the transaction of what it tells of.
func (t tx) Answer(ctx context.Context, c service.Claim) error {
	kept, err := t.q.exec(ctx, `UPDATE idempotency_keys SET answer = $5
		WHERE who = $1 AND route = $2 AND key = $3 AND claim = $4 AND answer IS NULL`,
		c.Who, c.Route, c.Key, c.ID, string(c.Answer))
	if err == nil && kept != 1 {
		err = &service.Error{Kind: service.Conflict, Detail: "Another request took over this Idempotency-Key: ask again with the same key."}
	}
	return err
}

// Release drops a claim that has no answer.
func (t tx) Release(ctx context.Context, c service.Claim) error {
	_, err := t.q.exec(ctx, `DELETE FROM idempotency_keys
		WHERE who = $1 AND route = $2 AND key = $3 AND claim = $4 AND answer IS NULL`, c.Who, c.Route, c.Key, c.ID)
	return err
}

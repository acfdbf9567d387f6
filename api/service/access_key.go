package service

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"swardcase/api/contract"
)

// AccessKeyInput is what is said of a key when it is made.
type AccessKeyInput struct {
	Label string `json:"label"`
	Role  Role   `json:"role"`
	// ValidDays is how long the key serves; 0 until it is revoked.
	ValidDays int `json:"valid_days,omitempty"`
}

// AccessKey is a key without its secret, of which only the hash is kept. ClubID is
// nil for the key of an operator.
type AccessKey struct {
	ID        string     `json:"id"`
	ClubID    *string    `json:"club_id"`
	CreatedAt time.Time  `json:"created_at"`
	Label     string     `json:"label"`
	Role      Role       `json:"role"`
	ExpiresAt *time.Time `json:"expires_at"`
	RevokedAt *time.Time `json:"revoked_at"`
}

// Identity is the key's id.
func (k AccessKey) Identity() string { return k.ID }

// Live says whether the key still serves.
func (k AccessKey) Live(now time.Time) bool {
	return k.RevokedAt == nil && (k.ExpiresAt == nil || now.Before(*k.ExpiresAt))
}

func (k AccessKey) club() string {
	if k.ClubID == nil {
		return ""
	}
	return *k.ClubID
}

// caller is whoever holds the key. The label comes from the club, and the id
// stands after it, so that no label can pass for another key.
func (k AccessKey) caller() Caller {
	return Caller{Who: fmt.Sprintf("%s (key %s)", k.Label, k.ID), KeyID: k.ID, ClubID: k.club(), Role: k.Role}
}

// NewAccessKey is a key with its secret, which is given this once. The secret has
// no JSON name, so that it cannot get into the audit trail or into the answer
// that is kept for an Idempotency-Key; it is empty when that answer is given
// again.
type NewAccessKey struct {
	AccessKey
	Secret string `json:"-"`
}

var accessKeys = keeper[AccessKey]{
	noun: "access_key", get: Tx.AccessKey, list: Tx.AccessKeys, cursor: AccessKey.Identity,
}

// CreateAccessKey makes a key of a club.
func (s *Service) CreateAccessKey(ctx context.Context, call Call, clubID string, document contract.Document) (NewAccessKey, error) {
	return once(ctx, s, call, clubID, func() (func(Tx) (NewAccessKey, error), error) {
		input, err := readAccessKey(document)
		if err != nil {
			return nil, err
		}
		return func(tx Tx) (NewAccessKey, error) {
			if err := s.openClub(ctx, tx, clubID); err != nil {
				return NewAccessKey{}, err
			}
			made, err := s.insertAccessKey(ctx, tx, &clubID, input)
			if err != nil {
				return made, err
			}
			return made, s.auditAccess(ctx, tx, actionCreate, accessKeys.noun, clubID, made.ID, nil, made.AccessKey)
		}, nil
	})
}

// CreateOperatorKey makes a key that belongs to no club. Only who has the machine
// may ask for it.
func (s *Service) CreateOperatorKey(ctx context.Context, label string, validDays int) (NewAccessKey, error) {
	var made NewAccessKey
	scope, err := s.scopeOfEvery(ctx)
	if err != nil {
		return made, err
	}
	if caller, _ := CallerOf(ctx); caller.Role != RoleLocal {
		return made, &Error{Kind: Forbidden, Detail: "The key of an operator is made on the command line."}
	}
	// A club's key has the same bounds; its role gives way to the operator's.
	body, err := json.Marshal(AccessKeyInput{Label: label, Role: RoleOwner, ValidDays: validDays})
	if err != nil {
		return made, err
	}
	document, err := s.contract.CheckDocument("AccessKeyInput", body)
	if err != nil {
		return made, err
	}
	input, err := readAccessKey(document)
	if err != nil {
		return made, err
	}
	input.Role = RoleOperator
	err = s.store.Update(ctx, scope, func(tx Tx) error {
		var err error
		made, err = s.insertAccessKey(ctx, tx, nil, input)
		return err
	})
	return made, err
}

func readAccessKey(document contract.Document) (AccessKeyInput, error) {
	var input AccessKeyInput
	if err := document.Decode(&input); err != nil {
		return input, err
	}
	return input, checkPlain("/label", input.Label).Err()
}

func (s *Service) insertAccessKey(ctx context.Context, tx Tx, clubID *string, input AccessKeyInput) (NewAccessKey, error) {
	var made NewAccessKey
	id, err := s.timeline.newID()
	if err != nil {
		return made, err
	}
	secret, hash, err := newSecret(s.timeline.random, keyPrefix)
	if err != nil {
		return made, err
	}
	now := s.timeline.now()
	made = NewAccessKey{AccessKey{ID: id, ClubID: clubID, CreatedAt: now, Label: input.Label, Role: input.Role}, secret}
	if input.ValidDays > 0 {
		end := now.AddDate(0, 0, input.ValidDays)
		made.ExpiresAt = &end
	}
	return made, tx.InsertAccessKey(ctx, made.AccessKey, hash)
}

// AccessKey reads one key of a club.
func (s *Service) AccessKey(ctx context.Context, clubID, id string) (AccessKey, error) {
	return read(ctx, s, accessKeys, clubID, id)
}

// AccessKeys lists the keys of a club, those that serve no longer too.
func (s *Service) AccessKeys(ctx context.Context, f Filter) (Page[AccessKey], error) {
	return list(ctx, s, accessKeys, f)
}

// EveryAccessKey lists the keys of all clubs and of the operators.
func (s *Service) EveryAccessKey(ctx context.Context, f Filter) (Page[AccessKey], error) {
	f.ClubID = ""
	return listEvery(ctx, s, accessKeys, f)
}

// RevokeAccessKey ends a key, with the sessions that were begun with it. One that
// is revoked already stays as it is.
func (s *Service) RevokeAccessKey(ctx context.Context, clubID, id string) (AccessKey, error) {
	var key AccessKey
	err := s.update(ctx, clubID, func(tx Tx) error {
		before, err := tx.AccessKey(ctx, clubID, id)
		if err != nil {
			return named(accessKeys.words(), err)
		}
		if key, err = s.revokeIn(ctx, tx, before); err != nil || before.RevokedAt != nil {
			return err
		}
		return s.auditAccess(ctx, tx, actionRevoke, accessKeys.noun, clubID, id, before, key)
	})
	return key, err
}

// RevokeOperatorKey ends the key of an operator.
func (s *Service) RevokeOperatorKey(ctx context.Context, id string) (AccessKey, error) {
	var key AccessKey
	scope, err := s.scopeOfEvery(ctx)
	if err != nil {
		return key, err
	}
	err = s.store.Update(ctx, scope, func(tx Tx) error {
		key, err = tx.AccessKey(ctx, "", id)
		if err != nil {
			return named(accessKeys.words(), err)
		}
		key, err = s.revokeIn(ctx, tx, key)
		return err
	})
	return key, err
}

func (s *Service) revokeIn(ctx context.Context, tx Tx, key AccessKey) (AccessKey, error) {
	if key.RevokedAt != nil {
		return key, nil
	}
	now := s.timeline.now()
	key.RevokedAt = &now
	return key, tx.RevokeAccessKey(ctx, key)
}

// HasKeys says whether the store holds a key of any kind, one that serves no
// longer included: whoever has once asked for keys is not let without them by
// revoking the last.
func (s *Service) HasKeys(ctx context.Context) (bool, error) {
	if s.store == nil {
		return false, nil
	}
	return s.store.HasAccessKeys(ctx)
}

// KeyCaller says who holds a key. What is no key, is not known, has expired or was
// revoked gets one and the same answer.
func (s *Service) KeyCaller(ctx context.Context, secret string) (Caller, error) {
	key, err := s.liveKey(ctx, secret)
	return key.caller(), err
}

func (s *Service) liveKey(ctx context.Context, secret string) (AccessKey, error) {
	if s.store == nil {
		return AccessKey{}, errBadKey()
	}
	key, err := bySecret(ctx, keyPrefix, secret, errBadKey(), s.store.FindAccessKey)
	if err == nil && !key.Live(s.timeline.now()) {
		return AccessKey{}, errBadKey()
	}
	return key, err
}

func errBadKey() error {
	return &Error{Kind: Unauthenticated, Detail: "The key is not known, has expired or was revoked: ask an owner of the club for a new one."}
}

// auditAccess adds an entry for a thing that is not a Record.
func (s *Service) auditAccess(ctx context.Context, tx Tx, action, noun, clubID, id string, before, after any) error {
	var old []byte
	if before != nil {
		var err error
		if old, err = json.Marshal(before); err != nil {
			return fmt.Errorf("write the %s for the audit trail: %w", noun, err)
		}
	}
	return s.audit(ctx, tx, action, noun, Record{ID: id, ClubID: clubID, UpdatedAt: s.timeline.now()}, old, after)
}

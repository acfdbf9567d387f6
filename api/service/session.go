package service

import (
	"context"
	"time"
)

// SessionLength is how long a session lasts from its beginning, whatever is done
// in it.
const SessionLength = 12 * time.Hour

// Session is somebody signed in with a key, on any of the processes that share a
// store. It ends by itself, by signing out, or with its key.
type Session struct {
	ID        string
	ClubID    *string
	CreatedAt time.Time
	KeyID     string
	ExpiresAt time.Time
}

// NewSession is a session with the secret that stands for the key from now on.
// It is for a cookie that no script can read, and never for a log.
type NewSession struct {
	Secret    string
	ExpiresAt time.Time
	Caller    Caller
}

// SignIn begins a session with a key. The secret of the key need not be kept.
func (s *Service) SignIn(ctx context.Context, keySecret string) (NewSession, error) {
	key, err := s.liveKey(ctx, keySecret)
	if err != nil {
		return NewSession{}, err
	}
	id, err := s.timeline.newID()
	if err != nil {
		return NewSession{}, err
	}
	secret, hash, err := newSecret(s.timeline.random, sessionPrefix)
	if err != nil {
		return NewSession{}, err
	}
	now := s.timeline.now()
	session := Session{ID: id, ClubID: key.ClubID, CreatedAt: now, KeyID: key.ID, ExpiresAt: now.Add(SessionLength)}
	err = s.store.Update(ctx, scopeOf(key.ClubID), func(tx Tx) error {
		if err := tx.DeleteEndedSessions(ctx, key.ClubID, now); err != nil {
			return err
		}
		return tx.InsertSession(ctx, session, hash)
	})
	return NewSession{secret, session.ExpiresAt, key.caller()}, err
}

// SessionCaller says who signed in for a session, unless it or its key has ended.
func (s *Service) SessionCaller(ctx context.Context, secret string) (Caller, error) {
	found, err := s.liveSession(ctx, secret)
	return found.key.caller(), err
}

// SignOut ends a session. One that has ended already is no error.
func (s *Service) SignOut(ctx context.Context, secret string) error {
	found, err := s.liveSession(ctx, secret)
	switch {
	case KindOf(err) == Unauthenticated:
		return nil
	case err != nil:
		return err
	}
	session := found.session
	return s.store.Update(ctx, scopeOf(session.ClubID), func(tx Tx) error { return tx.DeleteSession(ctx, session.ClubID, session.ID) })
}

// signedIn is a session with the key that it was begun with.
type signedIn struct {
	session Session
	key     AccessKey
}

func (s *Service) liveSession(ctx context.Context, secret string) (signedIn, error) {
	if s.store == nil {
		return signedIn{}, errNoSession()
	}
	found, err := bySecret(ctx, sessionPrefix, secret, errNoSession(), func(ctx context.Context, hash string) (signedIn, string, error) {
		session, key, kept, err := s.store.FindSession(ctx, hash)
		return signedIn{session, key}, kept, err
	})
	now := s.timeline.now()
	if err == nil && (!now.Before(found.session.ExpiresAt) || !found.key.Live(now)) {
		return signedIn{}, errNoSession()
	}
	return found, err
}

func errNoSession() error {
	return &Error{Kind: Unauthenticated, Detail: "You are not signed in, or no longer: sign in with your key."}
}

// scopeOf is the scope of a club, or of what belongs to none.
func scopeOf(clubID *string) Scope {
	if clubID == nil {
		return Scope{EveryClub: true}
	}
	return Scope{ClubID: *clubID}
}

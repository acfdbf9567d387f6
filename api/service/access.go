package service

import (
	"context"
	"slices"
)

// Role is what a caller may do. Viewer, editor and owner hold in one club, each
// with all that the one before may.
type Role string

const (
	// RoleViewer reads.
	RoleViewer Role = "viewer"
	// RoleEditor keeps greens, surveys, price books and appraisals, and shares
	// appraisals.
	RoleEditor Role = "editor"
	// RoleOwner changes the club itself, gives out its keys and reads its audit
	// trail.
	RoleOwner Role = "owner"
	// RoleOperator runs the service: it makes clubs and their keys, and sees
	// nothing else of any club.
	RoleOperator Role = "operator"
	// RoleLocal may do everything in every club. No key has it: it is that of the
	// command line, and of a service on a loopback address that has no keys.
	RoleLocal Role = "local"
)

var clubRoles = []Role{RoleViewer, RoleEditor, RoleOwner}

// Holds says whether a role of a club includes another: an editor is a viewer.
func (r Role) Holds(least Role) bool {
	return slices.Contains(clubRoles, least) && slices.Index(clubRoles, r) >= slices.Index(clubRoles, least)
}

// Caller is somebody who has shown who they are.
type Caller struct {
	// Who is what the audit trail writes: the label and the id of a key.
	Who string
	// KeyID is the id of the key; empty for a caller without one.
	KeyID string
	// ClubID is the club that the caller belongs to; empty for an operator and a
	// local caller.
	ClubID string
	Role   Role
}

// LocalCaller is a caller who has the machine itself.
func LocalCaller(who string) Caller { return Caller{Who: who, Role: RoleLocal} }

type callerKey struct{}

// WithCaller says in a context on whose behalf what follows is done. Every use
// case that touches what is kept asks for it, and answers Unauthenticated when
// nobody is named: what is forgotten is refused.
func WithCaller(ctx context.Context, caller Caller) context.Context {
	return context.WithValue(ctx, callerKey{}, caller)
}

// CallerOf gives the caller of a context.
func CallerOf(ctx context.Context) (caller Caller, known bool) {
	caller, known = ctx.Value(callerKey{}).(Caller)
	return caller, known && caller.Role != ""
}

// errNobody is what a use case says when no caller was named. Every door names
// one before it lets a request in.
func errNobody() error {
	return &Error{Kind: Unauthenticated, Detail: "Send a key of the club: Authorization: Bearer swc_…"}
}

// scopeIn is the scope of a transaction for one club, or none where the caller
// belongs to another. It stands behind the check at the door.
func (s *Service) scopeIn(ctx context.Context, clubID string) (Scope, error) {
	if s.store == nil {
		return Scope{}, errNoStore()
	}
	caller, known := CallerOf(ctx)
	switch {
	case !known:
		return Scope{}, errNobody()
	case caller.ClubID != "" && caller.ClubID != clubID:
		return Scope{}, notFound("club")
	}
	return Scope{ClubID: clubID}, nil
}

// scopeOfEvery is the scope of what no club holds alone: the list of clubs, a
// club that is being made, keys of operators. A caller of one club has no part
// in it.
func (s *Service) scopeOfEvery(ctx context.Context) (Scope, error) {
	if s.store == nil {
		return Scope{}, errNoStore()
	}
	caller, known := CallerOf(ctx)
	switch {
	case !known:
		return Scope{}, errNobody()
	case caller.Role != RoleOperator && caller.Role != RoleLocal:
		return Scope{}, &Error{Kind: Forbidden, Detail: "Only an operator of the service may do this."}
	}
	return Scope{EveryClub: true}, nil
}

// view runs f over one club's rows.
func (s *Service) view(ctx context.Context, clubID string, f func(Tx) error) error {
	scope, err := s.scopeIn(ctx, clubID)
	if err != nil {
		return err
	}
	return s.store.View(ctx, scope, f)
}

// update runs f over one club's rows, and keeps what it does.
func (s *Service) update(ctx context.Context, clubID string, f func(Tx) error) error {
	scope, err := s.scopeIn(ctx, clubID)
	if err != nil {
		return err
	}
	return s.store.Update(ctx, scope, f)
}

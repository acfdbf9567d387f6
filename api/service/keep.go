package service

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// keeper is what the use cases below need to know of one kind of stored thing.
// They are the same for all: read, list, make, replace, archive, restore.
type keeper[R any] struct {
	noun   string // as the audit trail writes it
	get    func(tx Tx, ctx context.Context, clubID, id string) (R, error)
	list   func(tx Tx, ctx context.Context, f Filter) ([]R, error)
	update func(tx Tx, ctx context.Context, thing R) error
	record func(*R) *Record
	// cursor names the last thing seen of a list; nil where its id does.
	cursor func(R) string
}

func (k keeper[R]) words() string { return strings.ReplaceAll(k.noun, "_", " ") }

// Page is one stretch of a list. NextCursor is nil on the last one.
type Page[R any] struct {
	Items      []R     `json:"items"`
	NextCursor *string `json:"next_cursor"`
}

// Match is an If-Match header that has been read: the versions that the caller
// will have, or any.
type Match struct {
	Any      bool
	Versions []int64
}

// ParseMatch reads an If-Match header (RFC 9110, section 13.1.1). A weak or
// foreign tag never matches; no header at all is refused, since the caller may
// be about to undo what another has just written.
func ParseMatch(header string) (Match, error) {
	if strings.TrimSpace(header) == "" {
		return Match{}, &Error{Kind: PreconditionRequired, Detail: "Send If-Match with the ETag that came with it when it was read."}
	}
	if strings.TrimSpace(header) == "*" {
		return Match{Any: true}, nil
	}
	var match Match
	for tag := range strings.SplitSeq(header, ",") {
		text, err := strconv.Unquote(strings.TrimSpace(tag))
		if err != nil || !strings.HasPrefix(strings.TrimSpace(tag), `"`) {
			continue
		}
		if version, err := strconv.ParseInt(text, 10, 64); err == nil {
			match.Versions = append(match.Versions, version)
		}
	}
	return match, nil
}

func (m Match) check(version int64) error {
	if m.Any || slices.Contains(m.Versions, version) {
		return nil
	}
	return &Error{Kind: PreconditionFailed, Detail: "Read it again, look at what has changed, and send the change with the new ETag."}
}

func read[R any](ctx context.Context, s *Service, k keeper[R], clubID, id string) (R, error) {
	var thing R
	err := s.view(ctx, clubID, func(tx Tx) error {
		var err error
		thing, err = k.get(tx, ctx, clubID, id)
		return named(k.words(), err)
	})
	return thing, err
}

// after is the cursor of what follows a thing in a list.
func (k keeper[R]) after(thing R) string {
	if k.cursor != nil {
		return k.cursor(thing)
	}
	return k.record(&thing).ID
}

// list reads a page of what one club has.
func list[R any](ctx context.Context, s *Service, k keeper[R], f Filter) (Page[R], error) {
	scope, err := s.scopeIn(ctx, f.ClubID)
	if err != nil {
		return Page[R]{}, err
	}
	return listIn(ctx, s, scope, k, f)
}

// listEvery reads a page of what is there, whatever club it belongs to.
func listEvery[R any](ctx context.Context, s *Service, k keeper[R], f Filter) (Page[R], error) {
	scope, err := s.scopeOfEvery(ctx)
	if err != nil {
		return Page[R]{}, err
	}
	return listIn(ctx, s, scope, k, f)
}

// listIn reads one more than the page holds, to know whether there is a next.
func listIn[R any](ctx context.Context, s *Service, scope Scope, k keeper[R], f Filter) (Page[R], error) {
	page := Page[R]{Items: []R{}}
	limit := f.Limit
	f.Limit++
	err := s.store.View(ctx, scope, func(tx Tx) error {
		if f.ClubID != "" {
			if _, err := tx.Club(ctx, f.ClubID, f.ClubID); err != nil {
				return named("club", err)
			}
		}
		items, err := k.list(tx, ctx, f)
		page.Items = append(page.Items, items...)
		return err
	})
	if len(page.Items) > limit {
		page.Items = page.Items[:limit]
		next := k.after(page.Items[limit-1])
		page.NextCursor = &next
	}
	return page, err
}

// makeIn gives a new thing of a club its record, lets store keep it and adds the
// audit entry.
func makeIn[R any](ctx context.Context, s *Service, tx Tx, k keeper[R], clubID string, store func(Record) (R, error)) (R, error) {
	record, err := s.newRecord(clubID)
	if err != nil {
		var none R
		return none, err
	}
	return makeAs(ctx, s, tx, k, record, store)
}

// makeAs is makeIn for a record that has been made.
func makeAs[R any](ctx context.Context, s *Service, tx Tx, k keeper[R], record Record, store func(Record) (R, error)) (R, error) {
	thing, err := store(record)
	if err != nil {
		return thing, err
	}
	return thing, s.audit(ctx, tx, actionCreate, k.noun, record, nil, thing)
}

// alteration is one change to a stored thing: which, from which version, under
// what name the audit trail has it, and what it does.
type alteration[R any] struct {
	clubID, id string
	match      Match
	action     string
	alter      func(Tx, *R) error
}

// change makes an alteration in a transaction of its own.
func change[R any](ctx context.Context, s *Service, k keeper[R], a alteration[R]) (R, error) {
	var thing R
	err := s.update(ctx, a.clubID, func(tx Tx) error {
		var err error
		thing, err = changeIn(ctx, s, tx, k, a)
		return err
	})
	return thing, err
}

// changeIn reads a thing, checks the caller's version, alters it, writes it back
// and adds the audit entry.
func changeIn[R any](ctx context.Context, s *Service, tx Tx, k keeper[R], a alteration[R]) (R, error) {
	var thing R
	if k.noun != clubs.noun { // an archived club can itself be changed, to restore it
		if err := s.openClub(ctx, tx, a.clubID); err != nil {
			return thing, err
		}
	}
	thing, err := k.get(tx, ctx, a.clubID, a.id)
	if err != nil {
		return thing, named(k.words(), err)
	}
	record := k.record(&thing)
	if err := a.match.check(record.Version); err != nil {
		return thing, err
	}
	before, err := json.Marshal(thing)
	if err != nil {
		return thing, fmt.Errorf("write the %s for the audit trail: %w", k.words(), err)
	}
	if err := a.alter(tx, &thing); err != nil {
		return thing, err
	}
	record.Version++
	record.UpdatedAt = s.timeline.now()
	if err := k.update(tx, ctx, thing); err != nil {
		return thing, err
	}
	return thing, s.audit(ctx, tx, a.action, k.noun, *record, before, thing)
}

// archive takes a thing out of the lists; nothing is ever deleted.
func archive[R any](ctx context.Context, s *Service, k keeper[R], clubID, id string, match Match) (R, error) {
	return change(ctx, s, k, alteration[R]{clubID, id, match, actionArchive, func(_ Tx, thing *R) error {
		record := k.record(thing)
		if record.ArchivedAt != nil {
			return &Error{Kind: Conflict, Detail: "It is archived already."}
		}
		now := s.timeline.now()
		record.ArchivedAt = &now
		return nil
	}})
}

// restore puts an archived thing back. Like all that is posted, it is done once
// for the call's key.
func restore[R any](ctx context.Context, s *Service, call Call, k keeper[R], clubID, id string, match Match) (R, error) {
	back := alteration[R]{clubID, id, match, actionRestore, func(_ Tx, thing *R) error {
		record := k.record(thing)
		if record.ArchivedAt == nil {
			return &Error{Kind: Conflict, Detail: "It is not archived."}
		}
		record.ArchivedAt = nil
		return nil
	}}
	return once(ctx, s, call, clubID, func() (func(Tx) (R, error), error) {
		return func(tx Tx) (R, error) { return changeIn(ctx, s, tx, k, back) }, nil
	})
}

// live refuses to change what is archived.
func live(record *Record) error {
	if record.ArchivedAt != nil {
		return &Error{Kind: Conflict, Detail: "It is archived: restore it first."}
	}
	return nil
}

// openClub refuses to store anything for a club that is not there or archived.
func (s *Service) openClub(ctx context.Context, tx Tx, clubID string) error {
	club, err := tx.Club(ctx, clubID, clubID)
	if err != nil {
		return named("club", err)
	}
	if club.ArchivedAt != nil {
		return &Error{Kind: Conflict, Detail: "The club is archived: restore it first."}
	}
	return nil
}

// newRecord makes the record of a new thing. A club is its own club.
func (s *Service) newRecord(clubID string) (Record, error) {
	id, err := s.timeline.newID()
	if err != nil {
		return Record{}, err
	}
	if clubID == "" {
		clubID = id
	}
	now := s.timeline.now()
	return Record{ID: id, ClubID: clubID, Version: 1, CreatedAt: now, UpdatedAt: now}, nil
}

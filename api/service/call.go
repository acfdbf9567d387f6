package service

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"swardcase/model/fault"
)

// Call says how to tell that the same is asked again. Who asks is in the context.
type Call struct {
	// Route is the method and the path: with the caller, the scope of the key.
	Route string
	// IdempotencyKey is the caller's own name for this request; empty for none.
	IdempotencyKey string
	// Body is what came with the key.
	Body []byte
}

// The times of an idempotency key. The lease is longer than any request may
// take: a claim that is older was left behind by a process that died.
const (
	claimLease = 2 * time.Minute
	answerKept = 24 * time.Hour
)

// once stores something at most once for the call's key, in one transaction: the
// key is taken, the thing stored and the answer kept, or nothing of it. A second
// call with the key and the same body gets that answer; one that comes meanwhile
// waits for it. prepare does what needs no lock, and returns what to do in the
// transaction. It must be quick, and must not look at what is stored.
func once[R any](ctx context.Context, s *Service, call Call, clubID string, prepare func() (func(Tx) (R, error), error)) (R, error) {
	scope, err := s.scopeIn(ctx, clubID)
	if err != nil {
		var none R
		return none, err
	}
	return onceIn(ctx, s, call, scope, prepare)
}

// onceIn is once in a scope that has been given.
func onceIn[R any](ctx context.Context, s *Service, call Call, scope Scope, prepare func() (func(Tx) (R, error), error)) (R, error) {
	var answer R
	claim, err := s.newClaim(ctx, call, scope)
	if err != nil {
		return answer, err
	}
	write, err := prepare()
	if err != nil {
		return answer, err
	}
	err = s.store.Update(ctx, scope, func(tx Tx) error {
		earlier, err := take(ctx, tx, claim)
		if err != nil {
			return err
		}
		if earlier != nil {
			return json.Unmarshal(earlier, &answer)
		}
		answer, err = writeAndKeep(ctx, tx, claim, write)
		return err
	})
	return answer, err
}

// onceWorked is once for what takes long to prepare, such as computing, or looks
// at what is stored for it: the key is taken in a transaction of its own first,
// and a second call meanwhile is told so.
func onceWorked[R any](ctx context.Context, s *Service, call Call, clubID string, prepare func() (func(Tx) (R, error), error)) (R, error) {
	var answer R
	scope, err := s.scopeIn(ctx, clubID)
	if err != nil {
		return answer, err
	}
	claim, err := s.newClaim(ctx, call, scope)
	if err != nil {
		return answer, err
	}
	if claim.Key != "" {
		var earlier []byte
		err := s.store.Update(ctx, scope, func(tx Tx) error {
			var err error
			earlier, err = take(ctx, tx, claim)
			return err
		})
		if err != nil {
			return answer, err
		}
		if earlier != nil {
			err := json.Unmarshal(earlier, &answer)
			return answer, err
		}
	}
	write, err := prepare()
	if err == nil {
		err = s.store.Update(ctx, scope, func(tx Tx) error {
			answer, err = writeAndKeep(ctx, tx, claim, write)
			return err
		})
	}
	if err != nil {
		s.release(ctx, scope, claim)
	}
	return answer, err
}

// newClaim is the claim of the call's key; without a key it has none either.
func (s *Service) newClaim(ctx context.Context, call Call, scope Scope) (Claim, error) {
	if call.IdempotencyKey == "" {
		return Claim{}, nil
	}
	id, err := s.timeline.newID()
	if err != nil {
		return Claim{}, err
	}
	caller, _ := CallerOf(ctx)
	now := s.timeline.now()
	return Claim{
		Who: caller.Who, Route: call.Route, Key: call.IdempotencyKey, ClubID: scope.claimant(),
		ID: id, BodySHA256: sha256Hex(call.Body),
		ClaimedAt: now, LeasedUntil: now.Add(claimLease), KeptUntil: now.Add(answerKept),
	}, nil
}

// take takes the claim's key, or finds the answer of an earlier call. Without a
// key there is nothing to take.
func take(ctx context.Context, tx Tx, claim Claim) (answer []byte, err error) {
	if claim.Key == "" {
		return nil, nil
	}
	earlier, claimed, err := tx.Claim(ctx, claim)
	switch {
	case err != nil || claimed:
		return nil, err
	case earlier.BodySHA256 != claim.BodySHA256:
		return nil, &Error{Kind: KeyReused, Detail: "Take a new Idempotency-Key for a new request; this one is kept for 24 hours."}
	case earlier.Answer == nil:
		return nil, &Error{Kind: UnderWay, Detail: "Wait for its answer, or ask again in a moment with the same key."}
	}
	return earlier.Answer, nil
}

// writeAndKeep stores the thing, and the answer for the claim's key.
func writeAndKeep[R any](ctx context.Context, tx Tx, claim Claim, write func(Tx) (R, error)) (R, error) {
	answer, err := write(tx)
	if err != nil || claim.Key == "" {
		return answer, err
	}
	if claim.Answer, err = json.Marshal(answer); err != nil {
		return answer, fmt.Errorf("keep the answer: %w", err)
	}
	return answer, tx.Answer(ctx, claim)
}

// release frees the key of a call that stored nothing, so that a mended request
// can use it. When even that fails, the lease ends by itself.
func (s *Service) release(ctx context.Context, scope Scope, claim Claim) {
	if claim.Key == "" {
		return
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), releaseTimeout)
	defer cancel()
	_ = s.store.Update(ctx, scope, func(tx Tx) error { return tx.Release(ctx, claim) })
}

const releaseTimeout = 2 * time.Second

func errNoStore() error {
	return &Error{Kind: NoStore, Detail: "Start it with a store to keep anything; trial requests work without one."}
}

// notFound is what is said of a thing that the club does not have, whether it
// is another club's or nobody's.
func notFound(noun string) error {
	return &Error{Kind: NotFound, Detail: "The club has no such " + noun + "."}
}

// named puts the noun's name into a store's bare NotFound.
func named(noun string, err error) error {
	var known *Error
	if errors.As(err, &known) && known.Kind == NotFound {
		return notFound(noun)
	}
	return err
}

// namedAt turns a store's bare NotFound into a fault of the field that named the
// thing.
func namedAt(pointer, id, noun, remedy string, err error) error {
	if KindOf(err) == NotFound {
		return fault.New(pointer, id, "the club has no such "+noun, remedy)
	}
	return err
}

package service

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
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

// once stores something at most once for the call's key. prepare does the work
// that needs no lock, such as computing, and returns what to do in the one
// transaction that also keeps the answer. A second call with the key and the
// same body gets that answer.
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
	claim, earlier, err := s.claim(ctx, call, scope)
	if err != nil {
		return answer, err
	}
	if earlier != nil {
		err := json.Unmarshal(earlier, &answer)
		return answer, err
	}
	write, err := prepare()
	if err == nil {
		err = s.store.Update(ctx, scope, func(tx Tx) error {
			if answer, err = write(tx); err != nil || claim.Key == "" {
				return err
			}
			if claim.Answer, err = json.Marshal(answer); err != nil {
				return fmt.Errorf("keep the answer: %w", err)
			}
			return tx.Answer(ctx, claim)
		})
	}
	if err != nil {
		s.release(ctx, scope, claim)
	}
	return answer, err
}

// claim takes the call's key, or finds the answer of an earlier call. Without a
// key there is nothing to take.
func (s *Service) claim(ctx context.Context, call Call, scope Scope) (claim Claim, answer []byte, err error) {
	if call.IdempotencyKey == "" {
		return Claim{}, nil, nil
	}
	id, err := s.timeline.newID()
	if err != nil {
		return Claim{}, nil, err
	}
	caller, _ := CallerOf(ctx)
	now := s.timeline.now()
	sum := sha256.Sum256(call.Body)
	claim = Claim{
		Who: caller.Who, Route: call.Route, Key: call.IdempotencyKey, ClubID: scope.claimant(),
		ID: id, BodySHA256: hex.EncodeToString(sum[:]),
		ClaimedAt: now, LeasedUntil: now.Add(claimLease), KeptUntil: now.Add(answerKept),
	}
	var earlier Claim
	claimed := false
	err = s.store.Update(ctx, scope, func(tx Tx) error {
		var err error
		earlier, claimed, err = tx.Claim(ctx, claim)
		return err
	})
	switch {
	case err != nil || claimed:
		return claim, nil, err
	case earlier.BodySHA256 != claim.BodySHA256:
		return claim, nil, &Error{Kind: KeyReused, Detail: "Take a new Idempotency-Key for a new request; this one is kept for 24 hours."}
	case earlier.Answer == nil:
		return claim, nil, &Error{Kind: UnderWay, Detail: "Wait for its answer, or ask again in a moment with the same key."}
	}
	return claim, earlier.Answer, nil
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

package service

import (
	"encoding/hex"
	"fmt"
	"io"
	"sync"
	"time"
)

// timeline hands out instants and ids from a given clock and a given source of
// randomness. Both only ever rise within one process, even when the clock is
// set back: a list in the order of ids is then a list in the order of making.
type timeline struct {
	clock  func() time.Time
	random io.Reader

	mu     sync.Mutex
	latest time.Time
	tick   uint64 // the 60 ordered bits of the last id: 48 of milliseconds, 12 of a counter
}

// now is the clock's instant in UTC, to the microsecond that every engine can
// keep, and never before an earlier one.
func (t *timeline) now() time.Time {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.advance()
}

func (t *timeline) advance() time.Time {
	if at := t.clock().UTC().Truncate(time.Microsecond); at.After(t.latest) {
		t.latest = at
	}
	return t.latest
}

// newID makes a UUID of version 7 (RFC 9562, section 5.7). The 12 bits after the
// version count within a millisecond, and a full counter carries into the
// milliseconds (section 6.2, method 1, with its rule for a rollover), so that
// each id is above the last.
func (t *timeline) newID() (string, error) {
	var id [16]byte
	if _, err := io.ReadFull(t.random, id[:]); err != nil {
		return "", fmt.Errorf("read random bytes for an id: %w", err)
	}
	t.mu.Lock()
	// A new millisecond starts its count in the lower half, which leaves room.
	start := uint64(t.advance().UnixMilli())<<12 | uint64(id[6]&7)<<8 | uint64(id[7])
	t.tick = max(t.tick+1, start)
	tick := t.tick
	t.mu.Unlock()

	for i := range 6 {
		id[i] = byte(tick >> (52 - 8*i))
	}
	id[6] = 0x70 | byte(tick>>8)&0x0f
	id[7] = byte(tick)
	id[8] = 0x80 | id[8]&0x3f
	text := hex.EncodeToString(id[:])
	return text[:8] + "-" + text[8:12] + "-" + text[12:16] + "-" + text[16:20] + "-" + text[20:], nil
}

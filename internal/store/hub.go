package store

import (
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"sync"

	"scumble/internal/restoration"
)

const (
	backlog = 64  // changes that a reader may lag behind
	kept    = 512 // changes that a reader may come back for
)

// hub hands each change to every reader in this process, and keeps the last of them
// for readers that were cut off. Marks count what it has told since it began to listen:
// Postgres notifies in the order of commits, which the numbers of the ledger don't
// follow, so that no change can be late behind a mark.
type hub struct {
	once    sync.Once
	mu      sync.Mutex
	up      bool   // listening, so that nothing is missed from here on
	era     string // of listening: marks of another say nothing
	told    int    // changes since the era began
	last    []restoration.Change
	readers map[chan restoration.Change]struct{}
}

// begin opens an era: what happened before it is not known.
func (h *hub) begin() {
	h.mu.Lock()
	h.up, h.era, h.told, h.last = true, newEra(), 0, nil
	h.mu.Unlock()
	h.tell(restoration.Change{})
}

func (h *hub) end() {
	h.mu.Lock()
	h.up = false
	h.mu.Unlock()
}

func newEra() string {
	var b [8]byte
	_, _ = rand.Read(b[:]) // never fails
	return hex.EncodeToString(b[:])
}

func (h *hub) join(reader chan restoration.Change, after string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.readers == nil {
		h.readers = map[chan restoration.Change]struct{}{}
	}
	h.readers[reader] = struct{}{}
	if !h.up {
		return // it is told when an era begins
	}
	missed, known := h.since(after)
	if !known {
		reader <- h.lookAgain()
	}
	for _, c := range missed {
		reader <- c
	}
}

// since gives what was told after a mark; not known is what lies in another era or too
// far back. h is locked.
func (h *hub) since(mark string) (missed []restoration.Change, known bool) {
	var n int
	if _, err := fmt.Sscanf(mark, h.era+"-%d", &n); err != nil || n < 0 || n > h.told {
		return nil, false
	}
	if missing := h.told - n; missing <= min(len(h.last), backlog) {
		return h.last[len(h.last)-missing:], true
	}
	return nil, false
}

// lookAgain is a change that stands for any. h is locked.
func (h *hub) lookAgain() restoration.Change { return restoration.Change{Mark: h.mark()} }

func (h *hub) mark() string { return fmt.Sprintf("%s-%d", h.era, h.told) }

func (h *hub) leave(reader chan restoration.Change) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.readers, reader)
	close(reader)
}

// tell hands c to every reader. One that lags too far loses its backlog for a
// single "look again", so that nobody waits for it.
func (h *hub) tell(c restoration.Change) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.told++
	c.Mark = h.mark()
	h.last = append(h.last, c)
	if len(h.last) > kept {
		h.last = h.last[len(h.last)-kept:]
	}
	for reader := range h.readers {
		select {
		case reader <- c:
		default:
			drain(reader)
			reader <- h.lookAgain()
		}
	}
}

func drain(reader chan restoration.Change) {
	for {
		select {
		case <-reader:
		default:
			return
		}
	}
}

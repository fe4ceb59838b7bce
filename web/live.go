package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"sync"
	"time"

	"scumble/internal/restoration"
)

// heartbeat is how often a quiet stream says that it is still there, so that nothing
// on the way takes it for dead.
const heartbeat = 20 * time.Second

// Changes gives the shop's changes as they are committed, from the one after a mark on.
type Changes func(ctx context.Context, after string) (<-chan restoration.Change, error)

// Live streams the shop's changes to browsers as server-sent events (WHATWG HTML, 9.2).
// An event says where something changed; the page asks for the rest. A browser that
// was cut off names the last event that it got, and misses none.
type Live struct {
	changes Changes
	once    sync.Once
	done    chan struct{}
}

// NewLive makes a Live.
func NewLive(changes Changes) *Live { return &Live{changes: changes, done: make(chan struct{})} }

// HangUp ends every stream at once: the server can't shut down while they run. Browsers
// try again by themselves. It may be called more than once.
func (l *Live) HangUp() { l.once.Do(func() { close(l.done) }) }

// Stream answers with an event named "changed" per change, until the browser leaves or
// the server hangs up.
func (l *Live) Stream(w http.ResponseWriter, r *http.Request) error {
	ctx, cancel := context.WithCancel(r.Context())
	defer cancel()
	changes, err := l.changes(ctx, r.Header.Get("Last-Event-ID"))
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("X-Accel-Buffering", "no") // a proxy in front must not gather events
	stream := http.NewResponseController(w)
	// The server's write limit is meant for pages; a stream lasts.
	_ = stream.SetWriteDeadline(time.Time{})
	if _, err := fmt.Fprint(w, "retry: 2000\n\n"); err != nil {
		return nil
	}
	if err := stream.Flush(); err != nil {
		return fmt.Errorf("start the live stream: %w", err)
	}
	l.pump(w, stream, r, changes)
	return nil
}

// pump writes what comes until one side has enough. A write that fails means that
// the browser left, which is how most streams end.
func (l *Live) pump(w http.ResponseWriter, stream *http.ResponseController, r *http.Request, changes <-chan restoration.Change) {
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for {
		var text string
		select {
		case <-r.Context().Done():
			return
		case <-l.done:
			return
		case <-beat.C:
			text = ": still here\n\n"
		case c, open := <-changes:
			if !open {
				return
			}
			text = liveEvent(c)
		}
		if _, err := fmt.Fprint(w, text); err != nil {
			return
		}
		if stream.Flush() != nil {
			return
		}
	}
}

// liveEvent writes a change as a server-sent event.
func liveEvent(c restoration.Change) string {
	data, err := json.Marshal(struct {
		Seq   int64            `json:"seq"`
		Car   int64            `json:"car,omitempty"`
		Piece restoration.ID   `json:"piece,omitzero"`
		Kind  restoration.Kind `json:"kind,omitempty"`
	}{c.Seq, c.CarID, c.PieceID, c.Kind})
	if err != nil { // numbers and text always go
		panic(err)
	}
	return fmt.Sprintf("id: %s\nevent: changed\ndata: %s\n\n", c.Mark, data)
}

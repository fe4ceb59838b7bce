package office

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"sync"
	"time"

	"scumble/internal/restoration"
)

// heartbeat is how often a quiet stream says that it is still there, so that
// nothing on the way takes it for dead.
const heartbeat = 20 * time.Second

// liveChange is what a browser hears of a change. It says where something
// changed; the page asks for the rest.
type liveChange struct {
	Seq   int64  `json:"seq"`
	Car   int64  `json:"car,omitempty"`
	Piece string `json:"piece,omitempty"`
	Kind  string `json:"kind,omitempty"`
}

// closer ends every live stream at once: the server can't shut down while they run.
type closer struct {
	once sync.Once
	done chan struct{}
}

func newCloser() *closer { return &closer{done: make(chan struct{})} }

// HangUp ends every live stream; browsers try again by themselves. It is called
// when the server shuts down, and may be called more than once.
func (o *Office) HangUp() { o.live.once.Do(func() { close(o.live.done) }) }

// A page puts what it refetches inside the element that listens, and never takes that
// element's own place: a change that comes while a refetch is under way waits in its
// queue, and would be lost with it.

// streamChanges answers with server-sent events, one named "changed" per change,
// until the browser leaves or the server hangs up.
func (o *Office) streamChanges(w http.ResponseWriter, r *http.Request) error {
	ctx, cancel := context.WithCancel(r.Context())
	defer cancel()
	changes, err := o.shop.Changes(ctx)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/event-stream")
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
	o.pump(w, stream, r, changes)
	return nil
}

// pump writes what comes until one side has enough. A write that fails means that
// the browser left, which is how most streams end.
func (o *Office) pump(w http.ResponseWriter, stream *http.ResponseController, r *http.Request, changes <-chan restoration.Change) {
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for {
		var text string
		select {
		case <-r.Context().Done():
			return
		case <-o.live.done:
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
	out := liveChange{Seq: c.Seq, Car: c.CarID, Kind: string(c.Kind)}
	if !c.PieceID.IsZero() {
		out.Piece = c.PieceID.String()
	}
	data, err := json.Marshal(out)
	if err != nil { // numbers and text always go
		panic(err)
	}
	return fmt.Sprintf("event: changed\ndata: %s\n\n", data)
}

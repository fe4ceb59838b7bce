package ui

import (
	"context"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/a-h/templ"
	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
)

// intake stands in for the shop's end of /bench/events.
type intake struct {
	mu     sync.Mutex
	down   bool   // answers 503
	refuse string // reason with which every event is refused; "" applies it
	events []map[string]any
}

func (in *intake) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	in.mu.Lock()
	defer in.mu.Unlock()
	if in.down {
		w.WriteHeader(http.StatusServiceUnavailable)
		return
	}
	var batch []map[string]any
	if err := json.NewDecoder(r.Body).Decode(&batch); err != nil {
		w.WriteHeader(http.StatusBadRequest)
		return
	}
	outcomes := []map[string]any{}
	for _, e := range batch {
		in.events = append(in.events, e)
		o := map[string]any{"id": e["id"], "outcome": "applied"}
		if in.refuse != "" {
			o["outcome"], o["reason"] = "refused", in.refuse
		}
		outcomes = append(outcomes, o)
	}
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(outcomes)
}

func (in *intake) set(change func()) {
	in.mu.Lock()
	defer in.mu.Unlock()
	change()
}

func (in *intake) got() []map[string]any {
	in.mu.Lock()
	defer in.mu.Unlock()
	return append([]map[string]any(nil), in.events...)
}

const tickForm = `<form id="tick" data-event="tick" data-next="/next" method="post" action="/plain">
	<input type="hidden" name="step" value="s-1">
	<input name="hours" value="1,75"><textarea name="note"> two
lines </textarea>
	<input type="checkbox" name="checks" value="tack" checked><input type="checkbox" name="checks" value="mask" checked>
	<div data-refusal hidden></div><button class="button button-main">Save</button></form>
<form id="back" data-event="send_back" data-next="/next" method="post" action="/plain">
	<input type="hidden" name="piece" value="p-1"><button id="hold" class="button button-danger" data-hold>Send back</button></form>`

func newTablet(t *testing.T) (*desk, *intake) {
	t.Helper()
	in := &intake{}
	page := func(person string) http.HandlerFunc {
		return func(w http.ResponseWriter, r *http.Request) {
			body := templ.ComponentFunc(func(_ context.Context, w io.Writer) error {
				_, err := io.WriteString(w, tickForm)
				return err
			})
			w.Header().Set("Content-Security-Policy", strictPolicy)
			w.Header().Set("Content-Type", "text/html; charset=utf-8")
			_ = BenchPage(PageProps{Title: "Bench", Person: person, PersonID: person}).Render(templ.WithChildren(r.Context(), body), w)
		}
	}
	d := newDesk(t, func(mux *http.ServeMux) {
		mux.Handle("POST /bench/events", in)
		mux.Handle("/bench", page("ada"))
		mux.Handle("/next", page("ada"))
		mux.Handle("/other", page("ben"))
	})
	d.Go("/bench")
	return d, in
}

const saved = `document.querySelector("[data-saved]").textContent`

func TestATickIsSentOnceUnderAnIdOfItsOwn(t *testing.T) {
	t.Parallel()
	d, in := newTablet(t)
	d.Run(`(() => { const b = document.querySelector("#tick .button"); b.click(); b.click(); })()`)
	d.Sees("/next", `location.pathname`)
	d.Sees("all saved", saved)
	events := in.got()
	require.Len(t, events, 1)
	e := events[0]
	id, err := uuid.Parse(e["id"].(string))
	require.NoError(t, err)
	require.EqualValues(t, 7, id.Version())
	require.Equal(t, uuid.RFC4122, id.Variant())
	require.Equal(t, "tick", e["kind"])
	require.Equal(t, "s-1", e["step"])
	require.InDelta(t, 1.75, e["hours"], 0)
	require.Equal(t, "two\nlines", strings.ReplaceAll(e["note"].(string), "\r", ""))
	require.Equal(t, []any{"tack", "mask"}, e["checks"])
	require.NotContains(t, e, "piece")
}

func TestARefusalIsShownAndMayBeTriedAgain(t *testing.T) {
	t.Parallel()
	d, in := newTablet(t)
	in.set(func() { in.refuse = "The clear is still soft." })
	d.Run(`document.querySelector("#tick .button").click()`)
	d.Sees("The clear is still soft.", `document.querySelector("#tick [data-refusal]").textContent`)
	d.Sees("all sent", saved)
	in.set(func() { in.refuse = "" })
	d.Run(`document.querySelector("#tick .button").click()`)
	d.Sees("/next", `location.pathname`)
	events := in.got()
	require.Len(t, events, 2)
	require.NotEqual(t, events[0]["id"], events[1]["id"], "the second press is another event")
}

// With the server away an entry is kept on the tablet, survives the page, is not
// sent under another person's name, and arrives once when the server is back.
func TestAnEntryIsKeptUntilItIsSent(t *testing.T) {
	t.Parallel()
	d, in := newTablet(t)
	in.set(func() { in.down = true })
	d.Run(`document.querySelector("#tick .button").click()`)
	d.Sees("1 waiting to be sent", saved)
	d.Run(`document.querySelector("#tick .button").click()`)
	d.Go("/bench")
	d.Sees("1 waiting to be sent", saved)
	d.Go("/other") // before the page of who made it can try again
	in.set(func() { in.down = false })
	d.Await(`self.scumble?.outbox`)
	d.Run(`scumble.outbox.wake()`)
	d.Sees("1 waiting to be sent", saved)
	require.Empty(t, in.got())
	d.Go("/bench")
	require.Eventually(t, func() bool { return len(in.got()) == 1 }, browsertest.Patience, 20*time.Millisecond)
	d.Sees("all saved", saved)
	require.Len(t, in.got(), 1)
}

func TestWhatCannotBeUndoneHasToBeHeld(t *testing.T) {
	t.Parallel()
	d, in := newTablet(t)
	d.Run(`document.querySelector("#hold").scrollIntoView({block: "center"})`)
	at := d.Box("#hold").Middle()
	lift := d.MouseDown(at)
	d.Sees("true", `String(document.querySelector("#hold").classList.contains("holding"))`)
	lift(at)
	d.Sees("false", `String(document.querySelector("#hold").classList.contains("holding"))`)
	d.Sees("/bench", `location.pathname`)
	require.Empty(t, in.got())

	lift = d.MouseDown(at)
	d.Sees("/next", `location.pathname`)
	lift(at)
	require.Len(t, in.got(), 1)
	require.Equal(t, "p-1", in.got()[0]["piece"])
}

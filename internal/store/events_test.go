package store_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

func TestTickIsKeptWithItsProjection(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	p := h.onePiece(t, "26-014")
	e := h.tick(p.Steps[0], 45)
	require.Equal(t, []restoration.Outcome{{Result: restoration.Applied}}, h.enter(t, e))

	after := h.piece(t, p.ID)
	require.Equal(t, restoration.StepDone, after.Steps[0].State)
	require.Equal(t, restoration.Minutes(45), after.Steps[0].Logged)
	require.Equal(t, h.owner.Name, after.Steps[0].DoneName)
	require.Equal(t, after.Steps[1].ID, after.Sum.NextStep)
	car, err := h.FindCarByID(t.Context(), p.CarID)
	require.NoError(t, err)
	require.Equal(t, restoration.CarInWork, car.State, "the first work puts a car in survey in work")

	entry := h.history(t, restoration.HistoryFilter{PieceID: p.ID})[0]
	require.Equal(t, e.ID, entry.Event.ID)
	require.Equal(t, []string{"Ash tray", "Stripped", "Olga Reuter", "26-014"}, []string{entry.Piece, entry.Stage, entry.Person, entry.CarWO})
	require.Equal(t, e.Checks, entry.Event.Checks)
	require.Equal(t, h.clock.Now(), entry.Event.Arrived)
	h.requireSound(t)
}

func TestSameIDTwiceChangesNothing(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	p := h.onePiece(t, "26-014")
	tablet := h.tablet(t, "Paint room").ID
	e, tooSoon := h.tick(p.Steps[0], 45), h.tick(p.Steps[2], 0)
	e.DeviceID, tooSoon.DeviceID = tablet, tablet
	first := h.enter(t, e, tooSoon)
	was := h.piece(t, p.ID)

	h.clock.advance(time.Hour)
	e.PersonID = h.technician(t, "Tom Achterberg").ID // somebody else holds the tablet by now
	require.Equal(t, first, h.enter(t, e, tooSoon))
	require.Equal(t, was, h.piece(t, p.ID))
	require.Len(t, h.history(t, restoration.HistoryFilter{PieceID: p.ID}), 3)

	for name, change := range map[string]func(*restoration.Event){
		"hours": func(e *restoration.Event) { e.Hours = new(restoration.Minutes(60)) },
		"kind":  func(e *restoration.Event) { e.Kind = restoration.KindStart },
		"step":  func(e *restoration.Event) { e.StepID = p.Steps[1].ID },
		"hour":  func(e *restoration.Event) { e.At = e.At.Add(time.Minute) },
	} {
		other := e
		change(&other)
		out := h.enter(t, other)[0]
		require.Equal(t, restoration.Refused, out.Result, name)
		require.Contains(t, out.Reason, "already used for another entry", name)
	}
	require.Equal(t, was, h.piece(t, p.ID))
	require.Len(t, h.history(t, restoration.HistoryFilter{PieceID: p.ID}), 3, "a reused id has no place in the ledger")
}

// Only entries that were taken and hold a note are asked for, as old as they may be.
func TestNotesOfAPiece(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	p := h.onePiece(t, "26-014")
	note := func(says string) restoration.Event {
		e := h.entry(restoration.KindNote, restoration.ID{})
		e.PieceID, e.Note = p.ID, says
		return e
	}
	ticked := h.tick(p.Steps[0], 45)
	ticked.Note = "the lip is thin"
	refused := h.tick(p.Steps[0], 0)
	refused.At, refused.Note = h.clock.Now().AddDate(0, 0, 1), "from tomorrow"
	h.enter(t, note("first"), ticked, h.tick(p.Steps[1], 15), refused)
	notes := h.history(t, restoration.HistoryFilter{PieceID: p.ID, Noted: true})
	require.Len(t, notes, 2)
	require.Equal(t, "the lip is thin", notes[0].Event.Note)
	older := h.history(t, restoration.HistoryFilter{PieceID: p.ID, Noted: true, Before: notes[0].Seq, Limit: 1})
	require.Len(t, older, 1)
	require.Equal(t, "first", older[0].Event.Note)
}

func TestTwoTickTheSameStepAtOnce(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	for range 10 {
		p := h.onePiece(t, "")
		results := make([]restoration.Result, 4)
		var g errgroup.Group
		for i := range results {
			e := h.tick(p.Steps[0], 15)
			g.Go(func() error {
				out, err := h.Enter(t.Context(), []restoration.Event{e})
				if err == nil {
					results[i] = out[0].Result
				}
				return err
			})
		}
		require.NoError(t, g.Wait())
		require.ElementsMatch(t, []restoration.Result{restoration.Applied, restoration.Already, restoration.Already, restoration.Already}, results)
		require.Equal(t, restoration.Minutes(60), h.piece(t, p.ID).Steps[0].Logged, "everybody's hours are kept")
	}
	h.requireSound(t)
}

func TestSameIDTwiceAtOnce(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	for range 10 {
		// Unknown things are locked by nobody, so that only the ledger's own key stands guard.
		for _, e := range []restoration.Event{h.tick(h.onePiece(t, "").Steps[0], 15), h.entry(restoration.KindTick, newID())} {
			outcomes := make([]restoration.Outcome, 4)
			var g errgroup.Group
			for i := range outcomes {
				g.Go(func() error {
					out, err := h.Enter(t.Context(), []restoration.Event{e})
					if err == nil {
						outcomes[i] = out[0]
					}
					return err
				})
			}
			require.NoError(t, g.Wait())
			for _, o := range outcomes {
				require.Equal(t, outcomes[0], o)
			}
		}
	}
	require.Len(t, h.history(t, restoration.HistoryFilter{RefusedOpen: true}), 10)
	h.requireSound(t)
}

func TestRefusedEntriesAreKeptUntilSettled(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	p, other := h.onePiece(t, "26-014"), h.onePiece(t, "26-015")
	removed := h.onePiece(t, "26-016")
	h.mustEnter(t, restoration.Event{ID: newID(), Kind: restoration.KindRemove, PieceID: removed.ID, At: h.clock.Now()})
	h.mustEnter(t, h.tick(p.Steps[0], 0), h.tick(p.Steps[1], 0))

	note := strings.Repeat("wet ", 1<<18)
	with := func(e restoration.Event, change func(*restoration.Event)) restoration.Event {
		change(&e)
		return e
	}
	cases := []struct {
		name   string
		event  restoration.Event
		reason string
		piece  restoration.ID
	}{
		{"out of order", h.tick(p.Steps[4], 0), "comes first", p.ID},
		{"in a wait", h.tick(p.Steps[2], 0), "Not yet", p.ID},
		{"another piece's step", with(h.tick(other.Steps[0], 0), func(e *restoration.Event) { e.PieceID = p.ID }), "no such step", p.ID},
		{"a step that never was", h.entry(restoration.KindTick, newID()), "There is no such step", restoration.ID{}},
		{"a piece that never was", with(h.entry(restoration.KindNote, restoration.ID{}), func(e *restoration.Event) { e.PieceID = newID() }), "There is no such piece", restoration.ID{}},
		{"a car that never was", with(h.entry(restoration.KindCarStart, restoration.ID{}), func(e *restoration.Event) { e.CarID = 4711 }), "There is no such car", restoration.ID{}},
		{"a removed piece", h.tick(removed.Steps[0], 0), "taken off", removed.ID},
		{"from the future", with(h.tick(p.Steps[2], 0), func(e *restoration.Event) { e.At = e.At.Add(time.Hour) }), "in the future", p.ID},
		{"of last year", with(h.tick(p.Steps[2], 0), func(e *restoration.Event) { e.At = e.At.AddDate(-1, 0, 0) }), "after 90 days", p.ID},
		{"a note of 1 MB", with(h.entry(restoration.KindNote, restoration.ID{}), func(e *restoration.Event) { e.PieceID, e.Note = p.ID, note }), "longer than", p.ID},
		{"a thousand million hours", h.tick(p.Steps[2], 60e9), "up to 24 h", p.ID},
	}
	for _, c := range cases {
		out := h.enter(t, c.event)[0]
		require.Equal(t, restoration.Refused, out.Result, c.name)
		require.Contains(t, out.Reason, c.reason, c.name)
		kept := h.history(t, restoration.HistoryFilter{RefusedOpen: true, Limit: 1})[0]
		require.Equal(t, c.event.ID, kept.Event.ID, c.name)
		require.Equal(t, c.piece, kept.Event.PieceID, c.name)
		require.Equal(t, out, kept.Outcome, c.name)
	}
	open := h.history(t, restoration.HistoryFilter{RefusedOpen: true})
	require.Len(t, open, len(cases))

	settle := restoration.Event{ID: newID(), Kind: restoration.KindSettle, PersonID: h.owner.ID, At: h.clock.Now()}
	settle.Ref = open[len(open)-1].Event.ID
	h.mustEnter(t, settle)
	require.Len(t, h.history(t, restoration.HistoryFilter{RefusedOpen: true}), len(cases)-1)
	settle.ID = newID()
	require.Equal(t, restoration.Already, h.enter(t, settle)[0].Result)
	settle.ID, settle.Ref = newID(), p.ID
	require.Equal(t, restoration.Refused, h.enter(t, settle)[0].Result)
	h.requireSound(t)
}

// Whoever ticks a step has ticked it; the hours of one person are not those of another.
func TestARefusedEntryWentThroughWhenItsLikeIsTaken(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	tom := h.technician(t, "Tom")
	p := h.onePiece(t, "26-014")
	of := func(e restoration.Event, person restoration.Person) restoration.Event {
		e.PersonID = person.ID
		return e
	}
	hours := func(m restoration.Minutes) restoration.Event {
		e := h.entry(restoration.KindLogTime, p.Steps[0].ID)
		e.PieceID, e.Hours = p.ID, &m
		return e
	}
	tick, logged := h.tick(p.Steps[1], 0), hours(60e9)
	for _, e := range []restoration.Event{tick, logged} {
		require.Equal(t, restoration.Refused, h.enter(t, e)[0].Result)
	}
	through := func() map[restoration.ID]bool {
		found := map[restoration.ID]bool{}
		for _, e := range h.history(t, restoration.HistoryFilter{RefusedOpen: true}) {
			found[e.Event.ID] = e.Through
		}
		return found
	}
	want := map[restoration.ID]bool{tick.ID: false, logged.ID: false}
	require.Equal(t, want, through())
	h.mustEnter(t, of(hours(30), tom), h.tick(p.Steps[0], 0))
	require.Equal(t, want, through(), "another person's hours, another step's tick")
	h.mustEnter(t, of(h.tick(p.Steps[1], 0), tom))
	want[tick.ID] = true
	require.Equal(t, want, through())
	h.mustEnter(t, hours(45))
	want[logged.ID] = true
	require.Equal(t, want, through())
}

func TestNULAndMarkupAreKeptHarmless(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	p := h.onePiece(t, "26-014")
	e := h.entry(restoration.KindNote, restoration.ID{})
	e.PieceID, e.Note = p.ID, "<script>alert('x')</script>\x00'; DROP TABLE cars; --"
	h.mustEnter(t, e)
	require.Equal(t, h.enter(t, e)[0].Result, restoration.Applied, "the same entry again")
	kept := h.history(t, restoration.HistoryFilter{PieceID: p.ID})
	require.Equal(t, "<script>alert('x')</script>'; DROP TABLE cars; --", kept[0].Event.Note)
}

func TestCarEvents(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	p := h.onePiece(t, "26-014")
	car := func(k restoration.Kind, reason string) restoration.Event {
		return restoration.Event{ID: newID(), Kind: k, CarID: p.CarID, At: h.clock.Now(), Payload: restoration.Payload{Reason: reason}}
	}
	h.mustEnter(t, car(restoration.KindCarHold, "waits for the customer"))
	out := h.enter(t, h.tick(p.Steps[0], 0))[0]
	require.Contains(t, out.Reason, "The car is on hold")
	roll, err := h.CarRoll(t.Context(), p.CarID)
	require.NoError(t, err)
	require.Equal(t, roll.Left, roll.Held)
	h.mustEnter(t, car(restoration.KindCarRelease, ""))
	require.Contains(t, h.enter(t, car(restoration.KindCarDeliver, ""))[0].Reason, "1 piece is not finished")
	h.finish(t, p.ID)
	h.mustEnter(t, car(restoration.KindCarDeliver, ""))
	_, err = h.AddPieces(t.Context(), h.by, p.CarID, []restoration.NewPiece{{Details: p.Details}})
	requireTrouble(t, err, restoration.TroubleConflict, "", "Take it in again")
	work, err := h.WorkKeys(t.Context())
	require.NoError(t, err)
	require.Empty(t, work)
	h.requireSound(t)
}

// What the rules allow and the database forbids must not stop a tablet's queue.
func TestAnEntryThatTheDatabaseForbidsIsKeptRefused(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	h := house{Store: storetest.Open(t, url, store.Options{}), clock: &handClock{now: time.Now()}}
	p := h.onePiece(t, "26-014")
	super := storetest.Superuser(t, url)
	_, err := super.Exec(t.Context(), `SET session_replication_role = replica`)
	require.NoError(t, err)
	_, err = super.Exec(t.Context(), `UPDATE finish_steps SET state = 'done', done_at = now(), left_min = 0 WHERE id = $1`, p.Steps[3].ID)
	require.NoError(t, err)
	start := h.entry(restoration.KindStart, p.Steps[0].ID)
	out := h.enter(t, start)[0]
	require.Equal(t, restoration.Refused, out.Result)
	require.Contains(t, out.Reason, "contradicts")
	require.Equal(t, []restoration.Outcome{out}, h.enter(t, start))
	require.Len(t, h.history(t, restoration.HistoryFilter{RefusedOpen: true}), 1)
}

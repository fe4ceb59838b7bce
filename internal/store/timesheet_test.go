package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// clocked begins an entry about the first step of a piece by somebody.
func (h house) clocked(k restoration.Kind, p restoration.Piece, person int64) restoration.Event {
	e := h.entry(k, p.Steps[0].ID)
	e.PersonID = person
	return e
}

func (h house) timers(t testing.TB, person int64) []restoration.Timer {
	t.Helper()
	timers, err := h.Timers(t.Context(), person)
	require.NoError(t, err)
	return timers
}

func TestTimersAreOfThePersonOverAllCars(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	one, other := h.onePiece(t, "26-014"), h.onePiece(t, "26-015")
	tom := h.technician(t, "Tom").ID
	require.Empty(t, h.timers(t, tom))
	h.mustEnter(t, h.clocked(restoration.KindStart, one, tom))
	h.clock.advance(42 * time.Minute)
	h.mustEnter(t, h.clocked(restoration.KindStart, other, tom))
	h.clock.advance(8 * time.Minute)
	timers := h.timers(t, tom)
	require.Len(t, timers, 2)
	require.Equal(t, []restoration.Minutes{8, 42}, []restoration.Minutes{timers[0].Worked(h.clock.Now()), timers[1].Worked(h.clock.Now())})
	require.Equal(t, []string{"Ash tray", "Stripped"}, []string{timers[1].Piece, timers[1].Stage})
	require.True(t, timers[1].Running.IsZero(), "the first was stopped")
	require.Empty(t, h.timers(t, h.owner.ID))

	hold := h.entry(restoration.KindHold, restoration.ID{})
	hold.PieceID, hold.Reason = other.ID, "a part is missing"
	h.mustEnter(t, hold)
	h.clock.advance(time.Hour)
	require.Equal(t, restoration.Minutes(8), h.timers(t, tom)[0].Worked(h.clock.Now()), "a hold stops the clock")
	h.requireSound(t)
}

func TestAnOldTimerThatRunsIsFound(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	p := h.onePiece(t, "26-014")
	h.mustEnter(t, h.clocked(restoration.KindStart, p, h.owner.ID))
	h.clock.advance(60 * 24 * time.Hour)
	require.Len(t, h.timers(t, h.owner.ID), 1)
	e := h.clocked(restoration.KindPause, p, h.owner.ID)
	e.Hours = new(restoration.Minutes(90))
	h.mustEnter(t, e)
	require.Equal(t, h.enter(t, e), h.enter(t, e), "the same id twice")
	require.Empty(t, h.timers(t, h.owner.ID))
	require.Equal(t, restoration.Minutes(90), h.piece(t, p.ID).Steps[0].Logged)
	h.requireSound(t)
}

func TestTimeSheetFollowsWhatWasEntered(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	p, begin := h.onePiece(t, "26-014"), h.clock.Now()
	tom := h.technician(t, "Tom").ID
	h.mustEnter(t, h.clocked(restoration.KindStart, p, tom))
	h.clock.advance(50 * time.Minute)
	tick := h.tick(p.Steps[0], 45)
	tick.PersonID = tom
	h.mustEnter(t, tick)
	h.clock.advance(24 * time.Hour)
	late := h.clocked(restoration.KindLogTime, p, h.owner.ID)
	late.Hours = new(restoration.Minutes(30))
	h.mustEnter(t, late)

	rows, err := h.TimeSheet(ctx, begin, begin.Add(12*time.Hour), 0)
	require.NoError(t, err)
	require.Len(t, rows, 1, "the day alone")
	require.Equal(t, []any{"Tom", "Ash tray", "Stripped", "26-014", "1936 Brennick Eight"}, []any{rows[0].Person, rows[0].Piece, rows[0].Stage, rows[0].CarWO, rows[0].Car})
	require.Equal(t, []any{restoration.Minutes(45), restoration.SourceTimer, begin, begin.Add(50 * time.Minute)}, []any{rows[0].Hours, rows[0].Source, rows[0].From, rows[0].To})
	rows, err = h.TimeSheet(ctx, begin, h.clock.Now().Add(time.Second), h.owner.ID)
	require.NoError(t, err)
	require.Len(t, rows, 1, "one person alone")
	require.Equal(t, restoration.SourceTyped, rows[0].Source)
}

// A clock that ran on is answered the next day, and its hours are of the day before.
func TestTimeSheetCountsForTheDayOfTheWork(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	p, begin := h.onePiece(t, "26-014"), h.clock.Now()
	h.mustEnter(t, h.clocked(restoration.KindStart, p, h.owner.ID))
	h.clock.advance(22 * time.Hour)
	e := h.clocked(restoration.KindPause, p, h.owner.ID)
	e.Hours = new(restoration.Minutes(45))
	h.mustEnter(t, e)
	for name, c := range map[string]struct {
		from time.Time
		want int
	}{"the day of the work": {begin, 1}, "the day of the answer": {begin.Add(12 * time.Hour), 0}} {
		rows, err := h.TimeSheet(ctx, c.from, c.from.Add(12*time.Hour), 0)
		require.NoError(t, err)
		require.Len(t, rows, c.want, name)
		for _, r := range rows {
			require.Equal(t, []time.Time{begin, begin, begin.Add(45 * time.Minute)}, []time.Time{r.WorkedAt, r.From, r.To})
		}
	}
}

func TestBothTickedUntilSomebodyCorrects(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	p, begin := h.onePiece(t, "26-014"), h.clock.Now()
	tom := h.technician(t, "Tom").ID
	first, second := h.tick(p.Steps[0], 60), h.tick(p.Steps[0], 45)
	second.PersonID = tom
	h.mustEnter(t, first)
	require.Equal(t, restoration.Already, h.enter(t, second)[0].Result)
	look := func(since time.Time) []restoration.BothTick {
		both, err := h.BothTicked(ctx, since)
		require.NoError(t, err)
		return both
	}
	both := look(begin)
	require.Len(t, both, 1)
	require.Equal(t, []restoration.ID{first.ID, second.ID}, []restoration.ID{both[0].First.Event.ID, both[0].Second.Event.ID})
	require.Equal(t, []string{h.owner.Name, "Tom"}, []string{both[0].First.Person, both[0].Second.Person})
	require.Empty(t, look(h.clock.Now().Add(time.Second)))
	require.NoError(t, h.CorrectTime(ctx, h.by, restoration.TimeCorrection{ID: newID(), Ref: second.ID, Was: 45, Hours: 0, Reason: "the same hour"}))
	require.Empty(t, look(begin))
	h.requireSound(t)
}

func TestCorrectingHours(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	p, begin := h.onePiece(t, "26-014"), h.clock.Now()
	tick := h.tick(p.Steps[0], 120)
	h.mustEnter(t, tick)
	c := restoration.TimeCorrection{ID: newID(), Ref: tick.ID, Was: 120, Hours: 90, Reason: "half an hour was lunch"}
	require.NoError(t, h.CorrectTime(ctx, h.by, c))
	require.NoError(t, h.CorrectTime(ctx, h.by, c), "the same correction twice is one")
	require.Equal(t, restoration.Minutes(90), h.piece(t, p.ID).Steps[0].Logged)
	roll, err := h.CarRoll(ctx, p.CarID)
	require.NoError(t, err)
	require.Equal(t, restoration.Minutes(90), roll.Logged, "the roll-up follows")
	rows, err := h.TimeSheet(ctx, begin, h.clock.Now().Add(time.Second), 0)
	require.NoError(t, err)
	require.Equal(t, []restoration.Correction{{At: h.clock.Now(), By: h.owner.Name, Reason: c.Reason, Was: 120, Is: 90}}, rows[0].Corrections)
	require.Equal(t, "Corrected the hours of stripped from 2 h to 1.5 h; reason: half an hour was lunch",
		restoration.Words(h.history(t, restoration.HistoryFilter{PieceID: p.ID})[0], restoration.Metric), "who, when and why stand in the ledger, and what it was")

	stale := restoration.TimeCorrection{ID: newID(), Ref: tick.ID, Was: 120, Hours: 60, Reason: "again"}
	requireTrouble(t, h.CorrectTime(ctx, h.by, stale), restoration.TroubleConflict, "hours", "counts for 1.5 h by now")
	stale.Was, stale.Reason = 90, " "
	requireTrouble(t, h.CorrectTime(ctx, h.by, stale), restoration.TroubleConflict, "", "Say why")
	for _, ref := range []restoration.ID{newID(), p.ID, c.ID} {
		requireTrouble(t, h.CorrectTime(ctx, h.by, restoration.TimeCorrection{ID: newID(), Ref: ref, Reason: "why"}), restoration.TroubleNotFound, "", "no such entry")
	}
	forged := h.entry(restoration.KindCorrect, p.Steps[0].ID)
	forged.Ref, forged.Was, forged.Hours, forged.Reason = tick.ID, new(restoration.Minutes(90)), new(restoration.Minutes(0)), "by a tablet"
	require.Equal(t, restoration.Refused, h.enter(t, forged)[0].Result, "what it was is the shop's to say")
	require.Equal(t, restoration.Minutes(90), h.piece(t, p.ID).Steps[0].Logged)
	h.requireSound(t)
}

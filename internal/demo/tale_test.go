package demo_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/demo"
	"scumble/internal/restoration"
)

func stockRoute() restoration.Route {
	r := restoration.StockRoute()
	r.ID = 1
	return r
}

// tell tells the tale as of now and replays it into fresh books, holding every answer
// against what the tale meant.
func tell(t require.TestingT, now time.Time) (demo.Tale, []*restoration.Book) {
	tale := demo.Tell(now, demo.Settings(now, restoration.Metric), stockRoute())
	routes := map[int64]restoration.Route{1: stockRoute()}
	var books []*restoration.Book
	for _, c := range tale.Cars {
		b := restoration.NewBook(c.Car, routes)
		for i, e := range c.Opened {
			b.Expect(restoration.Piece{ID: e.PieceID, CarID: e.CarID, RouteID: 1, Details: c.Pieces[i].Details})
			require.Equal(t, restoration.Applied, b.Enter(e).Result)
		}
		books = append(books, b)
	}
	for _, a := range tale.Acts {
		if a.Kind != demo.ActEnter {
			continue
		}
		want := restoration.Applied
		if a.Refuse {
			want = restoration.Refused
		}
		out := books[a.Car].Enter(a.Event)
		if a.Event.Kind == restoration.KindStart && out.Result == restoration.Already {
			continue // the clock goes on
		}
		require.Equal(t, want, out.Result, "%s of %v by %d: %s", a.Event.Kind, a.Event.At, a.Event.PersonID, out.Reason)
	}
	return tale, books
}

// nows are moments at which the demo may be started: awkward ones, and some drawn
// from three years.
func nows() []time.Time {
	list := []time.Time{
		time.Date(2026, 3, 29, 1, 30, 0, 0, time.UTC),   // the night of summer time, a Sunday
		time.Date(2026, 10, 25, 0, 30, 0, 0, time.UTC),  // the night that ends it
		time.Date(2027, 1, 1, 0, 0, 1, 0, time.UTC),     // between holidays
		time.Date(2026, 7, 6, 5, 35, 0, 0, time.UTC),    // Monday, just open
		time.Date(2026, 7, 3, 13, 5, 0, 0, time.UTC),    // Friday, just shut
		time.Date(2026, 5, 13, 10, 20, 0, 0, time.UTC),  // Wednesday, in the break
		time.Date(2028, 2, 29, 12, 0, 0, 999, time.UTC), // a day that most years lack
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 9 {
		list = append(list, time.Date(2026, 1, 1, 0, rnd.IntN(3*365*24*60), 0, 0, time.UTC))
	}
	return list
}

func TestTellIsTakenByTheRules(t *testing.T) {
	t.Parallel()
	for _, now := range nows() {
		t.Run(now.Format(time.RFC3339), func(t *testing.T) {
			t.Parallel()
			tale, books := tell(t, now)
			requireOrder(t, tale, now)
			requireStory(t, tale, books, now)
			requireFilm(t, tale, books, now)
		})
	}
}

// requireOrder: acts stand in the order of time, in the shop's hours, and none lies
// ahead of now or outside the months that the tale is about.
func requireOrder(t require.TestingT, tale demo.Tale, now time.Time) {
	require.True(t, slices.IsSortedFunc(tale.Acts, func(a, b demo.Act) int { return a.At.Compare(b.At) }))
	settings := demo.Settings(now, restoration.Metric)
	seen := map[restoration.ID]bool{}
	for _, a := range tale.Acts {
		require.False(t, a.At.After(now), "%v is ahead of %v", a.At, now)
		require.Less(t, now.Sub(a.At), 190*24*time.Hour)
		if now.Sub(a.At) > 40*time.Minute { // what runs for the visitor runs at any hour
			require.True(t, settings.Calendar.Open(a.At.In(settings.Location())), "the shop is shut on %v", a.At)
		}
		if a.Kind == demo.ActEnter {
			require.Equal(t, a.At, a.Event.At)
			require.False(t, seen[a.Event.ID], "an id stands for one entry")
			seen[a.Event.ID] = true
		}
	}
	require.False(t, tale.Begins.After(tale.Acts[0].At))
}

// requireStory: whenever the demo is started, the visitor finds each thing that it is
// there to show.
func requireStory(t require.TestingT, tale demo.Tale, books []*restoration.Book, now time.Time) {
	pieces, delivered, late, onHold, waiting, sentBack, window, findings := 0, 0, 0, 0, 0, 0, 0, 0
	hands := map[int64]bool{}
	var longestHold time.Duration
	for _, b := range books {
		list := b.Pieces()
		pieces += len(list)
		roll := restoration.SumUp(b.Car.State, list, nil, now)
		findings += len(restoration.SetCheck(list, map[int64]restoration.Route{1: stockRoute()}))
		switch {
		case b.Car.State == restoration.CarDelivered:
			delivered++
			require.Zero(t, roll.Left)
		case b.Car.State == restoration.CarOnHold:
			onHold++
		case lateness(b.Car, roll.Left, now) == restoration.Late:
			late++
		}
		for _, p := range list {
			if p.Holding != nil {
				longestHold = max(longestHold, now.Sub(p.Holding.Since))
			}
			if !p.Sum.NextStep.IsZero() && p.Footing(b.Car.State, now) == restoration.FootWaiting {
				waiting++
			}
			if p.Sum.SentBack {
				sentBack++
			}
			if b.Car.State == restoration.CarInWork && !p.Sum.LateFrom.IsZero() && p.Sum.LateFrom.Before(now.Add(24*time.Hour)) {
				window++
			}
			for _, s := range p.Steps {
				if s.State == restoration.StepInHand && s.Current() {
					hands[s.HandBy] = true
				}
			}
		}
	}
	require.Len(t, books, 5)
	require.GreaterOrEqual(t, pieces, 150)
	require.Equal(t, 1, delivered)
	require.Equal(t, 1, late)
	require.Equal(t, 1, onHold)
	require.Positive(t, waiting, "something waits for cure")
	require.Positive(t, sentBack, "something was sent back")
	require.Positive(t, window, "a recoat window shuts soon or has shut")
	require.Equal(t, 1, findings, "the set check has one thing to say")
	require.Equal(t, map[int64]bool{2: true, 3: true, 4: true}, hands, "each technician has something in hand")
	require.Greater(t, longestHold, 21*24*time.Hour, "something has been held for weeks")
	requireEntries(t, tale)
	requireClocks(t, tale, now)
	requirePlaces(t, tale, books, now)
}

// requirePlaces: one place is full, one is out of the house, and a piece lies there that
// nobody entered anything of for weeks; what is fixed never left its car; two places are
// known to hold a kind well.
func requirePlaces(t require.TestingT, tale demo.Tale, books []*restoration.Book, now time.Time) {
	lying, seen := map[string]int{}, map[restoration.ID]time.Time{}
	for _, a := range tale.Acts {
		seen[a.Event.PieceID] = a.At
	}
	unseen := 0
	for _, b := range books {
		for _, p := range b.Pieces() {
			if b.Car.State != restoration.CarDelivered {
				lying[p.LiesAt]++
			}
			if p.Mounting == restoration.MountFixed {
				require.Contains(t, []string{"In the car", ""}, p.LiesAt, p.Title())
			}
			if p.LiesAt == "Quellborn Plating" && now.Sub(seen[p.ID]) > restoration.UnseenDays*24*time.Hour {
				unseen++
			}
		}
	}
	require.Equal(t, 1, unseen)
	require.Len(t, tale.Places, 8)
	full := 0
	for _, p := range tale.Places {
		require.Empty(t, p.Check(), p.Name)
		if p.Full(lying[p.Name]) {
			full++
		}
		delete(lying, p.Name)
	}
	require.Equal(t, 1, full)
	delete(lying, "") // what did not come with its car
	require.Empty(t, lying, "pieces lie at places")
	require.Len(t, tale.Fits, 2)
	for _, f := range tale.Fits {
		cars := 0
		for _, c := range tale.Cars {
			if c.Car.Body == f.Body && slices.ContainsFunc(c.Pieces, func(p restoration.NewPiece) bool { return p.Name == f.Piece }) {
				cars++
			}
		}
		require.GreaterOrEqual(t, cars, 2, "another car reuses it: %+v", f)
	}
}

// requireClocks: the visitor's clock runs and was not forgotten, the clock of a colleague
// was; the days before were timed, and one entry was corrected.
func requireClocks(t require.TestingT, tale demo.Tale, now time.Time) {
	var entries []restoration.Entry
	for i, a := range tale.Acts {
		if a.Kind == demo.ActEnter && !a.Refuse {
			entries = append(entries, restoration.Entry{Seq: int64(i), Event: a.Event, Outcome: restoration.Outcome{Result: restoration.Applied}})
		}
	}
	settings := demo.Settings(now, restoration.Metric)
	timers := restoration.Timers(entries, 2)
	require.NotEmpty(t, timers)
	require.False(t, timers[0].Running.IsZero())
	_, forgot := settings.FindForgotten(timers, now)
	require.False(t, forgot, "the visitor is asked for nothing: %+v", timers)
	_, forgot = settings.FindForgotten(restoration.Timers(entries, 3), now)
	require.True(t, forgot, "%+v", restoration.Timers(entries, 3))
	timed, corrected := 0, 0
	for _, row := range restoration.Sheet(entries) {
		if row.Source == restoration.SourceTimer {
			timed++
		}
		corrected += len(row.Corrections)
	}
	require.Greater(t, timed, 15)
	require.Equal(t, 1, corrected)
}

// requireEntries: the ledger holds the rarer kinds of entry.
func requireEntries(t require.TestingT, tale demo.Tale) {
	refused, settled, reasons, cutThrough, sittings := 0, 0, 0, 0, 0
	for _, a := range tale.Acts {
		switch e := a.Event; {
		case a.Refuse:
			refused++
		case e.Kind == restoration.KindSettle:
			settled++
		case e.Kind == restoration.KindTick && e.Reason != "":
			reasons++
		case e.Kind == restoration.KindSendBack && e.Defect == "cut-through":
			cutThrough++
		case (e.Kind == restoration.KindLogTime || e.Kind == restoration.KindPause) && e.Hours != nil:
			sittings++
		}
	}
	require.Equal(t, 2, refused)
	require.Equal(t, 1, settled, "one refused entry still needs a look")
	require.Equal(t, 2, reasons, "one tick against a wait and one short of a coat, each with its reason")
	require.Equal(t, 1, cutThrough)
	require.Greater(t, sittings, 40)
}

func TestTellIsTheSameTwice(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)
	a := demo.Tell(now, demo.Settings(now, restoration.Metric), stockRoute())
	b := demo.Tell(now, demo.Settings(now, restoration.Metric), stockRoute())
	require.Equal(t, a, b)
}

func TestHoursAreNearThePlan(t *testing.T) {
	t.Parallel()
	_, books := tell(t, time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC))
	for _, b := range books {
		var planned, logged restoration.Minutes
		for _, p := range b.Pieces() {
			for _, s := range p.Steps {
				if s.State == restoration.StepDone {
					planned += s.Planned.Likely
					logged += s.Logged
				}
			}
		}
		require.InEpsilon(t, planned.Hours(), logged.Hours(), 0.25, b.Car.Name)
		require.NotEqual(t, planned, logged, b.Car.Name)
	}
}

func TestSettingsAndCastAreAllowed(t *testing.T) {
	t.Parallel()
	require.Empty(t, demo.Settings(time.Now(), restoration.Metric).Check())
	names := map[string]bool{}
	for _, p := range demo.Cast() {
		require.Nil(t, restoration.CheckName("name", "A person", p.Name))
		names[p.Name] = true
	}
	require.Len(t, names, 4)
}

// lateness judges one car of the demo as if the shop's three had no other.
func lateness(c restoration.Car, left restoration.Minutes, now time.Time) restoration.Lateness {
	one := []restoration.CarRoll{{Car: c, Roll: restoration.Roll{Left: left}}}
	return restoration.Outlook(one, 3, demo.Settings(now, restoration.Metric).Calendar, now, time.UTC)[c.ID]
}

package office

import (
	"math"
	"net/url"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// A piece that was cut through is grained again: rework is a part of what is left, and
// nothing stands twice.
func TestStripCountsReworkOnce(t *testing.T) {
	t.Parallel()
	w := opened(t, "dash", restoration.Details{})
	w.ticks(7, noon.AddDate(0, 0, -10))
	cost := restoration.Minutes(6 * 60)
	w.does(restoration.Event{Kind: restoration.KindSendBack, Payload: restoration.Payload{Defect: "cut-through", Stage: "grained", Hours: &cost}})
	roll := rollOf(restoration.CarInWork, w.Piece)
	strip := hoursStrip(testView().Car, roll, 0, false)
	require.InDelta(t, 8.9, strip.Done, 1e-9) // all but fitted, which takes 0.6 h
	require.InDelta(t, 6, strip.Rework(), 1e-9)
	require.InDelta(t, 6.6, strip.Left(), 1e-9)
	require.InDelta(t, roll.Left.Hours(), strip.Left(), 1e-9)
	lines, sum := stageLines(roll, "/x")
	for _, s := range strip.Segments {
		i := slices.IndexFunc(lines, func(l stageLine) bool { return l.Name == s.Label })
		require.InDelta(t, lines[i].Left.Hours(), s.Hours, 1e-9, "the legend and the table of stages agree on %s", s.Label)
	}
	require.InDelta(t, sum.Left.Hours(), strip.Left(), 1e-9)
}

// Whatever the roll-up holds, the bar adds up to it.
func TestStripAddsUp(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var roll restoration.Roll
		for range rapid.IntRange(0, 9).Draw(t, "stages") {
			left := rapid.IntRange(0, 10_000).Draw(t, "left")
			s := restoration.StageRoll{Left: restoration.Minutes(left), ReworkLeft: restoration.Minutes(rapid.IntRange(0, left).Draw(t, "rework"))}
			roll.Stages = append(roll.Stages, s)
			roll.Left += s.Left
			roll.ReworkLeft += s.ReworkLeft
		}
		strip := hoursStrip(restoration.Car{}, roll, 0, true)
		if got := strip.Left(); math.Abs(got-roll.Left.Hours()) > 1e-6 {
			t.Fatalf("the bar shows %v h, %v h are left", got, roll.Left.Hours())
		}
		if got := strip.Rework(); math.Abs(got-roll.ReworkLeft.Hours()) > 1e-6 {
			t.Fatalf("the bar shows %v h of rework, %v h are left", got, roll.ReworkLeft.Hours())
		}
	})
}

func TestFiguresOpenIntoTheirPieces(t *testing.T) {
	t.Parallel()
	roll := restoration.Roll{Pieces: 41, Finished: 3, Planned: 212 * 60, Earned: 95 * 60, Left: 7110, Workable: 62 * 60, Waiting: 52 * 60, Held: 270,
		NextFrom: time.Date(2026, 3, 27, 16, 40, 0, 0, time.UTC), ReworkPlanned: 360, ReworkLogged: 120, ReworkLeft: 240}
	require.Equal(t, []figure{
		{Value: "118.5 h", Word: "left", Href: "/x?sort=-left#pieces", Note: "of 212 h planned"},
		{Value: "62 h", Word: "on pieces that can be worked now", Href: "/x?now=workable#pieces", Note: "12.5 h of it on steps that are free right now"},
		{Value: "52 h", Word: "on pieces that wait for paint", Href: "/x?now=waiting#pieces", Note: "first again 16:40"},
		{Value: "4.5 h", Word: "on held pieces", Href: "/x?now=held#pieces"},
		{Value: "44 %", Word: "done", Href: "/x?now=finished#pieces", Note: "3 pieces of 41 finished"},
		{Value: "4 h", Word: "of what is left is rework", Href: "/x?now=rework#pieces", Note: "2 h of rework logged"},
	}, carFigures(roll, 750, "/x", noon, time.UTC))
}

func TestActsFollowTheState(t *testing.T) {
	t.Parallel()
	for state, want := range map[restoration.CarState][]restoration.Kind{
		restoration.CarSurvey:    {restoration.KindCarStart, restoration.KindCarHold, restoration.KindCarDeliver},
		restoration.CarInWork:    {restoration.KindCarHold, restoration.KindCarDeliver},
		restoration.CarOnHold:    {restoration.KindCarRelease, restoration.KindCarDeliver},
		restoration.CarDelivered: {restoration.KindCarReopen},
	} {
		var kinds []restoration.Kind
		for _, a := range carActs(restoration.Car{State: state}, restoration.Roll{Pieces: 2, Finished: 2}) {
			kinds = append(kinds, a.Kind)
			require.Equal(t, a.Kind == restoration.KindCarHold, a.Need, "all pieces are finished: only a hold needs its reason")
		}
		require.Equal(t, want, kinds, state)
	}
	deliver := carActs(restoration.Car{State: restoration.CarInWork}, restoration.Roll{Pieces: 3, Finished: 1})[1]
	require.True(t, deliver.Need)
	require.Equal(t, "2 pieces are not finished.", deliver.Hint)
}

func TestPlanShowsWaitsAndTrouble(t *testing.T) {
	t.Parallel()
	waits := opened(t, "cap", restoration.Details{Zone: restoration.ZoneLeft, Side: restoration.SideLeft, Place: "pillar", Order: 4})
	waits.ticks(2, noon.Add(-2*time.Hour))
	held := opened(t, "rail", restoration.Details{})
	held.does(restoration.Event{Kind: restoration.KindHold, Payload: restoration.Payload{Reason: "lost"}})
	pieces := []restoration.Piece{waits.Piece, held.Piece}
	plan := interiorPlan(testView().Car, testView().rows(pieces), pieces, ui.Scheme{})
	require.Equal(t, ui.PlanPiece{ID: waits.ID.String(), Name: "cap", Href: piecePath(waits.ID), Zone: restoration.ZoneLeft, Side: "left", Place: "pillar",
		Order: 4, AreaM2: 0.1, Look: restoration.LookPrimed, Stage: "Primed", Waiting: "Sat 02:00"}, plan.Pieces[0])
	require.Equal(t, "held", plan.Pieces[1].Trouble)
	require.Equal(t, restoration.LookBare, plan.Pieces[1].Look)
}

func TestCarPageOfACarWithoutPieces(t *testing.T) {
	t.Parallel()
	p := newCarPage(carData{Car: testView().Car, Settings: restoration.StockSettings(), Now: noon, Address: &url.URL{Path: "/office/cars/26-014"}}, ui.PageProps{}, nil)
	require.Equal(t, "1936 Brennick Eight", p.Page.Title)
	require.Empty(t, p.Obstacles)
	require.Empty(t, p.Table.Rows)
	require.NotEmpty(t, p.Plan.Empty)
	require.Empty(t, p.Figures)
	require.True(t, p.NoList)
}

// A promise that has passed says nothing of a car nobody has listed yet.
func TestNothingIsLateWithoutATrimList(t *testing.T) {
	t.Parallel()
	c := testView().Car
	c.PromisedOn = time.Date(2026, 3, 20, 0, 0, 0, 0, time.UTC)
	require.True(t, promiseAxis(c, restoration.Roll{}, noon, time.UTC).Done)
	require.False(t, promiseAxis(c, restoration.Roll{Pieces: 1}, noon, time.UTC).Done)
	d := emptyShop()
	d.Roll.Cars = []restoration.CarRoll{{Car: c}}
	require.Empty(t, lookGroups(d, d.dates(), true))
	line := newShopPage(d, ui.PageProps{}, &url.URL{Path: "/office"}).Cars[0]
	require.Equal(t, "26-014 · no trim list yet", line.Under)
	require.Equal(t, ui.None, line.Percent)
	require.Empty(t, line.Lateness)
}

// All cars share the hands: what is promised earlier counts against a later date.
func TestLatenessInWords(t *testing.T) {
	t.Parallel()
	cal := restoration.StockSettings().Calendar // 45 h a week, Monday to Friday, 8 to 17
	for name, tc := range map[string]struct {
		promised time.Time
		left     restoration.Minutes
		want     string
	}{
		"nothing promised": {time.Time{}, 6000, ""},
		"three days late":  {time.Date(2026, 3, 24, 0, 0, 0, 0, time.UTC), 60, "3 days late"},
		"a day late":       {time.Date(2026, 3, 26, 0, 0, 0, 0, time.UTC), 60, "1 day late"},
		// Friday noon to Monday's end: 5 + 9 h for each of two people.
		"tight": {time.Date(2026, 3, 30, 0, 0, 0, 0, time.UTC), 26 * 60,
			"tight: 29 h are left of all cars promised by Mon 30 Mar 2026, 28 h of hands until then"},
		"enough":       {time.Date(2026, 3, 30, 0, 0, 0, 0, time.UTC), 25 * 60, ""},
		"nothing left": {time.Date(2026, 3, 24, 0, 0, 0, 0, time.UTC), 0, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := restoration.Car{ID: 1, State: restoration.CarInWork, PromisedOn: tc.promised}
			earlier := restoration.Car{ID: 2, State: restoration.CarInWork, PromisedOn: time.Date(2026, 3, 28, 0, 0, 0, 0, time.UTC)}
			cars := []restoration.CarRoll{{Car: c, Roll: restoration.Roll{Left: tc.left}}, {Car: earlier, Roll: restoration.Roll{Left: 180}}}
			require.Equal(t, tc.want, newDates(cars, 2, cal, noon, time.UTC).words(c))
		})
	}
}

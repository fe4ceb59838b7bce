package restoration

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var allPieceKinds = append(BenchKinds(), KindReplan, KindRemove, KindRestore, KindCarHold, KindCarRelease, KindCarDeliver, KindCarReopen)

// drawEvent makes an entry that is often allowed and often not.
func drawEvent(t *rapid.T, s *shop, now time.Time, kinds []Kind) Event {
	kind := rapid.SampledFrom(kinds).Draw(t, "kind")
	n := rapid.IntRange(1, 3).Draw(t, "piece")
	stages := s.route.Stages
	stage := rapid.SampledFrom(stages).Draw(t, "stage").Key
	p := s.piece(n)
	if next := p.Sum.NextStage; next != "" && rapid.IntRange(0, 3).Draw(t, "in turn") > 0 && kind != KindSendBack {
		stage = next
	}
	payload := Payload{Checks: append(s.checks(stage), CheckScuffed), Place: "rack 2"}
	if rapid.Bool().Draw(t, "with reason") {
		payload.Reason = "because"
	}
	if rapid.Bool().Draw(t, "with hours") {
		payload.Hours = mins(rapid.Float64Range(0, 30).Draw(t, "hours"))
	}
	if rapid.Bool().Draw(t, "with still to go") {
		payload.StillToGo = mins(rapid.Float64Range(0, 30).Draw(t, "still to go"))
	}
	if kind == KindSendBack || rapid.IntRange(0, 9).Draw(t, "name a defect") == 0 {
		payload.Defect = rapid.SampledFrom(Defects()).Draw(t, "defect").Key
	}
	if kind == KindReplan {
		d := p.Details
		d.Grade = rapid.IntRange(0, 6).Draw(t, "grade")
		d.Faults = rapid.SampledFrom([][]Fault{nil, {{"hole", 1}}}).Draw(t, "faults")
		payload.RouteID, payload.Plan = 1, Planned(d, QualityShow, s.route, StockSettings().Factors)
	}
	late := time.Duration(rapid.IntRange(0, 3).Draw(t, "late")) * time.Hour
	drawFilm(t, s, kind, n, &payload)
	e := s.event(kind, n, stage, now.Add(-late), payload)
	e.Arrived = now
	if kind.AboutCar() {
		e.PieceID = ID{}
	}
	return s.judged(e)
}

// drawFilm fills in what an entry of the film says, mostly what can be.
func drawFilm(t *rapid.T, s *shop, kind Kind, n int, p *Payload) {
	switch kind {
	case KindCoat:
		p.Coat = &Coat{Number: rapid.IntRange(0, 5).Draw(t, "coat"), Material: rapid.SampledFrom([]int64{0, theClear, theGround}).Draw(t, "material"),
			Lots:  rapid.SampledFrom([][]LotUse{nil, {{Lot: clearTin}}, {{Lot: groundTin}, {Lot: otherTin}}}).Draw(t, "tins"),
			WetUM: rapid.SampledFrom([]*float64{nil, number(50), number(900), number(-1)}).Draw(t, "wet"), ML: 20}
		p.Coat.Air = &AirWords{SurfaceC: number(rapid.Float64Range(5, 80).Draw(t, "surface"))}
	case KindCutPass:
		p.Cut = &CutPass{Grade: rapid.SampledFrom([]string{"P800", "P1500", "polish", "grey pad", ""}).Draw(t, "grade")}
	case KindReading:
		um := rapid.SliceOfN(rapid.Float64Range(0, 3000), 0, 4).Draw(t, "readings")
		p.Reading = &Reading{Kind: ReadFilm, Spot: "A", FilmUM: um, Baseline: rapid.Bool().Draw(t, "baseline")}
	case KindStrike:
		if deeds := s.film[testID('p', n)]; len(deeds) > 0 {
			p.Ref = rapid.SampledFrom(deeds).Draw(t, "struck").EventID
		}
	}
	if rapid.Bool().Draw(t, "sure") {
		p.Checks = append(p.Checks, CheckSure)
	}
}

func drawShop(t *rapid.T) *shop {
	size := rapid.SampledFrom([]Size{SizeSmall, SizeMedium, SizeLarge})
	var pieces []Details
	for i := range 3 {
		pieces = append(pieces, Details{Name: fmt.Sprint("piece ", i+1), Size: size.Draw(t, "size"), Set: "front",
			Grade: rapid.IntRange(0, 6).Draw(t, "grade"), Faults: rapid.SampledFrom([][]Fault{nil, {{"dent", 2}}, {{FaultMissing, 1}}}).Draw(t, "faults")})
	}
	return newFilmShop(pieces...)
}

// run enters up to n drawn events, and calls look around each.
func run(t *rapid.T, s *shop, n int, look func(before Roll, e Event, out Outcome, now time.Time)) {
	now := monday
	for range rapid.IntRange(1, n).Draw(t, "events") {
		now = now.Add(time.Duration(rapid.IntRange(0, 40).Draw(t, "pause")) * time.Hour)
		e := drawEvent(t, s, now, allPieceKinds)
		before := s.roll(now)
		out := s.Enter(e)
		if look != nil {
			look(before, e, out, now)
		}
	}
}

func TestLawReplayEqualsProjection(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawShop(t)
		opened := len(s.log)
		run(t, s, 40, nil)
		requireReplay(t, s, opened)
	})
}

// requireReplay builds the same car from nothing, from the events as they are stored.
func requireReplay(t require.TestingT, s *shop, opened int) {
	again := newShop(s.piece(1).Details, s.piece(2).Details, s.piece(3).Details)
	require.Len(t, again.log, opened)
	for _, e := range s.log[opened:] {
		stored, err := json.Marshal(e.Payload)
		require.NoError(t, err)
		e.Payload = Payload{}
		require.NoError(t, json.Unmarshal(stored, &e.Payload))
		require.Equal(t, s.seen[e.ID], again.Enter(e), "outcome of %s", e.Kind)
	}
	require.Equal(t, s.Car, again.Car)
	require.Equal(t, s.Pieces(), again.Pieces())
	require.Equal(t, s.film, again.film, "and the film")
}

// Pieces that have come as far as a stage of the finish, and mostly entries about it.
func TestLawFilmReplaysAndHolds(t *testing.T) {
	t.Parallel()
	kinds := []Kind{KindCoat, KindCoat, KindCoat, KindCutPass, KindCutPass, KindReading, KindStrike, KindTick, KindUntick, KindSendBack}
	rapid.Check(t, func(t *rapid.T) {
		s := drawShop(t)
		opened := len(s.log)
		now := monday.AddDate(0, 0, 20)
		for n := 1; n <= 3; n++ {
			s.do(KindRelease, n, "", monday, Payload{})
			s.reach(t, n, rapid.SampledFrom([]string{"primed", "grounded", "cleared", "cut"}).Draw(t, "reached"))
		}
		for range rapid.IntRange(1, 40).Draw(t, "events") {
			now = now.Add(time.Duration(rapid.IntRange(0, 40).Draw(t, "pause")) * time.Hour)
			e := drawEvent(t, s, now, kinds)
			s.Enter(e)
			for _, p := range s.Pieces() {
				requireOrder(t, p, e)
				requireFilm(t, s, p)
			}
		}
		requireReplay(t, s, opened)
	})
}

func TestLawSameEventTwiceChangesNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawShop(t)
		run(t, s, 25, func(_ Roll, e Event, out Outcome, now time.Time) {
			pieces, car, film := s.Pieces(), s.Car, maps.Clone(s.film)
			require.Equal(t, out, s.Enter(e))
			require.Equal(t, pieces, s.Pieces())
			require.Equal(t, car, s.Car)
			require.Equal(t, film, s.film)
		})
	})
}

func TestLawHoursAddUp(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawShop(t)
		run(t, s, 40, func(before Roll, e Event, out Outcome, now time.Time) {
			r := s.roll(now)
			byPiece, byStage := Minutes(0), Minutes(0)
			for _, p := range s.Pieces() {
				if p.Removed.IsZero() {
					byPiece += p.Sum.Left
				}
			}
			for _, st := range r.Stages {
				byStage += st.Left
			}
			require.Equal(t, r.Left, byPiece, "car = sum over pieces")
			require.Equal(t, r.Left, byStage, "car = sum over stages")
			require.Equal(t, r.Left, r.Workable+r.Waiting+r.Held, "splits without remainder")
			require.LessOrEqual(t, r.Earned, r.Planned)
			if e.Kind != KindUntick { // which may take back what a tick had logged
				require.GreaterOrEqual(t, r.Logged, before.Logged, "logged hours never fall")
			}
			if e.Kind == KindTick {
				require.LessOrEqual(t, r.Left, before.Left, "a tick never raises the hours left")
			}
			if e.Kind == KindSendBack {
				require.Equal(t, before.Logged, r.Logged, "a send-back leaves logged hours")
				require.Equal(t, before.Earned, r.Earned, "and what was earned")
			}
			if out.Result == Refused {
				require.Equal(t, before, r, "a refusal changes nothing")
			}
		})
	})
}

func TestLawStepsStayInOrder(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawShop(t)
		run(t, s, 40, func(_ Roll, e Event, _ Outcome, _ time.Time) {
			for _, p := range s.Pieces() {
				requireOrder(t, p, e)
				requireFilm(t, s, p)
			}
		})
	})
}

// requireOrder holds a piece against what the database's constraints demand.
func requireOrder(t require.TestingT, p Piece, e Event) {
	open := false
	perPosition, ids := map[int]int{}, map[ID]bool{}
	for _, st := range p.Steps {
		require.False(t, ids[st.ID], "step ids are unique")
		ids[st.ID] = true
		require.True(t, st.Planned.Valid() && st.Left >= 0 && st.Logged >= 0)
		if !st.Current() {
			continue
		}
		perPosition[st.Position]++
		require.Equal(t, 1, perPosition[st.Position], "one current pass of a stage")
		begun := st.State == StepInHand || st.State == StepDone
		require.False(t, open && begun, "%s began before an earlier step was settled, after %s", st.Stage, e.Kind)
		open = open || !st.Settled()
	}
	require.True(t, slices.IsSortedFunc(p.Steps, func(a, b Step) int {
		if a.Position != b.Position {
			return a.Position - b.Position
		}
		return a.Pass - b.Pass
	}))
}

// requireFilm holds the film against what the database's constraints demand, and what
// is left of it against what was put on.
func requireFilm(t require.TestingT, s *shop, p Piece) {
	for _, d := range s.film[p.ID] {
		require.True(t, d.Film.Valid(), "%+v", d.Film)
		require.True(t, d.Kind == KindReading || d.Layer.Known(), "a coat and a pass have their layer")
		require.True(t, d.Kind == KindReading || !d.StepID.IsZero())
	}
	for _, st := range p.Steps {
		require.Equal(t, st.CoatWaits == nil, st.CoatedAt.IsZero())
	}
	f := FilmOf(p, s.route, s.film[p.ID], s.scene.Policy())
	require.True(t, f.Clear.Valid() && f.Edge.Valid())
	for _, l := range f.Layers {
		require.LessOrEqual(t, l.Left.High, l.On.High+1e-9, "no more is left of %s than was put on", l.Layer)
	}
}

func TestLawFinishedCarIsDoneAndEarned(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawShop(t)
		run(t, s, 30, nil)
		// Whatever happened, ticking on with reasons brings the car to an end.
		now := monday.AddDate(0, 6, 0)
		s.do(KindCarReopen, 0, "", now, Payload{})
		s.do(KindCarRelease, 0, "", now, Payload{})
		for n := 1; n <= 3; n++ {
			s.do(KindRestore, n, "", now, Payload{})
			s.do(KindRelease, n, "", now, Payload{})
			for s.piece(n).Sum.NextStage != "" {
				stage := s.piece(n).Sum.NextStage
				out := s.do(KindTick, n, stage, now, Payload{Checks: append(s.checks(stage), CheckScuffed, CheckSure), Reason: "end"})
				require.Equal(t, Applied, out.Result, out.Reason)
			}
		}
		r := s.roll(now)
		require.Equal(t, Minutes(0), r.Left)
		require.Equal(t, r.Planned, r.Earned)
		require.Equal(t, 3, r.Finished)
		require.Equal(t, Applied, s.do(KindCarDeliver, 0, "", now, Payload{}).Result)
	})
}

package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Three pieces in fair condition, twelve entries, added up by hand in minutes.
//
//	planned      strip prime block ground grain clear  cut  fit   sum
//	A medium        60    42   120     30    72    90  120   36   570   (9.5 h)
//	B small         30    24    48     18    36    48   60   24   288   (4.8 h)
//	C large        150    72   300     48   180   180  300   90  1320   (22 h)
//	                                                             2178
func TestThreePiecesTwelveEntries(t *testing.T) {
	t.Parallel()
	s := newShop(
		Details{Name: "glove-box door", Size: SizeMedium, Grade: 3},
		Details{Name: "ash tray", Size: SizeSmall, Grade: 3},
		Details{Name: "instrument panel", Size: SizeLarge, Grade: 3},
	)
	require.Equal(t, Minutes(2178), s.roll(monday).Planned)
	require.Equal(t, Minutes(2178), s.roll(monday).Left)
	enterOneToEight(t, s)

	// At 09:10 A waits for its blocking to dry until 20:00; B and C can be worked.
	mid := s.roll(at(1, 9, 10))
	require.Equal(t, Minutes(348), mid.Waiting)
	require.Equal(t, Minutes(258+1260), mid.Workable)
	require.Equal(t, Minutes(0), mid.Held)
	require.Equal(t, at(1, 20, 0), mid.NextFrom)
	// Of it only the priming of B, 24, and what C has left of its stripping, 90.
	require.Equal(t, Minutes(24+90), FreeNow(s.Car.State, s.Pieces(), at(1, 9, 10)))
	require.Zero(t, FreeNow(CarOnHold, s.Pieces(), at(1, 9, 10)), "nothing is free on a held car")

	enterNineToTwelve(t, s)

	// Logged 75 + 45 + 150 + 30 on A, 30 on B, 120 on C. Earned 60 + 42 + 120 + 30
	// on A (what was done once stays earned), 30 on B: 282 of 2178 is 12.9 %.
	end := s.roll(at(2, 9, 30))
	require.Equal(t, Minutes(300+30+120), end.Logged)
	require.Equal(t, Minutes(2178), end.Planned)
	require.Equal(t, Minutes(282), end.Earned)
	require.InDelta(t, 12.9, end.PercentDone(), 1e-9)
	require.Equal(t, Minutes(558+258+1260), end.Left)
	require.Equal(t, Minutes(558+1260), end.Workable)
	require.Equal(t, Minutes(258), end.Held)
	require.Equal(t, Minutes(0), end.Waiting)
	require.Equal(t, Minutes(192+90), FreeNow(s.Car.State, s.Pieces(), at(2, 9, 30)), "B is held")
	require.Equal(t, Minutes(240), end.ReworkLeft)
	require.Equal(t, Minutes(240), end.ReworkPlanned)
	require.Equal(t, 3, end.Pieces)
}

// at is a time of day, so many days after the Monday.
func at(day, hour, minute int) time.Time {
	return monday.AddDate(0, 0, day).Add(time.Duration(hour-9)*time.Hour + time.Duration(minute)*time.Minute)
}

func enterOneToEight(t *testing.T, s *shop) {
	t.Helper()
	// 1. A is stripped in 1.25 h: A has 570 − 60 = 510 left.
	require.Equal(t, Applied, s.tick(1, "stripped", at(0, 9, 0), 1.25).Result)
	require.Equal(t, Minutes(510), s.piece(1).Sum.Left)
	// 2. A quarter of an hour on B: 30 − 15 = 15 of the step, 273 of the piece.
	require.Equal(t, Applied, s.do(KindLogTime, 2, "stripped", at(0, 10, 0), Payload{Hours: mins(.25)}).Result)
	require.Equal(t, Minutes(273), s.piece(2).Sum.Left)
	require.Equal(t, StepInHand, s.step(2, "stripped").State)
	// 3. Another quarter ends it: 30 logged, 258 left.
	require.Equal(t, Applied, s.tick(2, "stripped", at(0, 10, 30), .25).Result)
	require.Equal(t, Minutes(30), s.step(2, "stripped").Logged)
	require.Equal(t, Minutes(258), s.piece(2).Sum.Left)
	// 4. A is primed in 0.75 h: 510 − 42 = 468 left.
	require.Equal(t, Applied, s.tick(1, "primed", at(0, 11, 0), .75).Result)
	require.Equal(t, Minutes(468), s.piece(1).Sum.Left)
	// 5. Blocking an hour later is refused: 16 h to sand, so from Tuesday 03:00.
	out := s.tick(1, "blocked", at(0, 12, 0), 1)
	require.Equal(t, Refused, out.Result)
	require.Equal(t, at(1, 3, 0), out.AllowedFrom)
	require.Equal(t, "Not yet: blocked may begin in 15 h. It still hardens after primed.", out.Reason)
	require.Equal(t, Minutes(468), s.piece(1).Sum.Left)
	// 6. Tuesday 08:00 it is allowed: 2.5 h, 468 − 120 = 348 left.
	require.Equal(t, Applied, s.tick(1, "blocked", at(1, 8, 0), 2.5).Result)
	require.Equal(t, Minutes(348), s.piece(1).Sum.Left)
	// 7. Two hours on C: 150 − 120 = 30 of the step, 1200 of the piece.
	require.Equal(t, Applied, s.do(KindLogTime, 3, "stripped", at(1, 9, 0), Payload{Hours: mins(2)}).Result)
	require.Equal(t, Minutes(1200), s.piece(3).Sum.Left)
	// 8. The technician says 1.5 h are still to go: 90 + 1170 = 1260.
	require.Equal(t, Applied, s.do(KindStillToGo, 3, "stripped", at(1, 9, 5), Payload{StillToGo: mins(1.5)}).Result)
	require.Equal(t, Minutes(1260), s.piece(3).Sum.Left)
}

func enterNineToTwelve(t *testing.T, s *shop) {
	t.Helper()
	// 9. B is held.
	require.Equal(t, Applied, s.do(KindHold, 2, "", at(1, 10, 0), Payload{Reason: "waits for a clip"}).Result)
	// 10. A is grounded at 20:00, twelve hours after blocking: 348 − 30 = 318.
	require.Equal(t, Applied, s.tick(1, "grounded", at(1, 20, 0), .5).Result)
	require.Equal(t, Minutes(318), s.piece(1).Sum.Left)
	// 11. Scratches swell up: A goes back to blocked. 4 h = 240 are lost, shared
	// 120 : 30 between blocked (192) and grounded (48). Left 240 + 72 + 90 + 120 + 36 = 558.
	require.Equal(t, Applied, s.do(KindSendBack, 1, "blocked", at(2, 9, 0), Payload{Defect: "scratch-swelling"}).Result)
	require.Equal(t, Minutes(192), s.step(1, "blocked").Planned.Likely)
	require.Equal(t, Minutes(48), s.step(1, "grounded").Planned.Likely)
	require.Equal(t, Minutes(558), s.piece(1).Sum.Left)
	// 12. Priming B is refused while it is held.
	out := s.tick(2, "primed", at(2, 9, 30), .5)
	require.Equal(t, Refused, out.Result)
	require.Equal(t, "The piece is on hold: waits for a clip. Release it first.", out.Reason)
}

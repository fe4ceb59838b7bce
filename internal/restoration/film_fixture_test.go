package restoration

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

// The shop's materials and tins in these tests. Half of the clear is solids, so that
// 60–64–72 µm wet leave 30–32–36 µm.
const (
	theClear  = int64(1)
	theGround = int64(2)
	clearTin  = int64(11)
	groundTin = int64(21)
	otherTin  = int64(22)
)

// newFilmShop is a shop with a scheme agreed for its car.
func newFilmShop(pieces ...Details) *shop {
	s := newShop(pieces...)
	s.scene = FilmScene{Film: StockFilm(), Scheme: StockScheme(1, ""), Agreed: true}
	half := []coating.PartSheet{{Name: "paint", Share: 1, VolumeSolids: .5}}
	s.materials = map[int64]Material{
		theClear: {ID: theClear, Material: coating.Material{Name: "Clear A", Kind: coating.Clear2K, Layer: coating.Clear, Parts: half,
			WetUM: coating.Range{Low: 60, Likely: 64, High: 72},
			Waits: []coating.WaitAt{{TempC: 20, Flash: 10, Recoat: 600, Sand: 1200, Polish: 2880, Fit: 10080, MaxRecoat: 1440}}}},
		theGround: {ID: theGround, Material: coating.Material{Name: "Ground B", Kind: coating.Ground2K, Layer: coating.Ground, Parts: half,
			WetUM: coating.Range{Low: 40, Likely: 50, High: 60},
			Waits: []coating.WaitAt{{TempC: 20, Flash: 10, Recoat: 720, MaxRecoat: 1440}}}},
	}
	s.lots = []Lot{
		{ID: clearTin, Material: theClear, Number: "C-1", AmountML: 1000, LeftML: 500, MaterialName: "Clear A"},
		{ID: groundTin, Material: theGround, Number: "G-1", AmountML: 1000, LeftML: 500, MaterialName: "Ground B"},
		{ID: otherTin, Material: theGround, Number: "G-2", AmountML: 1000, LeftML: 500, MaterialName: "Ground B"},
	}
	return s
}

// judged puts the facts into an entry, as the shop would when it comes.
func (s *shop) judged(e Event) Event {
	p, ok := s.Piece(e.PieceID)
	if !ok || s.materials == nil || !NeedsFacts(p, s.route, e) {
		return e
	}
	sc := s.scene
	sc.Deeds = s.film[p.ID]
	for id, deeds := range s.film {
		if id != p.ID {
			sc.Car = append(sc.Car, deeds...)
		}
	}
	sc.Car = slices.DeleteFunc(ByHour(sc.Car), func(d Deed) bool { return d.Layer != coating.Ground && d.Layer != coating.Grain })
	if e.Coat != nil {
		if m, ok := s.materials[e.Coat.Material]; ok {
			sc.Material = &m
		}
		for _, use := range e.Coat.Lots {
			sc.Lots = append(sc.Lots, s.lots[slices.IndexFunc(s.lots, func(l Lot) bool { return l.ID == use.Lot })])
		}
	}
	if i := slices.IndexFunc(sc.Deeds, func(d Deed) bool { return d.EventID == e.Ref }); i >= 0 {
		sc.Struck = &sc.Deeds[i]
	}
	e.Facts = Judge(p, s.route, e, sc)
	return e
}

// Enter is the book's, and keeps what is on the pieces beside it.
func (s *shop) Enter(e Event) Outcome {
	_, again := s.seen[e.ID]
	out := s.Book.Enter(e)
	if !again {
		s.log = append(s.log, e)
	}
	if again || out.Result != Applied {
		return out
	}
	p, _ := s.Piece(e.PieceID)
	if d, ok := DeedOf(p, e); ok {
		s.film[p.ID] = ByHour(append(slices.Clone(s.film[p.ID]), d))
	}
	if e.Kind == KindStrike {
		s.film[p.ID] = slices.DeleteFunc(slices.Clone(s.film[p.ID]), func(d Deed) bool { return d.EventID == e.Ref })
	}
	return out
}

// reach ticks a piece day by day until a stage is next, and gives the hour then.
func (s *shop) reach(t require.TestingT, n int, stage string) time.Time {
	now := monday
	for s.piece(n).Sum.NextStage != stage {
		stage := s.piece(n).Sum.NextStage
		out := s.do(KindTick, n, stage, now, Payload{Checks: append(s.checks(stage), CheckScuffed), Reason: "as planned"})
		require.Equal(t, Applied, out.Result, out.Reason)
		now = now.AddDate(0, 0, 1)
	}
	return now
}

// judge gives the facts of an entry without entering it.
func (s *shop) judge(k Kind, n int, stage string, at time.Time, p Payload) Facts {
	return *s.judged(s.event(k, n, stage, at, p)).Facts
}

func (s *shop) filmOf(n int) coating.Film {
	return FilmOf(s.piece(n), s.route, s.film[testID('p', n)], s.scene.Policy())
}

func clearCoat(number int) Payload {
	return Payload{Coat: &Coat{Number: number, Material: theClear, Lots: []LotUse{{Lot: clearTin}}, ML: 20}}
}

func groundCoat(tin int64) Payload {
	return Payload{Coat: &Coat{Number: 1, Material: theGround, Lots: []LotUse{{Lot: tin}}, ML: 20}}
}

func pass(grade string) Payload { return Payload{Cut: &CutPass{Grade: grade}} }

func number(x float64) *float64 { return &x }

// mustDo enters what must be applied.
func (s *shop) mustDo(t testing.TB, k Kind, n int, stage string, at time.Time, p Payload) {
	t.Helper()
	out := s.do(k, n, stage, at, p)
	require.Equal(t, Applied, out.Result, out.Reason)
}

// cleared brings a piece to the cut with four coats of clear in two sessions a day
// apart: 120–128–144 µm.
func (s *shop) cleared(t testing.TB, n int) time.Time {
	t.Helper()
	return s.clearFrom(t, n, s.reach(t, n, "cleared"))
}

// clearFrom is the last of cleared, from an hour.
func (s *shop) clearFrom(t testing.TB, n int, at time.Time) time.Time {
	t.Helper()
	for i := range 4 {
		coat := clearCoat(i + 1)
		coat.Checks = []string{CheckScuffed} // flatted between the sessions
		s.mustDo(t, KindCoat, n, "cleared", at.Add(time.Duration(i/2)*23*time.Hour+time.Duration(i%2)*20*time.Minute), coat)
	}
	at = at.Add(24 * time.Hour)
	require.Equal(t, Applied, s.tick(n, "cleared", at, 0).Result)
	return at.AddDate(0, 0, 3)
}

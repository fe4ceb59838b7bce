package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// next is what the batch of the piece's next coat says of it; false: it is in none.
func (s *shop) next(n int, now time.Time) (BatchPiece, bool) {
	p := s.piece(n)
	clear := s.materials[theClear]
	shop := SprayShop{Keys: []SprayKey{SprayKeyOf(p, s.route, &Car{ID: 1, State: CarInWork}, s.film[p.ID])}, Routes: map[int64]Route{s.route.ID: s.route},
		Materials: []Material{clear}, Film: s.scene.Film, TempC: 20}
	for _, b := range Batches(shop, now, 90*24*time.Hour) {
		return b.Pieces[0], true
	}
	return BatchPiece{}, false
}

// Clear that was sent back is flatted before more goes on: cut to P2000 or polished it is
// smooth, and a coat on it would not hold.
func TestKeptClearIsFlattedFirst(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		grades []string
		want   First
	}{
		"never sanded":           {nil, FirstFlat},
		"cut and polished":       {[]string{"P1500", "compound", "polish"}, FirstFlat},
		"cut to P1000":           {[]string{"P1000"}, FirstFlat},
		"flatted with P800":      {[]string{"P800"}, FirstNothing},
		"polished, then flatted": {[]string{"polish", "P800"}, FirstNothing},
		"flatted, then polished": {[]string{"P800", "polish"}, FirstFlat},
	} {
		s := newFilmShop(door())
		now := s.cleared(t, 1)
		for _, g := range c.grades {
			s.mustDo(t, KindCutPass, 1, "cut", now, pass(g))
			now = now.Add(time.Minute)
		}
		s.mustDo(t, KindSendBack, 1, "cleared", now, Payload{Defect: "run"})
		now = now.Add(time.Hour)
		next, ok := s.next(1, now)
		require.True(t, ok, name)
		require.Equal(t, c.want, next.First, name)
		coat := s.judge(KindCoat, 1, "cleared", now, clearCoat(1))
		if c.want == FirstNothing {
			require.Empty(t, coat.Needs, name)
			continue
		}
		require.Equal(t, []string{"The clear that the piece kept was not flatted, or is smooth from polishing: flat it first."}, coat.Needs, name)
		require.Equal(t, "clear is on and smooth: flat first", next.FirstWords(now, nil), name)
		s.lots[0].LeftML = 0
		require.Equal(t, append([]string{"Lot C-1 is empty by the book."}, coat.Needs...),
			s.judge(KindCoat, 1, "cleared", now, clearCoat(1)).Needs, "an empty tin flats nothing")
	}
}

// Whatever was sprayed and sanded: a coat that the batch offers at once asks for no
// reason, and one that it wants flatted first does.
func TestBatchAndCoatTellTheSame(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(r *rapid.T) {
		s := newFilmShop(door())
		now := s.reach(r, 1, "cleared")
		for i := range rapid.IntRange(1, 5).Draw(r, "deeds") {
			now = now.Add(time.Duration(rapid.SampledFrom([]int{15, 45, 300, 400, 1300, 1500, 3000}).Draw(r, "minutes")) * time.Minute)
			deed, payload := KindCoat, clearCoat(i+1)
			if rapid.Bool().Draw(r, "sand") {
				deed, payload = KindCutPass, pass(rapid.SampledFrom([]string{"P600", "P800", "P1500", "polish"}).Draw(r, "grade"))
			}
			payload.Reason = "as planned"
			s.do(deed, 1, "cleared", now, payload)
		}
		now = now.Add(time.Duration(rapid.IntRange(15, 4000).Draw(r, "then")) * time.Minute)
		next, ok := s.next(1, now)
		if !ok {
			return // all coats are on
		}
		needs := s.judge(KindCoat, 1, "cleared", now, clearCoat(1)).Needs
		offered := next.First == FirstNothing && !next.From.After(now)
		require.Equal(r, offered, len(needs) == 0, "%s from %v at %v: %v", next.First, next.From, now, needs)
	})
}

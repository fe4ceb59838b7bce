package restoration

import (
	"testing"
	"time"

	"scumble/internal/coating"
)

// fortyDeeds is a piece at its cut with as many coats, passes and readings.
func fortyDeeds(b *testing.B) *shop {
	s := newFilmShop(door())
	s.scene.Scheme.ClearCoats = 20
	now := s.reach(b, 1, "cleared")
	s.mustDo(b, KindReading, 1, "", now, gauge(true, 208, 211, 210))
	for i := range 20 {
		coat := clearCoat(i + 1)
		coat.Reason = "many thin coats"
		now = now.Add(4 * time.Hour)
		s.mustDo(b, KindCoat, 1, "cleared", now, coat)
		if i < 18 {
			s.mustDo(b, KindCutPass, 1, "cleared", now.Add(time.Hour), pass("P2000"))
		}
	}
	s.mustDo(b, KindReading, 1, "", now.Add(time.Hour), gauge(false, 400, 401, 402))
	return s
}

func BenchmarkFilmOfFortyDeeds(b *testing.B) {
	s := fortyDeeds(b)
	p, deeds, policy := s.piece(1), s.film[testID('p', 1)], s.scene.Policy()
	var film coating.Film
	for b.Loop() {
		film = FilmOf(p, s.route, deeds, policy)
	}
	if len(deeds) != 40 || !film.ByGauge {
		b.Fatalf("%d deeds, by gauge: %t", len(deeds), film.ByGauge)
	}
}

func BenchmarkJudgeACut(b *testing.B) {
	s := fortyDeeds(b)
	p := s.piece(1)
	e := s.event(KindCutPass, 1, "cleared", monday.AddDate(0, 1, 0), pass("P2000"))
	sc := s.scene
	sc.Deeds = s.film[p.ID]
	for b.Loop() {
		Judge(p, s.route, e, sc)
	}
}

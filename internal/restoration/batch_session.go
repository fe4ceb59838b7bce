package restoration

import (
	"cmp"
	"slices"
	"time"
)

// hair is what sums of films may be off by their binary fractions, in coats.
const hair = 1e-9

// lastSession is the dry clear of the session that ends with the last coat, in µm: of
// coats no more than [sessionGap] apart, in any order.
func lastSession(at []time.Time, dryUM []float64) float64 {
	order := make([]int, len(at))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return at[b].Compare(at[a]) })
	sum := 0.0
	for n, i := range order {
		if n > 0 && at[order[n-1]].Sub(at[i]) > sessionGap {
			break
		}
		sum += dryUM[i]
	}
	return sum
}

// CuredAt is when the last coat of the piece's step has cured to be sanded, by what the coat
// asks for, else by the wait of its stage.
func (k *SprayKey) CuredAt(stage Stage) time.Time {
	return k.CoatedAt.Add(cmp.Or(k.Sand, stage.After.Sand).Duration())
}

// fitSession cuts the coats of a piece to what its session of clear still holds. Where
// none fits, the piece cures as long as its last coat asks for, the stage's wait where
// that says nothing, and is flatted; one that was flatted waits for the next session only.
func (g *grouping) fitSession(p *BatchPiece, m *Material, stage Stage) {
	dry := g.dryUM[m.ID]
	if dry <= 0 {
		return
	}
	limit := cmp.Or(m.Limits.SessionMaxUM, g.shop.Film.SessionUM)
	room := func(on float64) int { return int((limit-on)/dry + hair) }
	next := p.CoatedAt.Add(sessionGap)
	cured := p.CuredAt(stage)
	flatted := !p.keyed.Before(cured) // soft clear that was sanded still has to cure
	switch fits := room(p.SessionUM); {
	case p.CoatedAt.IsZero(), fits > 0 && latest(g.now, p.From).After(next):
		p.Coats = min(p.Coats, max(1, room(0)))
	case fits > 0:
		p.Coats = min(p.Coats, fits)
	default:
		p.Coats, p.Full, p.Waits = min(p.Coats, max(1, room(0))), !flatted, flatted
		p.From = latest(p.From, next)
		if !flatted {
			p.From = latest(p.From, cured)
			p.First = FirstCure
			if !p.From.After(g.now) {
				p.First = FirstFlat
			}
		}
	}
}

package bench

import (
	"context"
	"slices"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// coatsInHand says of the pieces in hand that have a coat on what they wait for: see
// [coatWords]. What nobody sprays costs no look at the paint.
func (b *Bench) coatsInHand(ctx context.Context, in listInput, work []restoration.Work) (map[restoration.ID]string, error) {
	var sprayed []restoration.ID
	for _, w := range work {
		if w.HandBy != 0 && restoration.LayerOf(w.Stage.Look) != "" {
			sprayed = append(sprayed, w.Piece.ID)
		}
	}
	if len(sprayed) == 0 {
		return nil, nil
	}
	shop, err := b.shop.SprayKeys(ctx, sprayed...)
	if err != nil {
		return nil, err
	}
	shop.Keys = slices.DeleteFunc(shop.Keys, func(k restoration.SprayKey) bool {
		return k.CoatedAt.IsZero()
	})
	return coatWords(shop, in.Now, in.Loc), nil
}

// coatWords says of pieces with a coat on from when the next one may come, by the rule for
// batches, or what comes before it; of a clear that has all its coats, until when it hardens.
func coatWords(shop restoration.SprayShop, now time.Time, loc *time.Location) map[restoration.ID]string {
	clock := func(at time.Time) string { return ui.Clock(at, now, loc) }
	words := map[restoration.ID]string{}
	for _, k := range shop.Keys {
		stage, _ := shop.Routes[k.RouteID].Stage(k.Stage)
		if cured := k.CuredAt(stage); stage.Look == restoration.LookCleared && cured.After(now) {
			words[k.PieceID] = "hardens until " + clock(cured)
		}
	}
	for _, g := range restoration.Batches(shop, now, restoration.AnyWait) {
		for _, p := range g.Pieces {
			words[p.PieceID] = p.FirstWords(now, clock)
			if p.First == restoration.FirstNothing && p.From.After(now) {
				words[p.PieceID] = "next coat from " + clock(p.From)
			}
		}
	}
	return words
}

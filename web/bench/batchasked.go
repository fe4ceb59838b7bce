package bench

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// cause is a sentence of the rules, and the pieces that it is said of.
type cause struct {
	says, key string
	pieces    []restoration.ID
	titles    []string // several pieces may share one
}

// causes gathers sentences that are alike but for a time, in the order in which they came.
type causes []cause

func (c *causes) add(piece restoration.ID, title, says string) {
	key := restoration.Timeless(says)
	i := slices.IndexFunc(*c, func(have cause) bool { return have.key == key })
	if i < 0 {
		*c = append(*c, cause{says: says, key: key})
		i = len(*c) - 1
	}
	one := &(*c)[i]
	if slices.Contains(one.pieces, piece) {
		return
	}
	one.pieces = append(one.pieces, piece)
	if !slices.Contains(one.titles, title) {
		one.titles = append(one.titles, title)
	}
}

// sentences are the causes alone.
func (c causes) sentences() []string {
	list := make([]string, len(c))
	for i, one := range c {
		list[i] = one.says
	}
	return list
}

// mostNamed is how many pieces a sentence names; of more it counts the others.
const mostNamed = 6

// words say each cause once: "Ash tray: …", "3 pieces (Ash tray; …): …" or, of every piece
// that is asked about, "All 3 pieces: …".
func (c causes) words(asked int) []string {
	var list []string
	for _, one := range c {
		who := one.titles[0]
		switch n := len(one.pieces); {
		case n > 1 && n == asked:
			who = "All " + ui.Count(n, "piece", "pieces")
		case n > 1:
			who = ui.Count(n, "piece", "pieces") + " (" + strings.Join(one.titles[:min(len(one.titles), mostNamed)], "; ") // a title may hold a comma
			if more := len(one.titles) - mostNamed; more > 0 {
				who += " and " + strconv.Itoa(more) + " more"
			}
			who += ")"
		}
		list = append(list, who+": "+one.says)
	}
	return list
}

// asked is what the rules would say of a group, were it saved as it stands.
type asked struct{ scuff, needs, asks, warnings, refused causes }

// add hears the rules about the coat on one piece, and gives what they made of it.
func (a *asked) add(in pieceInput, e restoration.Event) *restoration.Facts {
	title := in.Piece.Title() + " " + in.Car.WorkOrder
	for _, says := range in.scuff(e) {
		a.scuff.add(in.Piece.ID, title, says)
		e.Checks = []string{restoration.CheckScuffed}
	}
	facts := in.judge(e)
	for _, to := range []struct {
		list *causes
		says []string
	}{{&a.needs, facts.Needs}, {&a.asks, facts.Asks}, {&a.warnings, facts.Warnings}} {
		for _, says := range to.says {
			to.list.add(in.Piece.ID, title, says)
		}
	}
	e.Facts, e.Reason, e.Checks = facts, "r", []string{restoration.CheckSure, restoration.CheckScuffed}
	if out := try(in, e); out.Result == restoration.Refused {
		a.refused.add(in.Piece.ID, title, out.Reason)
	}
	return facts
}

// askRules fills in what will be asked of the ticked pieces, each cause once.
func (v *batchView) askRules(in batchInput, form url.Values) {
	if v.Coat.Material == "" {
		return
	}
	p := formParser{form: v.Coat.asForm(), us: v.Coat.US}
	if form.Has("batch") {
		p.form = form
	}
	coat := p.coat()
	coat.Number = 1 // each piece has its own
	if !v.Coat.readable(p, *coat) {
		return
	}
	var ticked []restoration.BatchPiece
	for i, piece := range in.Batch.Pieces {
		if v.Pieces[i].Ticked {
			ticked = append(ticked, piece)
		}
	}
	v.ask(in.hear(*coat, ticked), form)
}

// hear asks the rules about a coat on each of the ticked pieces. What one takes of a tin the
// next doesn't find in it.
func (in batchInput) hear(coat restoration.Coat, ticked []restoration.BatchPiece) asked {
	of := map[restoration.ID]restoration.PieceScene{}
	for _, s := range in.Films {
		of[s.Piece.ID] = s
	}
	in.Shop.Lots = slices.Clone(in.Shop.Lots)
	var all asked
	for _, piece := range ticked {
		scene, there := of[piece.PieceID]
		if !there {
			continue // gone since
		}
		own := coat
		own.Number, own.SheetML = piece.SprayKey.Coats+1, piece.ML
		facts := all.add(in.pieceInput(piece, scene), restoration.Event{Kind: restoration.KindCoat, StepID: piece.StepID, Payload: restoration.Payload{Coat: &own}})
		in.pour(facts.Lots)
	}
	return all
}

// pour takes out of the group's own copy of the tins what a coat takes.
func (in batchInput) pour(uses []restoration.LotUse) {
	for _, use := range uses {
		if i := slices.IndexFunc(in.Shop.Lots, func(l restoration.Lot) bool { return l.ID == use.Lot }); i >= 0 {
			in.Shop.Lots[i].LeftML -= use.ML
		}
	}
}

// lacking tells what the form must still say of its pieces, a reason or a check: what the
// rules refuse as it stands and would take with that. A group that is gone lacks nothing,
// and its entries are answered one by one.
func (b *Bench) lacking(r *http.Request, list []Incoming) (causes, error) {
	shop, batch, err := b.findBatch(r)
	if p, ok := restoration.AsProblem(err); ok && p.Trouble == restoration.TroubleNotFound {
		return nil, nil
	}
	ids := make([]restoration.ID, len(list))
	for i, one := range list {
		ids[i] = one.PieceID
	}
	scenes, errScenes := b.shop.FilmScenes(r.Context(), ids)
	if err = errors.Join(err, errScenes); err != nil {
		return nil, err
	}
	v := visitOf(r)
	in := batchInput{Batch: batch, Shop: shop, Units: v.shop.Units, Now: b.now(), Loc: v.shop.Location(), NewID: newID, Actor: v.actor()}
	return in.lacking(list, scenes), nil
}

func (in batchInput) lacking(list []Incoming, scenes []restoration.PieceScene) (found causes) {
	in.Shop.Lots = slices.Clone(in.Shop.Lots)
	for _, one := range list {
		i := slices.IndexFunc(scenes, func(s restoration.PieceScene) bool { return s.Piece.ID == one.PieceID })
		n := slices.IndexFunc(in.Batch.Pieces, func(p restoration.BatchPiece) bool { return p.StepID == one.StepID })
		if i < 0 || n < 0 {
			continue // gone since
		}
		piece := in.pieceInput(in.Batch.Pieces[n], scenes[i])
		e := one.Event(in.Actor)
		e.Facts = piece.judge(e)
		in.pour(e.Facts.Lots)
		out := try(piece, e)
		e.Reason, e.Checks = "r", []string{restoration.CheckSure, restoration.CheckScuffed}
		if out.Result == restoration.Refused && try(piece, e).Result != restoration.Refused {
			found.add(one.PieceID, piece.Piece.Title()+" "+piece.Car.WorkOrder, out.Reason)
		}
	}
	return found
}

// ask fills in what the rules would ask and say.
func (v *batchView) ask(all asked, form url.Values) {
	ticked := v.ticked()
	v.Coat.Scuff = scuffOf(all.scuff.words(ticked), form)
	v.Coat.Why.Needs, v.Coat.Why.Asks = all.needs.words(ticked), all.asks.words(ticked)
	v.Told = slices.Concat(all.scuff.sentences(), all.needs.sentences())
	refused := slices.DeleteFunc(all.refused, func(c cause) bool { return v.Coat.saidAtFigure(c.says) })
	for _, says := range refused.words(ticked) {
		v.Coat.Says = append(v.Coat.Says, ui.Notice{Kind: ui.NoticeError, Text: says})
	}
	for _, says := range all.warnings.words(ticked) {
		v.Coat.Says = append(v.Coat.Says, ui.Notice{Kind: ui.NoticeCaution, Text: says})
	}
}

// ticked counts the pieces that the coat is for.
func (v *batchView) ticked() int {
	n := 0
	for _, p := range v.Pieces {
		if p.Ticked {
			n++
		}
	}
	return n
}

// pieceInput is a piece of the group with what its coat is judged by.
func (in batchInput) pieceInput(of restoration.BatchPiece, scene restoration.PieceScene) pieceInput {
	return pieceInput{Piece: scene.Piece, Car: *of.Car, Route: in.Shop.Routes[of.RouteID], Actor: in.Actor, Now: in.Now, Loc: in.Loc, Units: in.Units,
		NewID: in.NewID, Film: &filmInput{Scene: scene.Scene, Materials: in.Shop.Materials, Lots: in.Shop.Lots}}
}

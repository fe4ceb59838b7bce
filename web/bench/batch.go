package bench

import (
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// batchInput is what the page of one group is built from.
type batchInput struct {
	Batch restoration.Batch
	Shop  restoration.SprayShop
	Air   []restoration.AirReading
	Seen  map[string]time.Time
	Films []restoration.PieceScene // of the group's pieces
	Units restoration.Units
	Now   time.Time
	Loc   *time.Location
	NewID func() string

	Papers []restoration.Certificate // of everybody
	Actor  restoration.Actor
}

// buildBatch fills in a coat on all pieces of a group, or what was typed before.
func buildBatch(in batchInput, form url.Values) batchView {
	g := in.Batch
	v := batchView{Path: togetherPath + "/" + url.PathEscape(g.Key), Batch: in.NewID(), Now: in.Now.UTC().Format(time.RFC3339),
		Missing: g.Missing, Scheme: scheme(*g.Pieces[0].Car), Facts: in.facts()}
	if stage, ok := in.stage(); ok && len(stage.Cautions) > 0 &&
		restoration.CautionDue(in.Seen[restoration.CautionSubject(stage, g.Material)], in.Now, in.Loc) {
		v.Cautions = &cautionView{Stage: stage.Name, Subject: restoration.CautionSubject(stage, g.Material), List: restoration.CautionsFor(stage, g.Material), Action: "/bench/cautions", Then: v.Path, Zone: in.Loc.String()}
	}
	for _, p := range g.Pieces {
		v.Pieces = append(v.Pieces, in.line(p, form))
	}
	if g.Material == nil {
		return v
	}
	if stage, ok := in.stage(); ok {
		v.Lapses = lapses(in.Papers, in.Actor.PersonID, stage, g.Material, in.Now, in.Loc)
	}
	for _, part := range g.Parts {
		v.Parts = append(v.Parts, ui.Fact{Term: part.Name, Text: restoration.VolumeWords(part.ML, in.Units)})
	}
	v.Mixes = in.mixWords()
	sc := restoration.FilmScene{Film: in.Shop.Film, Units: in.Units, Air: freshAir(in.Air, in.Now)}
	v.Coat = coatView{US: in.Units == restoration.US}
	v.Coat.fillMaterial(*g.Material, in.Units, form)
	v.Coat.fillAir(sc, form)
	v.Coat.Tins = in.tins(form)
	v.Coat.Why = whyView{Picks: coatReasons}
	v.Coat.Why.keep(form)
	return v
}

// stage is the one that the group comes to.
func (in batchInput) stage() (restoration.Stage, bool) {
	p := in.Batch.Pieces[0]
	return in.Shop.Routes[p.RouteID].Stage(p.Stage)
}

// facts are the figures of a group.
func (in batchInput) facts() []ui.Fact {
	g := in.Batch
	list := []ui.Fact{{Term: "Pieces", Text: fmt.Sprintf("%d of %d", g.Taken, len(g.Pieces))}, {Term: "Area", Text: ui.Area(g.AreaM2, in.Units == restoration.US)}, {Term: "Coats now", Text: strconv.Itoa(g.Coats)}}
	if g.NeedML > 0 {
		list = append(list, ui.Fact{Term: "Ready to spray", Text: restoration.VolumeWords(g.NeedML, in.Units)})
	}
	if g.Saved > 0 {
		list = append(list, ui.Fact{Term: "Set-up saved", Text: ui.Hours(int(g.Saved))})
	}
	if says := g.FirstWords(); says != "" {
		list = append(list, ui.Fact{Term: "Not yet", Text: says})
	}
	if g.From.After(in.Now) {
		list = append(list, ui.Fact{Term: "All ready", Text: ui.Clock(g.From, in.Now, in.Loc)})
	}
	if !g.Shuts.IsZero() {
		list = append(list, ui.Fact{Term: "Window shuts", Text: ui.Clock(g.Shuts, in.Now, in.Loc)})
	}
	return list
}

// mixWords say how often one mixes, and why.
func (in batchInput) mixWords() string {
	g := in.Batch
	if g.Mix.Count == 0 {
		return ""
	}
	words := "One mix"
	if g.Mix.Count > 1 {
		words = fmt.Sprintf("%d mixes, one after another, each", g.Mix.Count)
	}
	words += " of " + restoration.VolumeWords(g.Mix.EachML, in.Units)
	if g.PotLife > 0 {
		words += fmt.Sprintf("; it keeps %s at %s", g.PotLife, shownTemp(&in.Shop.TempC, in.Units)+" "+tempUnit(in.Units))
		if g.Estimated {
			words += ", which the sheet doesn't say: an estimate"
		}
	}
	return words + "."
}

// line is a piece of the group. One that may not be sprayed yet, or needs work
// first, begins without a tick.
func (in batchInput) line(p restoration.BatchPiece, form url.Values) batchLine {
	l := batchLine{ID: p.StepID.String(), Title: p.Title, Car: p.Car.WorkOrder, Place: p.LiesAt,
		Coat: fmt.Sprintf("coat %d", p.SprayKey.Coats+1), Ticked: readyNow(p, in.Now)}
	l.Line = strings.Join([]string{in.NewID(), p.PieceID.String(), p.StepID.String(), strconv.Itoa(p.SprayKey.Coats + 1), trimmed(p.ML, 0)}, " ")
	switch {
	case p.First != restoration.FirstNothing:
		l.Why = p.FirstWords(in.Now, func(at time.Time) string { return ui.Clock(at, in.Now, in.Loc) })
	case p.From.After(in.Now):
		l.Why = "from " + ui.Clock(p.From, in.Now, in.Loc)
	}
	if form.Has("batch") {
		l.Ticked = slices.ContainsFunc(form["pieces"], func(line string) bool { return strings.Contains(line, l.ID) })
	}
	return l
}

// tins are those of the group's material, beginning with what its last coat came from; the
// car's own lot goes before others.
func (in batchInput) tins(form url.Values) []tinLine {
	f := filmInput{Lots: slices.Clone(in.Shop.Lots)}
	for _, of := range in.Films {
		f.Scene.Deeds = append(f.Scene.Deeds, of.Scene.Deeds...)
		f.Scene.Car = append(f.Scene.Car, of.Scene.Car...)
	}
	restoration.ByHour(f.Scene.Deeds)
	p := in.Batch.Pieces[0]
	f.Scene.Scheme = in.Shop.Schemes[restoration.SchemeKey{CarID: p.Car.ID, Name: strings.ToLower(p.Scheme)}]
	return f.tins(*in.Batch.Material, in.Batch.NeedML, form, pieceInput{Now: in.Now, Units: in.Units})
}

// freshAir is the last reading of the shop's sensors, if it is not too old.
func freshAir(list []restoration.AirReading, now time.Time) *restoration.AirWords {
	var last *restoration.AirReading
	for i, a := range list {
		if now.Sub(a.At) <= restoration.SensorAge && !a.At.After(now) && (last == nil || a.At.After(last.At)) {
			last = &list[i]
		}
	}
	if last == nil {
		return nil
	}
	return &restoration.AirWords{AirC: &last.AirC, Humidity: &last.Humidity, SurfaceC: last.SurfaceC}
}

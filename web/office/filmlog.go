package office

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// deedLine is a coat, a cutting pass or a reading in the log of a piece.
type deedLine struct {
	ID     string
	At     time.Time
	What   string
	Detail string   // material, or the readings
	Stage  string   // and the pass, where it isn't the first
	Film   string   // put on or taken off; "" of a reading
	Tins   []string // "C-1, 40 mL", or "clear C-1, 40 mL" where several tins went into the mix
	Air    string
	Who    string
	Why    string   // the reason that was given
	Warned []string // what the rules said when it was entered
	Old    bool     // sent back since: it no longer counts
	Strike string   // address that asks why it is struck out
}

// filmLog puts the film of a piece into words.
type filmLog struct {
	entries   map[restoration.ID]restoration.Entry
	lots      map[int64]restoration.Lot
	materials []restoration.Material
	piece     restoration.Piece
	route     restoration.Route
	units     restoration.Units
	path      string
}

func entriesByID(entries []restoration.Entry) map[restoration.ID]restoration.Entry {
	byID := make(map[restoration.ID]restoration.Entry, len(entries))
	for _, e := range entries {
		byID[e.Event.ID] = e
	}
	return byID
}

func lotsByID(lots []restoration.Lot) map[int64]restoration.Lot {
	byID := make(map[int64]restoration.Lot, len(lots))
	for _, l := range lots {
		byID[l.ID] = l
	}
	return byID
}

func (g filmLog) line(d restoration.Deed) deedLine {
	line := deedLine{ID: d.EventID.String(), At: d.At, Who: cmp.Or(d.Person, "nobody known"), Stage: g.stage(d), Old: g.piece.SentBackSince(g.route, d),
		Strike: withQuery(g.path, "strike", d.EventID.String()) + "#strike"}
	switch d.Kind {
	case restoration.KindCoat:
		line.What, line.Detail = fmt.Sprintf("Coat %d of %s", d.Number, d.Layer), cmp.Or(d.Name, "a material of no list")
		line.Film = "+ " + restoration.FilmSpan(d.Film, g.units)
		line.Tins = g.tins(d)
	case restoration.KindCutPass:
		line.What, line.Detail = "Sanded "+string(d.Layer), d.Name
		line.Film = "− " + restoration.FilmSpan(d.Film, g.units)
	case restoration.KindReading:
		line.What, line.Detail = readingWords(*d.Reading, g.units)
	}
	if e, ok := g.entries[d.EventID]; ok {
		g.tell(&line, e)
	}
	return line
}

// tell adds what only the entry itself says.
func (g filmLog) tell(line *deedLine, e restoration.Entry) {
	p := e.Event.Payload
	line.Why = p.Reason
	if e.Device != "" {
		line.Who = joinWords(line.Who, e.Device)
	}
	if p.Cut != nil && p.Cut.Wet {
		line.Detail += ", wet"
	}
	if p.Coat != nil && p.Coat.Air != nil {
		line.Air = ui.Unbroken(airWords(*p.Coat.Air, unitsOf(g.units).temp))
	}
	if p.Facts != nil {
		line.Warned = slices.Concat(p.Facts.Needs, p.Facts.Warnings)
	}
}

func (g filmLog) stage(d restoration.Deed) string {
	if d.Stage == "" {
		return ""
	}
	return joinWords(stageWord(g.route, d.Stage), restoration.PassWords(d.Pass))
}

// tins names the tins of a coat in the order of the mix, and the whole amount where no tin is named.
func (g filmLog) tins(d restoration.Deed) []string {
	var out []string
	uses := slices.SortedStableFunc(slices.Values(d.Lots), func(a, b restoration.LotUse) int {
		return cmp.Compare(g.lots[a.Lot].Part, g.lots[b.Lot].Part)
	})
	for _, use := range uses {
		lot := g.lots[use.Lot]
		word := cmp.Or(lot.Number, "a tin of no list")
		if len(d.Lots) > 1 {
			word = strings.TrimSpace(g.role(lot) + " " + word)
		}
		if use.ML > 0 {
			word += ", " + ui.Unbroken(restoration.VolumeWords(use.ML, g.units))
		}
		out = append(out, word)
	}
	if len(out) == 0 && d.ML > 0 {
		return []string{ui.Unbroken(restoration.VolumeWords(d.ML, g.units)) + ", no tin named"}
	}
	return out
}

// role is the part of the mix that a tin holds, as the sheet calls it: "hardener"; ""
// where there is no saying.
func (g filmLog) role(l restoration.Lot) string {
	i := slices.IndexFunc(g.materials, func(m restoration.Material) bool { return m.ID == l.Material })
	if i < 0 || len(g.materials[i].Parts) < 2 {
		return ""
	}
	return at(g.materials[i].Parts, l.Part).Name
}

func airWords(a restoration.AirWords, temp unit) string {
	var parts []string
	if a.AirC != nil {
		parts = append(parts, temp.says(*a.AirC))
	}
	if a.SurfaceC != nil {
		parts = append(parts, "surface "+temp.says(*a.SurfaceC))
	}
	if a.Humidity != nil {
		parts = append(parts, ui.Num(*a.Humidity, 0)+" %")
	}
	return strings.Join(parts, ", ")
}

// readingWords says what was measured, and the figures.
func readingWords(r restoration.Reading, units restoration.Units) (what, figures string) {
	at := ""
	if r.Spot != "" {
		at = " at " + r.Spot
	}
	switch {
	case r.Gloss != nil:
		return "Gloss" + at, ui.Unbroken(r.Gloss.String())
	case r.Lab != nil && r.UnderClear:
		return "Colour under clear" + at, labWords(*r.Lab)
	case r.Lab != nil:
		return "Colour" + at, labWords(*r.Lab)
	}
	what = "Film by gauge" + at
	if r.Baseline {
		what = "Film before the clear" + at
	}
	return what, ui.Unbroken(restoration.ReadingsWords(r.FilmUM, units))
}

// labWords is a colour, of which no letter is parted from its figure.
func labWords(lab colour.Lab) string {
	return ui.Unbroken(fmt.Sprintf("L* %.1f, a* %.1f, b* %.1f", lab.L, lab.A, lab.B))
}

// sprayedWith names the last material of each layer that counts.
func sprayedWith(p restoration.Piece, deeds []restoration.Deed) map[coating.Layer]string {
	names := map[coating.Layer]string{}
	for _, d := range standingCoats(p, deeds) {
		if d.Name != "" {
			names[d.Layer] = d.Name
		}
	}
	return names
}

// clearDrawn are the likely films of the coats of clear of the present pass, in order:
// they are drawn one by one, and clear that stayed from before in one.
func clearDrawn(p restoration.Piece, deeds []restoration.Deed) []float64 {
	var um []float64
	for _, d := range standingCoats(p, deeds) {
		if d.Layer == coating.Clear {
			um = append(um, d.Film.Likely)
		}
	}
	return um
}

// standingCoats are the coats that no send-back took off.
func standingCoats(p restoration.Piece, deeds []restoration.Deed) []restoration.Deed {
	current := map[restoration.ID]bool{}
	for _, s := range p.Steps {
		current[s.ID] = s.Current()
	}
	return slices.DeleteFunc(slices.Clone(deeds), func(d restoration.Deed) bool {
		return d.Kind != restoration.KindCoat || !current[d.StepID]
	})
}

package office

import (
	"slices"
	"strings"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// defectsBySteps names the defect of each send-back at the step that it opened for the
// stage it went back to.
func defectsBySteps(backs []restoration.Entry) map[restoration.ID]string {
	by := map[restoration.ID]string{}
	for _, e := range backs {
		by[e.Event.ID.Derive(e.Event.Stage)] = defectName(e.Event.Defect)
	}
	return by
}

// recipe is what a piece is sprayed with, how often it is cleared, and what must stay.
func (c carPaint) recipe(p restoration.Piece, u restoration.Units) []ui.Fact {
	scheme, ok := c.schemes[strings.ToLower(p.Scheme)]
	if !ok {
		scheme = restoration.StockScheme(p.CarID, p.Scheme)
	}
	var facts []ui.Fact
	for _, layer := range coating.Layers() {
		text := ""
		if i := slices.IndexFunc(c.materials, func(m restoration.Material) bool { return m.ID == scheme.Materials[layer] }); i >= 0 {
			text = c.materials[i].Name
		}
		if layer == coating.Clear && scheme.ClearCoats > 0 {
			text = joinWords(text, ui.Count(scheme.ClearCoats, "coat", "coats"))
		}
		facts = append(facts, ui.Fact{Term: upperFirst(string(layer)), Text: text})
	}
	return append(facts, ui.Fact{Term: "Clear before cutting",
		Text: restoration.FilmWords(scheme.BuildUM, u) + ", floor " + restoration.FilmWords(scheme.FloorUM, u)})
}

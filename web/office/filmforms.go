package office

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// filmForms are the forms in which a coat, a cutting pass and a reading are entered.
// Each field has a name of its own on the page, so that what is wrong stands there.
type filmForms struct {
	Sprayed   []ui.Option // steps that may have been sprayed; none: no coat can be entered
	Sanded    []ui.Option // steps that may have been sanded
	Materials []ui.Option
	Tins      []ui.CheckboxProps
	Angles    []ui.Option
	Unit      units

	Step, Cut, Material string // chosen at first
	Wanted              string // "coat 2 of 4"; "" nothing is agreed
	Baseline            bool   // no clear is on, so a film is the baseline
	Ask                 []string
}

// Fields of the forms about the film.
const (
	coatStep, coatNumber, coatMaterial, coatTin   = "coat_step", "coat_number", "coat_material", "coat_tin"
	coatWet, coatML, coatThinned                  = "coat_wet", "coat_ml", "coat_thinned"
	coatAir, coatSurface, coatHumidity            = "coat_air", "coat_surface", "coat_humidity"
	coatScuffed, coatReason, coatSure             = "coat_scuffed", "coat_reason", "coat_sure"
	cutStep, cutGrade, cutWet, cutOff, cutReason  = "cut_step", "cut_grade", "cut_wet", "cut_off", "cut_reason"
	readSpot, readFilms, readBaseline             = "read_spot", "read_films", "read_baseline"
	readGloss, readAngle                          = "read_gloss", "read_angle"
	readL, readA, readB, readUnder                = "read_l", "read_a", "read_b", "read_under"
	readSure, readReason, strikeRef, strikeReason = "read_sure", "read_reason", "strike", "strike_reason"
)

// cutGrades are suggested; others may be typed.
func cutGrades() []string {
	return []string{"P800", "P1000", "P1200", "P1500", "P2000", "P3000", "compound", "polish"}
}

// spots are the usual names of marked places; others may be typed.
func spots() []string { return []string{"centre", "left end", "right end", "upper edge", "lower edge"} }

func newFilmForms(d pieceData, films filmData) filmForms {
	f := filmForms{Unit: unitsOf(d.Settings.Units), Angles: angleOptions()}
	for _, s := range d.Piece.Steps {
		stage, ok := d.Route.Stage(s.Stage)
		if !ok || !s.Current() || s.State == restoration.StepSkipped || !s.Begun() && s.ID != d.Piece.Sum.NextStep {
			continue // nothing can have been done there
		}
		option := ui.Option{Value: s.ID.String(), Word: stage.Name}
		if restoration.LayerOf(stage.Look) != "" {
			f.Sprayed = append(f.Sprayed, option)
		}
		if restoration.CutLayer(stage.Look) != "" {
			f.Sanded = append(f.Sanded, option)
		}
	}
	f.Step, f.Cut = presentStep(f.Sprayed, d.Piece), presentStep(f.Sanded, d.Piece)
	layer := restoration.LayerOf(lookOf(d.Piece, d.Route, f.Step))
	f.Materials, f.Material = materialChoice(films, layer)
	f.Tins = tinChoice(films.Lots, d.Settings.Units)
	f.Wanted = coatsWanted(films.Scene, d.Piece, d.Route, layer)
	f.Baseline = !restoration.FilmOf(d.Piece, d.Route, films.Scene.Deeds, films.Scene.Policy()).Known()
	return f
}

// presentStep is the step whose turn it is, where it is among the options; else the
// last of them that was begun.
func presentStep(options []ui.Option, p restoration.Piece) string {
	best := ""
	for _, s := range p.Steps {
		if among := slices.ContainsFunc(options, func(o ui.Option) bool { return o.Value == s.ID.String() }); among && (best == "" || s.Begun() || s.ID == p.Sum.NextStep) {
			best = s.ID.String()
		}
	}
	return best
}

func lookOf(p restoration.Piece, r restoration.Route, step string) restoration.Look {
	for _, s := range p.Steps {
		if s.ID.String() == step {
			stage, _ := r.Stage(s.Stage)
			return stage.Look
		}
	}
	return restoration.LookOther
}

// materialChoice offers the materials in use by layer, and chooses the scheme's, else
// what was sprayed last on that layer.
func materialChoice(films filmData, layer coating.Layer) (options []ui.Option, chosen string) {
	options = []ui.Option{{Word: "choose a material"}}
	wanted := films.Scene.Scheme.Materials[layer]
	for _, d := range films.Scene.Deeds {
		if d.Layer == layer && d.Material != 0 && films.Scene.Scheme.Materials[layer] == 0 {
			wanted = d.Material
		}
	}
	inUse := slices.DeleteFunc(slices.Clone(films.Materials), func(m restoration.Material) bool { return !m.Retired.IsZero() })
	// What belongs on this layer comes first.
	slices.SortStableFunc(inUse, func(a, b restoration.Material) int { return cmp.Compare(layerRank(a, layer), layerRank(b, layer)) })
	for _, m := range inUse {
		option := ui.Option{Value: formatID(m.ID), Word: m.Name + ", " + string(m.Layer)}
		options = append(options, option)
		if m.ID == wanted {
			chosen = option.Value
		}
	}
	return options, chosen
}

func layerRank(m restoration.Material, layer coating.Layer) int {
	if m.Layer == layer {
		return 0
	}
	return 1
}

// tinChoice offers the tins that are open.
func tinChoice(lots []restoration.Lot, units restoration.Units) []ui.CheckboxProps {
	var tins []ui.CheckboxProps
	for _, l := range lots {
		if l.Closed.IsZero() {
			tins = append(tins, ui.CheckboxProps{Name: coatTin, Value: formatID(l.ID),
				Label: strings.Join([]string{l.MaterialName, "lot " + l.Number, restoration.VolumeWords(max(0, l.LeftML), units) + " left"}, ", ")})
		}
	}
	return tins
}

// coatsWanted says which coat of how many comes next; only of clear is a number agreed.
func coatsWanted(sc restoration.FilmScene, p restoration.Piece, r restoration.Route, layer coating.Layer) string {
	if layer != coating.Clear || !sc.Agreed || sc.Scheme.ClearCoats == 0 {
		return ""
	}
	return fmt.Sprintf("%d of %d coats of clear are logged.", len(restoration.ClearCoats(p, r, sc.Deeds)), sc.Scheme.ClearCoats)
}

// filmWhenField is whenField for the forms about the film.
func filmWhenField(f *form, k restoration.Kind) ui.FieldProps {
	p := whenField(f, restoration.KindTick)
	p.Name = filmWhen[k]
	return start(f, p)
}

// tickAgain shows a checkbox again as it was; f is nil on a fresh page.
func tickAgain(f *form, p ui.CheckboxProps) ui.CheckboxProps {
	if f == nil {
		return p
	}
	return f.tick(p)
}

// startTick is tickAgain for a box that the page ticks itself: another form of the same
// page that failed leaves it as it was.
func startTick(f *form, p ui.CheckboxProps) ui.CheckboxProps {
	if openAct(f, restoration.KindReading) {
		return f.tick(p)
	}
	return p
}

// asked tells whether a confirmation was asked for, or was given before.
func (f *form) asked(name string) bool { return f != nil && (f.error(name) != "" || f.ticked(name)) }

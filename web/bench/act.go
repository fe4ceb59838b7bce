package bench

import (
	"cmp"
	"net/url"
	"slices"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// actView is a page that asks for one thing about a piece and saves it.
type actView struct {
	Page   ui.PageProps
	Path   string // of the piece
	Piece  string // its id
	Now    string // RFC 3339, as the page is drawn
	Act    string
	ID     string // of the entry
	Step   string
	Errors []ui.FieldError
	Picks  []string // reasons to be picked at one touch
	Places []placeGroup
	To     *placeOffer // move: the place that was scanned
	Own    ui.FieldProps
	Hours  ui.StepperProps
	Still  ui.StepperProps
	Second string // id of the page's second entry

	Until   string // early: until when the piece should wait
	Reason  string // that was picked
	Grade   int    // on bare steel, as it stands; 0 not graded
	Defects defectLists
	Defect  defectTile
	Stages  ui.SelectProps
}

// defectLists are the defects to choose from: those of the piece's stage first.
type defectLists struct{ Here, Others []defectTile }

// defectTile is a defect as picture and word.
type defectTile struct{ Key, Name, Sign, Href string }

// actTitles are the pages of their own; the words stand on the piece's page as well.
var actTitles = map[string]string{
	"back": "What is wrong?", "time": "Log time", "note": "Note", "move": "Where does it lie?",
	"hold": "Why hold it?", "skip": "Why skip the step?", "early": "Why start early?", "grade": "Grade on bare steel",
}

// holdReasons, skipReasons and earlyReasons are what mostly is the case; anything
// else can be written.
var (
	holdReasons  = []string{"A part is missing", "Needs the owner's decision", "Waits for material", "Damaged: look first", "Needed on the car"}
	skipReasons  = []string{"Not needed on this piece", "Done outside the shop", "Owner said so"}
	earlyReasons = []string{"Tested: hard enough", "Baked or lamp-cured", "Data sheet allows it"}
)

// buildAct sorts out a page that asks for one thing. form holds what was typed
// before, and the defect that was picked; places are those on offer.
func buildAct(act string, in pieceInput, form url.Values, places []placeGroup) actView {
	v := actView{Path: piecePath(in.Piece.ID), Piece: in.Piece.ID.String(), Now: in.Now.UTC().Format(time.RFC3339), Act: act, ID: in.NewID(), Own: ui.FieldProps{Name: "own", Value: form.Get("own"), MaxLen: restoration.MaxReason}}
	step, open := nextStep(in.Piece)
	stage, _ := in.Route.Stage(step.Stage)
	if open {
		v.Step = step.ID.String()
	}
	switch act {
	case "back":
		buildBack(&v, in, form)
	case "time":
		v.Hours, v.Second = hoursStepper(in, step), in.NewID()
		v.Hours.Value = form.Get("hours")
		v.Still = ui.StepperProps{Name: "still_to_go", Label: "Still to go", Minutes: quarter(step.Left), Value: form.Get("still_to_go")}
	case "note":
		about := notHolding(marked(checks(in, stage), form))
		v.Own = ui.FieldProps{Name: "note", Label: "Note", Type: "textarea", Value: cmp.Or(form.Get("note"), about), Required: true, MaxLen: restoration.MaxNote, Autofocus: true}
	case "move":
		v.Places, v.Own.Label, v.Own.MaxLen = places, "Another place", restoration.MaxPlace
	case "hold":
		v.Picks, v.Own.Label = holdReasons, "Another reason"
	case "skip":
		v.Picks, v.Own.Label = skipReasons, "Another reason"
	case "early":
		v.Picks, v.Own.Label = earlyReasons, "Another reason"
		v.Reason = form.Get("reason")
		_, v.Until, _ = standing(in, step)
	case "grade":
		v.Grade = in.Piece.SteelGrade
	}
	return v
}

func buildBack(v *actView, in pieceInput, form url.Values) {
	d, ok := restoration.FindDefect(form.Get("defect"))
	if !ok {
		here, others := restoration.DefectsAt(in.stageLooks()...)
		if in.thin() {
			here, others = restoration.ThinFirst(here, others)
		}
		v.Defects = defectLists{defectTiles(v.Path, here), defectTiles(v.Path, others)}
		return
	}
	v.Defect = defectTile{Key: d.Key, Name: d.Name, Sign: d.Sign}
	v.Own.Label, v.Own.Required = "In a few words", d.Key == restoration.DefectOther
	v.Hours = ui.StepperProps{Name: "hours", Label: "Hours it costs", Blank: true, Value: form.Get("hours"), Hint: "Left blank: those beside the stage."}
	v.Stages = ui.SelectProps{Name: "stage", Label: "Back to", Value: cmp.Or(form.Get("stage"), d.BackTo(in.Piece, in.Route)), Required: true}
	for _, stage := range slices.Backward(restoration.BackStages(in.Piece, in.Route)) {
		planned := slices.ContainsFunc(in.Piece.Steps, func(s restoration.Step) bool { return s.Stage == stage.Key })
		if planned || stage.Key == v.Stages.Value {
			v.Stages.Options = append(v.Stages.Options, ui.Option{Value: stage.Key, Word: stage.Name, Hint: ui.HoursLost(in.Piece, in.Route, d.Key, stage.Key)})
		}
	}
}

// stageLooks are those of the stage that the piece has reached, and of the one that
// somebody has begun.
func (in pieceInput) stageLooks() []restoration.Look {
	looks := []restoration.Look{in.Piece.Sum.Look}
	if step, ok := nextStep(in.Piece); ok && step.Begun() {
		stage, _ := in.Route.Stage(step.Stage)
		looks = append(looks, stage.Look)
	}
	return looks
}

// defectTiles draws defects to choose from.
func defectTiles(path string, list []restoration.Defect) []defectTile {
	var tiles []defectTile
	for _, d := range list {
		tiles = append(tiles, defectTile{Key: d.Key, Name: d.Name, Sign: d.Sign, Href: path + "/back?defect=" + url.QueryEscape(d.Key)})
	}
	return tiles
}

// fail puts what is wrong beside its field, or on top of the page.
func (v *actView) fail(faults []ui.FieldError) {
	for _, f := range faults {
		switch f.Name {
		case v.Own.Name:
			v.Own.Error = f.Text
		case "hours":
			v.Hours.Error = f.Text
		case "still_to_go":
			v.Still.Error = f.Text
		default:
			v.Errors = append(v.Errors, f)
		}
	}
}

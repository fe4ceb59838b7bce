package bench

import (
	"slices"
	"strconv"

	"github.com/a-h/templ"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// mayTick tells whether the page offers Done.
func (v pieceView) mayTick() bool {
	return v.Mode == modeOpen || v.Mode == modeMine || v.Mode == modeOthers
}

// The bar of a piece shows more than the rules know of.
const (
	modeUnread mode = "unread" // the cautions come first
	modeFilm   mode = "film"   // a coat or a pass may be logged
	modeFirst  mode = "first"  // the clear cures or is flatted before its next coat
	modeThin   mode = "thin"   // the clear may be under its floor: the piece goes back
)

// underFloor says at the cut why the piece goes back rather than on; "" it needn't.
func (v pieceView) underFloor() string {
	if v.Film == nil || !v.CanBack {
		return ""
	}
	return v.Film.Alert
}

func (v pieceView) barMode() mode {
	switch {
	case v.mayTick() && v.Film != nil && v.Film.Cautions != nil && v.Looks:
		return modeUnread
	case v.mayTick() && v.underFloor() != "":
		return modeThin
	case v.mayTick() && v.Film != nil && v.Film.First != "":
		return modeFirst
	case v.mayTick() && v.logs() != "":
		return modeFilm
	}
	return v.Mode
}

// unread are the cautions that stand before the page; nil: none do.
func (v pieceView) unread() *cautionView {
	if v.Film == nil || v.Looks || !v.mayTick() {
		return nil
	}
	return v.Film.Cautions
}

// logs leads to where a coat or a pass is logged; "" where neither is.
func (v pieceView) logs() string {
	if v.Film == nil || v.Film.Main == "" {
		return ""
	}
	return v.Path + "/" + v.Film.Main
}

func (v pieceView) logWord() string {
	if v.Film.Main == "cut" {
		return "Log pass"
	}
	return "Coat"
}

// sandKind makes sanding the main thing to do once the clear is hard enough for it.
func (v pieceView) sandKind() string {
	if v.Film.Sanded {
		return "main"
	}
	return ""
}

// needsReason keeps a tick that the rules would refuse from being sent without its reason.
func (v pieceView) needsReason() templ.Attributes {
	if v.Film == nil || len(v.Film.Why.Needs) == 0 {
		return nil
	}
	return templ.Attributes{"data-needs": "reason"}
}

// startable tells whether the step may be taken in hand by itself.
func (v pieceView) startable() bool {
	return v.Mode == modeOpen || v.Mode == modeOthers
}

// facts are the figures of the recipe, the finish first.
func (v pieceView) facts() []ui.Fact {
	if v.Film == nil {
		return v.Next.facts()
	}
	rest := v.Next.facts()
	if v.Film.Waits {
		rest = slices.DeleteFunc(rest, func(f ui.Fact) bool { return f.Term == factAfterwards })
	}
	return append(slices.Clone(v.Film.Facts), rest...)
}

// sheetBack leads from the sheet back to the piece; without a new page where it can.
func (v pieceView) sheetBack() string {
	if v.Sheet {
		return v.Path
	}
	return "#main"
}

// steelWord says the grade on bare steel.
func (v pieceView) steelWord() string {
	if v.Grade == 0 {
		return "not graded yet"
	}
	return strconv.Itoa(v.Grade) + ", " + restoration.GradeWord(v.Grade)
}

// startWord is what taking the step in hand is called.
func (v pieceView) startWord() string {
	if v.Mode == modeOthers {
		return "Take over"
	}
	return "Start"
}

const factAfterwards = "Afterwards"

// facts are the figures of the recipe.
func (s stepView) facts() []ui.Fact {
	list := []ui.Fact{{Term: "Planned", Text: s.Planned}, {Term: "Usual", Text: s.Usual}}
	if s.Logged != "" {
		list = append(list, ui.Fact{Term: "Logged", Text: s.Logged})
	}
	if s.HandBy != "" {
		list = append(list, ui.Fact{Term: "In hand", Text: s.HandBy + ", since " + s.Started})
	}
	list = append(list, ui.Fact{Term: "Needs", Text: s.Need})
	if s.Rest != "" {
		list = append(list, ui.Fact{Term: factAfterwards, Text: s.Rest})
	}
	if s.Booth {
		list = append(list, ui.Fact{Term: "Where", Text: "spray booth"})
	}
	return list
}

// scuffed is the check that starting asks for as well, once the recoat window shut:
// who takes such a piece in hand does so to scuff it.
func (s stepView) scuffed() []string {
	for _, c := range s.Checks {
		if c.Key == restoration.CheckScuffed {
			return []string{c.Key}
		}
	}
	return nil
}

// findKind makes Find the main thing to do as long as there is nothing to pick.
func (v findView) findKind() string {
	if len(v.Tiles) > 0 {
		return ""
	}
	return "main"
}

// current marks the link of what is shown.
func current(active bool) templ.Attributes {
	if active {
		return templ.Attributes{"aria-current": "true"}
	}
	return nil
}

// wrong describes a field by its error.
func wrong(fault string) templ.Attributes {
	if fault == "" {
		return nil
	}
	return templ.Attributes{"aria-invalid": "true", "aria-describedby": "pin-error"}
}

func reasonID(i int) string { return "reason-" + strconv.Itoa(i) }

// defectBase is the surface on which a defect's picture shows it.
func defectBase(key string) string {
	switch key {
	case "rust-through":
		return "#c2c8cd"
	case "pinholes", "sand-through", "scratch-swelling", "dent-missed", "flash-rust":
		return "#a9aba7"
	case restoration.DefectOther:
		return "#fbfaf6"
	}
	return "#9a6a3c"
}

// grained tells whether the defect's picture shows grain below it.
func grained(key string) bool {
	switch key {
	case "rust-through", "pinholes", "sand-through", "scratch-swelling", "dent-missed", "flash-rust", "blister", "colour-off", "orange-peel",
		"too-thin", restoration.DefectOther:
		return false
	}
	return true
}

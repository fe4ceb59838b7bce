package bench

import (
	"slices"
	"strings"

	"scumble/internal/restoration"
)

// whyView asks for the reason that the rules want before something is saved, and for a
// word that a figure is meant so. Both stay out of sight while nothing asks for them.
type whyView struct {
	Needs []string // sentences that want a reason
	Asks  []string // figures that look mistyped
	Shown bool     // the reason is asked for from the start, though another part of the page says why
	Picks []string // reasons at one touch
	Own   string   // what was written
	Pick  string   // what was picked
	Sure  bool
	Error string
}

func whyOf(f *restoration.Facts, picks []string) whyView {
	return whyView{Needs: f.Needs, Asks: f.Asks, Picks: picks}
}

// The reasons that mostly are the case; anything else can be written.
var (
	coatReasons   = []string{"Owner said so", "Tested on a sample", "No other at hand", "Noticed too late"}
	strikeReasons = []string{"Entered twice", "Wrong piece", "Wrong figure", "Was not done"}
)

func tickReasons(look restoration.Look) []string {
	switch look {
	case restoration.LookCleared:
		return []string{"Coats were not logged", "Fewer coats agreed", "Owner said so"}
	case restoration.LookCut:
		return []string{"Owner said so", "Measured at every spot"}
	case restoration.LookFitted:
		return []string{"Looks right in the car", "Owner said so", "Customer accepts it"}
	}
	return []string{"Owner said so"}
}

// wants tells what a refused entry lacks: "reason", "sure", or "" nothing of the kind.
// The rules end their sentences so.
func wants(out restoration.Outcome) string {
	switch {
	case out.Result != restoration.Refused:
		return ""
	case strings.HasSuffix(out.Reason, "or say why it is so."):
		return "reason"
	case strings.HasSuffix(out.Reason, "or confirm that it is so."):
		return "sure"
	}
	return ""
}

// fail says at the reason that it is missing, where the sentences that ask for it stand
// on the page already, above it or in beside: they are not said twice. It tells whether it did.
func (v *whyView) fail(refusal string, beside []string) bool {
	rest := restoration.Timeless(refusal) // a minute may have gone by
	for _, says := range slices.Concat(beside, v.Needs) {
		rest = strings.Replace(rest, restoration.Timeless(says), "", 1)
	}
	if rest = strings.TrimSpace(rest); rest == restoration.Timeless(refusal) || strings.Count(rest, ". ") > 0 {
		return false // something that the page doesn't say
	}
	v.Error = rest
	return true
}

func (v whyView) reasonShown() bool { return v.Shown || len(v.Needs) > 0 || v.Own+v.Pick+v.Error != "" }
func (v whyView) sureShown() bool   { return len(v.Asks) > 0 || v.Sure }

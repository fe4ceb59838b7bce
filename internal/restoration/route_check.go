package restoration

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// The bounds of a route. They catch slips, not opinions.
const (
	MaxStages   = 20
	maxChecks   = 20
	maxText     = 300              // signs of a check or caution
	maxPurpose  = 500              // signs
	maxStandard = 1000 * 60        // minutes of one stage of one piece
	maxWait     = Minutes(525_600) // a year
	maxSetUp    = 7 * 24 * 60      // minutes
)

// CheckRoute lists what can't be right in a route whose keys are made
// ([Route.WithKeys]). A problem stands at the field "name", "stages", or "stages.2.name"
// with the stage counted from 0 and the JSON name of what is at fault. Nil is all right.
func CheckRoute(r Route) []*Problem {
	var found []*Problem
	if p := CheckName("name", "A route", r.Name); p != nil {
		found = append(found, p)
	}
	add := func(format string, args ...any) {
		found = append(found, Problemf(TroubleInvalid, "stages", format, args...))
	}
	switch n := len(r.Stages); {
	case n == 0:
		add("A route needs a stage: add at least one.")
	case n > MaxStages:
		add("A route has at most %d stages; this one has %d. Put some together.", MaxStages, n)
	}
	repairs, last := 0, len(r.Stages)-1
	for i, s := range r.Stages {
		found = append(found, stageFaults{i, s}.list()...)
		if r.Position(s.Key) != i {
			found = append(found, Problemf(TroubleInvalid, fmt.Sprintf("stages.%d.key", i),
				"Stage %d has the key %q of an earlier one: give each stage its own.", i+1, s.Key))
		}
		if s.Repair {
			repairs++
		}
	}
	if repairs > 1 {
		add("A route has at most one stage for repairs: the hours of all faults stand on it.")
	}
	if last >= 0 && r.Stages[last].Repair {
		add("The stage for repairs can't be the last: something must come after it.")
	}
	return found
}

// stageFaults looks one stage over.
type stageFaults struct {
	index int
	stage Stage
}

func (f stageFaults) list() []*Problem {
	found := f.words()
	s := f.stage
	if !slices.Contains(Looks(), s.Look) {
		found = append(found, f.at("look", "choose one of the swatches."))
	}
	if !slices.Contains(Needs(), s.Need) {
		found = append(found, f.at("need", "what it does first is one of nothing, recoat, sand, polish or fit."))
	}
	for _, e := range []struct {
		field string
		hours Estimate
	}{{"small", s.Small}, {"medium", s.Medium}, {"large", s.Large}} {
		if !e.hours.Valid() || e.hours.High > maxStandard {
			found = append(found, f.at(e.field, "the hours of a %s piece must rise from low over likely to high, from 0 to %d.", e.field, maxStandard/60))
		}
	}
	if s.SetUp < 0 || s.SetUp > maxSetUp {
		found = append(found, f.at("set_up", "the shared set-up must be from 0 to %d h.", maxSetUp/60))
	}
	return append(found, f.waits()...)
}

func (f stageFaults) waits() []*Problem {
	var found []*Problem
	w := f.stage.After
	for _, x := range []struct {
		field string
		wait  Minutes
	}{{"recoat_min", w.Recoat}, {"sand_min", w.Sand}, {"polish_min", w.Polish}, {"fit_min", w.Fit}, {"max_recoat_min", w.MaxRecoat}} {
		if x.wait < 0 || x.wait > maxWait {
			found = append(found, f.at("after."+x.field, "a wait must be from nothing to a year."))
		}
	}
	if w.MaxRecoat != 0 && w.MaxRecoat <= w.Recoat {
		found = append(found, f.at("after.max_recoat_min", "the recoat window must shut after it opens; leave it empty when it never shuts."))
	}
	return found
}

func (f stageFaults) words() []*Problem {
	var found []*Problem
	s := f.stage
	if p := CheckName(f.field("name"), fmt.Sprintf("Stage %d", f.index+1), s.Name); p != nil {
		found = append(found, p)
	}
	if !keyForm.MatchString(s.Key) {
		found = append(found, f.at("key", "its key %.70q must have small letters, digits and hyphens only, at most 60.", s.Key))
	}
	if utf8.RuneCountInString(s.Purpose) > maxPurpose {
		found = append(found, f.at("purpose", "its purpose has at most %d characters.", maxPurpose))
	}
	if len(s.Cautions) > maxChecks || slices.ContainsFunc(s.Cautions, badText) {
		found = append(found, f.at("cautions", "it has at most %d cautions of 1 to %d characters.", maxChecks, maxText))
	}
	if len(s.Checks) > maxChecks || slices.ContainsFunc(s.Checks, func(c Check) bool { return badText(c.Text) }) {
		found = append(found, f.at("checks", "it has at most %d checks of 1 to %d characters.", maxChecks, maxText))
	}
	keys := map[string]bool{}
	for _, c := range s.Checks {
		if keys[c.Key] || !keyForm.MatchString(c.Key) {
			found = append(found, f.at("checks", "the key %.70q of a check must be its own, of small letters, digits and hyphens.", c.Key))
		}
		keys[c.Key] = true
	}
	return found
}

func badText(s string) bool {
	n := utf8.RuneCountInString(s)
	return strings.TrimSpace(s) == "" || n > maxText
}

func (f stageFaults) field(name string) string { return fmt.Sprintf("stages.%d.%s", f.index, name) }

// at makes a problem of the stage, which the sentence names first.
func (f stageFaults) at(field, format string, args ...any) *Problem {
	return Problemf(TroubleInvalid, f.field(field), "Stage %d (%.60s): "+format, append([]any{f.index + 1, f.stage.Name}, args...)...)
}

package restoration

import (
	"slices"

	"scumble/internal/coating"
)

// judgeFlatted asks for a reason where clear goes on clear that must be flatted before:
// on that which the piece kept, and on a session that could take no more. What
// [judgement.hold] asked for already is not asked twice.
func (j *judgement) judgeFlatted() {
	if j.facts.Layer != coating.Clear || j.holds {
		return
	}
	under, ok := j.clearUnder()
	switch {
	case !ok:
	case under.StepID != j.event.StepID:
		if !j.scuffedSince(under.At) {
			j.need("The clear that the piece kept was not flatted, or is smooth from polishing: flat it first.")
		}
	case j.event.At.Sub(under.At) > sessionGap && j.fullSession():
		if !j.scuffedSince(under.hardFrom(j.stage, "P800")) {
			j.need("The session before was full, and nothing was flatted since it cured: let it cure, then flat it.")
		}
	}
}

// clearUnder is the last coat of clear that lies on the piece at the hour of the entry.
func (j *judgement) clearUnder() (Deed, bool) {
	if !j.film().Known() {
		return Deed{}, false
	}
	for _, d := range slices.Backward(j.scene.Deeds) {
		if d.Kind == KindCoat && d.Layer == coating.Clear && !d.At.After(j.event.At) {
			return d, true
		}
	}
	return Deed{}, false
}

// fullSession tells whether another coat would have been too much for the last session.
func (j *judgement) fullSession() bool {
	before := slices.DeleteFunc(slices.Clone(j.scene.Deeds), func(d Deed) bool { return d.At.After(j.event.At) })
	return sessionOn(j.event.StepID, before)+j.facts.Film.Likely > j.sessionLimit()
}

// sessionLimit is the most dry clear of a session, in µm: the sheet's, else the shop's.
func (j *judgement) sessionLimit() float64 {
	if m := j.scene.Material; m != nil && m.Limits.SessionMaxUM > 0 {
		return m.Limits.SessionMaxUM
	}
	return j.scene.Film.SessionUM
}

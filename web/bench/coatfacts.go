package bench

import (
	"strconv"
	"time"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// coatFacts say what is sprayed, how much of it is on, and how long it is waited for;
// enough is true once all coats are on.
func (in pieceInput) coatFacts(step restoration.Step, stage restoration.Stage) (facts []ui.Fact, enough bool) {
	on := in.Film.coatsOn(step.ID)
	m := in.chooseMaterial(step, stage)
	material := "none chosen yet"
	if m != nil {
		material = m.Name
	}
	want, agreed := in.coatsWanted(stage, m)
	coats := strconv.Itoa(len(on))
	switch {
	case agreed:
		coats += " of " + strconv.Itoa(want) + " sprayed"
	case want > 0:
		coats += " sprayed, usually " + strconv.Itoa(want)
	default:
		coats += " sprayed"
	}
	enough = want > 0 && len(on) >= want
	facts = []ui.Fact{{Term: "Material", Text: material}, {Term: "Coats", Text: coats}}
	between, after := in.coatWaits(stage, m, on)
	if says := in.flatFirst(m); says != "" {
		between = says
	}
	if between != "" && !enough {
		facts = append(facts, ui.Fact{Term: "Between coats", Text: between})
	}
	if after != "" {
		facts = append(facts, ui.Fact{Term: "After the last coat", Text: after})
	}
	return facts, enough
}

// coatsWanted is how many coats there are to be, and whether the car's scheme says so;
// else it is what is usual for the material. 0: nobody says.
func (in pieceInput) coatsWanted(stage restoration.Stage, m *restoration.Material) (want int, agreed bool) {
	if n := in.Film.Scene.Scheme.ClearCoats; n > 0 && restoration.LayerOf(stage.Look) == coating.Clear {
		return n, true
	}
	if m == nil {
		return 0, false
	}
	return m.UsualCoats(), false
}

// coatWaits tell the two waits of a coat apart: the flash-off between the coats of one
// session, with what is left of it, and the longer waits after the last coat.
func (in pieceInput) coatWaits(stage restoration.Stage, m *restoration.Material, on []restoration.Deed) (between, after string) {
	if m == nil {
		return "", restWords(stage.After)
	}
	at, _ := m.WaitsAt(in.Film.Scene.TempC(), in.Film.Scene.Film.Per10C)
	if flash := restoration.Minutes(at.Flash); flash > 0 {
		between = "flash off " + flash.String()
		if len(on) > 0 {
			between += in.flashLeft(on[len(on)-1].At.Add(flash.Duration()))
		}
	}
	waits := restoration.Waits{Recoat: restoration.Minutes(at.Recoat), Sand: restoration.Minutes(at.Sand),
		Polish: restoration.Minutes(at.Polish), Fit: restoration.Minutes(at.Fit), MaxRecoat: restoration.Minutes(at.MaxRecoat)}
	if waits == (restoration.Waits{}) {
		waits = stage.After
	}
	return ui.Unbroken(between), ui.Unbroken(restWords(waits))
}

// flashLeft says when the coat before will have flashed off, rounded up to the minute; ""
// it has.
func (in pieceInput) flashLeft(from time.Time) string {
	left := from.Sub(in.Now)
	if left <= 0 {
		return ""
	}
	whole := restoration.Minutes((left + time.Minute - 1) / time.Minute)
	return ": wait " + whole.String() + ", until " + ui.Clock(from, in.Now, in.Loc)
}

// lapses are those of whoever is signed in.
func (in pieceInput) lapses(stage restoration.Stage, m *restoration.Material) []ui.Notice {
	return lapses(in.Film.Papers, in.Actor.PersonID, stage, m, in.Now, in.Loc)
}

// lapses are the trainings and fit tests of a person that have run out or soon will,
// where the stage sprays isocyanate.
func lapses(papers []restoration.Certificate, person int64, stage restoration.Stage, m *restoration.Material, now time.Time, loc *time.Location) []ui.Notice {
	if !restoration.SpraysIsocyanate(stage, m) {
		return nil
	}
	y, month, d := now.In(loc).Date()
	var list []ui.Notice
	for _, l := range restoration.SprayLapses(papers, person, time.Date(y, month, d, 0, 0, 0, 0, time.UTC)) {
		n := ui.Notice{Kind: ui.NoticeInfo, Text: l.Words()}
		if l.RunOut {
			n.Kind = ui.NoticeCaution
		}
		list = append(list, n)
	}
	return list
}

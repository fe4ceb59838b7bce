package restoration

import (
	"fmt"
	"slices"

	"scumble/internal/coating"
	"scumble/internal/colour"
)

// FilmScene is what the shop knows when an entry about the film comes.
type FilmScene struct {
	Film   FilmSettings
	Units  Units
	Scheme Scheme // the stock one where the car has none
	Agreed bool   // the car has a scheme: its coats, gloss and colour are asked for

	Material *Material // of a coat; nil: none of the shop's list
	Lots     []Lot     // those that the entry names, as far as they exist
	Tins     []int     // parts of the material of which the shop has tins in use; those in Lots tell that too
	Air      *AirWords // a sensor's, where the entry says nothing; nil: no sensor

	Deeds   []Deed          // of the piece, in the order in which they happened
	Car     []Deed          // ground and grain coats on the car's other pieces
	Colours []colour.Sample // grounds of the set's other pieces, the latest reading of each
	Struck  *Deed           // strike: what is struck out; nil: not there
}

// PieceScene is a piece with what an entry about its film would be judged by.
type PieceScene struct {
	Piece Piece
	Scene FilmScene
}

// NeedsFacts tells whether the rules want to know about the film before an event on
// the piece is applied: entries of the film do, ticks that it gates, and a send-back that
// makes nothing rework.
func NeedsFacts(p Piece, r Route, e Event) bool {
	switch e.Kind {
	case KindCoat, KindCutPass, KindReading, KindStrike:
		return true
	case KindTick:
		switch stageOf(p, r, e.StepID).Look {
		case LookGrained, LookCleared, LookCut, LookFitted:
			return true
		}
	case KindSendBack:
		return p.onlyPlanned(e.Stage)
	}
	return false
}

// FilmOthers tells what of a car's other pieces the rules look at in an event about the
// film: the coats of ground and grain, the colours of the set.
func FilmOthers(p Piece, r Route, e Event) (coats, colours bool) {
	look := stageOf(p, r, e.StepID).Look
	switch e.Kind {
	case KindCoat:
		return look != LookPrimed && look != LookCleared, false
	case KindTick:
		return look == LookGrained, look == LookFitted
	case KindReading:
		return false, e.Reading != nil && e.Reading.Kind == ReadColour
	}
	return false, false
}

func stageOf(p Piece, r Route, step ID) Stage {
	if i := slices.IndexFunc(p.Steps, func(s Step) bool { return s.ID == step }); i >= 0 {
		stage, _ := r.Stage(p.Steps[i].Stage)
		return stage
	}
	return Stage{}
}

// Judge works out the facts of an entry about the film, of a tick that the film gates, or
// of a send-back. It refuses nothing: what must be said or confirmed stands in the facts, and
// [Apply] holds the entry to it.
func Judge(p Piece, r Route, e Event, sc FilmScene) *Facts {
	j := judgement{piece: p, route: r, event: e, scene: sc, stage: stageOf(p, r, e.StepID)}
	switch e.Kind {
	case KindCoat:
		j.coat()
	case KindCutPass:
		j.cutPass()
	case KindReading:
		j.reading()
	case KindStrike:
		return j.strike()
	case KindTick:
		j.tick()
	case KindSendBack:
		if p.onlyPlanned(e.Stage) {
			j.facts.Sum = NoRework
		}
	}
	return &j.facts
}

// judgement gathers the facts of one entry.
type judgement struct {
	piece Piece
	route Route
	event Event
	stage Stage
	scene FilmScene
	facts Facts

	window coating.Verdict // of a coat: what its air says
	holds  bool            // of a coat: a need asks for what roughens or hardens the coat under it
}

// hold is [judgement.need] where flatting would be the answer: see [judgement.judgeFlatted].
func (j *judgement) hold(format string, args ...any) {
	j.holds = true
	j.need(format, args...)
}

func (j *judgement) need(format string, args ...any) {
	j.facts.Needs = append(j.facts.Needs, fmt.Sprintf(format, args...))
}

func (j *judgement) warn(format string, args ...any) {
	j.facts.Warnings = append(j.facts.Warnings, fmt.Sprintf(format, args...))
}

func (j *judgement) ask(format string, args ...any) {
	j.facts.Asks = append(j.facts.Asks, fmt.Sprintf(format, args...))
}

func (j *judgement) um(v float64) string { return FilmWords(v, j.scene.Units) }

// Policy is what the film of a piece is measured against.
func (sc FilmScene) Policy() coating.Policy {
	return coating.Policy{FloorUM: sc.Scheme.FloorUM, WarnUM: sc.Film.WarnUM, EdgeFactor: sc.Film.EdgeFactor,
		SessionLimitUM: sc.Film.SessionUM, BuildUM: sc.Scheme.BuildUM}
}

// film is the film as it stood at the hour of the entry, and with what was done then.
func (j *judgement) film(then ...Deed) coating.Film {
	before := slices.DeleteFunc(slices.Clone(j.scene.Deeds), func(d Deed) bool { return d.At.After(j.event.At) })
	return FilmOf(j.piece, j.route, append(before, then...), j.scene.Policy())
}

func (j *judgement) tick() {
	switch j.stage.Look {
	case LookGrained:
		j.tickGrained()
	case LookCleared:
		j.tickCleared()
	case LookCut:
		j.tickCut()
	case LookFitted:
		j.tickFitted()
	}
}

func (j *judgement) tickGrained() {
	var lots []int64
	for _, d := range j.scene.Deeds {
		if d.Kind == KindCoat && d.Layer == coating.Ground && j.piece.current(d.StepID) {
			for _, use := range d.Lots {
				lots = append(lots, use.Lot)
			}
		}
	}
	wanted := j.scene.Scheme.GroundLot
	switch {
	case !j.scene.Agreed:
	case len(lots) == 0:
		j.warn("No ground lot is recorded on this piece.")
	case wanted != 0 && !slices.Contains(lots, wanted):
		j.warn("The ground is of another lot than %s asks for.", j.scene.Scheme.Title())
	}
	j.sameHand()
}

// sameHand points out another person's grain on the same car.
func (j *judgement) sameHand() {
	for _, d := range j.scene.Car {
		if d.Layer == coating.Grain && d.PersonID != 0 && d.PersonID != j.event.PersonID {
			j.warn("%s grained other pieces of this car: one hand grains a whole car.", named(d.Person))
			return
		}
	}
}

func (j *judgement) tickCleared() {
	coats, film := len(ClearCoats(j.piece, j.route, j.scene.Deeds)), j.film()
	if want := j.scene.Scheme.ClearCoats; j.scene.Agreed && coats < want {
		j.need("%s asks for %d coats of clear, %d logged so far.", capital(j.scene.Scheme.Title()), want, coats)
	}
	if coats > 0 && film.Clear.Likely < j.scene.Scheme.BuildUM {
		j.warn("About %s of clear, %s are wanted.", j.um(film.Clear.Likely), j.um(j.scene.Scheme.BuildUM))
	}
	j.facts.Sum = FilmSentence(film, j.scene.Scheme, j.scene.Units)
}

func (j *judgement) tickCut() {
	film := j.film()
	switch {
	case !film.Known() && j.scene.Agreed:
		j.warn("No clear is logged, so nobody knows how much is left.")
	case !film.Known():
	case film.BelowFloor:
		j.need("As little as %s of clear may be left%s, under the floor of %s.", j.um(film.Edge.Low), atEdges(film), j.um(j.scene.Scheme.FloorUM))
	case film.NearFloor:
		j.warn("Only %s above the floor.", j.um(film.MayGoUM))
	}
	j.facts.Sum = FilmSentence(film, j.scene.Scheme, j.scene.Units)
}

// tickFitted asks for the gloss and the colour that the scheme names. The set alone
// asks for no reading, but one that was taken must match it.
func (j *judgement) tickFitted() {
	gloss, ground := LatestReading(j.piece, j.route, j.scene.Deeds, ReadGloss), LatestReading(j.piece, j.route, j.scene.Deeds, ReadColour)
	switch want := j.scene.Scheme.Gloss; {
	case want == nil:
	case gloss == nil:
		j.need("No gloss is measured since the clear was cut; %s is wanted.", want)
	default:
		j.judgeGloss(*gloss.Gloss, *want, j.need)
	}
	switch {
	case ground == nil && j.scene.Scheme.Ground != nil:
		j.need("No colour is measured on this piece; %s names one.", j.scene.Scheme.Title())
	case ground == nil && len(j.scene.Colours) > 0:
		j.warn("No colour is measured on this piece, and others of its set have one.")
	case ground != nil:
		j.judgeColour(*ground.Lab, j.need)
	}
}

func (j *judgement) judgeGloss(have, want colour.Gloss, say func(string, ...any)) {
	within, err := colour.GlossWithin(want, have, j.scene.Film.GlossGU)
	switch {
	case err != nil:
		j.warn("%s.", capital(err.Error()))
	case !within:
		say("Gloss is %s, %s is wanted.", have, want)
	}
}

func (j *judgement) judgeColour(lab colour.Lab, say func(string, ...any)) {
	if want := j.scene.Scheme.Ground; want != nil {
		if d := colour.DeltaE2000(lab, *want); d > j.scene.Film.OwnDeltaE {
			say("The ground is ΔE %.1f off %s, %.1f is allowed.", d, j.scene.Scheme.Title(), j.scene.Film.OwnDeltaE)
		}
	}
	worst, other := 0.0, ""
	for _, s := range j.scene.Colours {
		if d := colour.DeltaE2000(lab, s.Lab); d > worst {
			worst, other = d, s.Name
		}
	}
	if worst > j.scene.Film.SetDeltaE {
		say("The ground is ΔE %.1f off %s of the same set, %.1f is allowed.", worst, other, j.scene.Film.SetDeltaE)
	}
}

// current tells whether a step of the piece still counts.
func (p Piece) current(step ID) bool {
	return slices.ContainsFunc(p.Steps, func(s Step) bool { return s.ID == step && s.Current() })
}

// strike finds what is struck out, and the coat that is the step's last without it.
func (j *judgement) strike() *Facts {
	struck := j.scene.Struck
	if struck == nil {
		return nil
	}
	f := &Facts{Layer: struck.Layer, Material: struck.Name}
	if struck.Kind != KindCoat {
		return f
	}
	f.StepID = struck.StepID
	for _, d := range j.scene.Deeds {
		if d.Kind == KindCoat && d.StepID == struck.StepID && d.EventID != struck.EventID && d.Waits != nil {
			f.CoatedAt, f.Waits = d.At, d.Waits
		}
	}
	return f
}

// FilmSentence says in one sentence how much clear is left and how much of it may go:
// "About 118 µm clear, at least 95 µm: 45 µm may go down to the floor of 50 µm." What is
// not logged it says too.
func FilmSentence(f coating.Film, s Scheme, units Units) string {
	return filmSentence(f, s, units, "%s may go down to the floor of %s")
}

// FilmAtRest is [FilmSentence] of a piece of which nothing is to be cut now, since its
// last coat hardens or it is finished: "About 118 µm clear, at least 95 µm: 45 µm above
// the floor of 50 µm." invites nobody to cut.
func FilmAtRest(f coating.Film, s Scheme, units Units) string {
	return filmSentence(f, s, units, "%s above the floor of %s")
}

// filmSentence says with left how far the clear is above its floor, and what that is.
func filmSentence(f coating.Film, s Scheme, units Units, left string) string {
	um := func(v float64) string { return FilmWords(v, units) }
	switch {
	case f.Gone:
		return "No clear is left: what was logged of it went off when the piece was sent back."
	case !f.Known():
		return "No clear is logged yet."
	case f.BelowFloor:
		return fmt.Sprintf("About %s clear, perhaps only %s%s: nothing may go, the floor is %s.%s",
			um(f.Clear.Likely), um(f.Edge.Low), atEdges(f), um(s.FloorUM), ofWhatStayed(f, units))
	}
	return fmt.Sprintf("About %s clear, at least %s%s: %s.%s",
		um(f.Clear.Likely), um(f.Edge.Low), atEdges(f), fmt.Sprintf(left, um(f.MayGoUM), um(s.FloorUM)), ofWhatStayed(f, units))
}

// ofWhatStayed says how much of the clear is perhaps that of an earlier pass; a gauge
// leaves no doubt of it.
func ofWhatStayed(f coating.Film, units Units) string {
	i := slices.IndexFunc(f.Sessions, func(s coating.SessionFilm) bool { return s.Name == coating.Stayed })
	if i < 0 || f.ByGauge {
		return ""
	}
	return fmt.Sprintf(" Up to %s of it is clear that stayed from before.", FilmWords(min(f.Sessions[i].On.High, f.Clear.High), units))
}

// atEdges says where the least is, when edges hold less than the flat.
func atEdges(f coating.Film) string {
	if f.Edge.Low < f.Clear.Low {
		return " at the edges"
	}
	return ""
}

package bench

import (
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// filmInput is what a piece's pages show of its finish.
type filmInput struct {
	Scene     restoration.FilmScene
	Materials []restoration.Material    // in use; loaded where a coat may be logged
	Lots      []restoration.Lot         // that are open to use, of all materials
	Seen      map[string]time.Time      // when the person last read which cautions, by [restoration.CautionSubject], today
	Papers    []restoration.Certificate // of everybody; loaded where the next stage is sprayed
}

// loadFilm adds what is known of the piece's finish, where that is not done yet; the choice
// of materials only where the next stage is sprayed.
func (b *Bench) loadFilm(r *http.Request, in *pieceInput) (err error) {
	if in.Film != nil {
		return nil
	}
	film := &filmInput{}
	if film.Scene, err = b.shop.FilmScene(r.Context(), in.Piece.ID); err != nil {
		return err
	}
	stage, _ := in.Route.Stage(in.Piece.Sum.NextStage)
	if len(stage.Cautions) > 0 || restoration.LayerOf(stage.Look) != "" {
		if film.Seen, err = b.shop.CautionsSeen(r.Context(), in.Actor.PersonID, in.Now.Add(-seenToday)); err != nil {
			return err
		}
	}
	in.Film = film
	if restoration.LayerOf(stage.Look) == "" {
		return nil
	}
	return b.loadSpraying(r, film)
}

// loadSpraying adds what matters only where a coat may be logged.
func (b *Bench) loadSpraying(r *http.Request, film *filmInput) (err error) {
	if film.Materials, err = b.shop.Materials(r.Context()); err != nil {
		return err
	}
	film.Materials = slices.DeleteFunc(film.Materials, func(m restoration.Material) bool { return !m.Retired.IsZero() })
	if film.Lots, err = b.shop.Lots(r.Context()); err != nil {
		return err
	}
	film.Lots = slices.DeleteFunc(film.Lots, func(l restoration.Lot) bool { return !l.Closed.IsZero() })
	film.Papers, err = b.shop.Certificates(r.Context())
	return err
}

// filmView is the finish on a piece's page.
type filmView struct {
	Now      *ui.FilmProps // nil: not yet, or no matter at this stage
	Facts    []ui.Fact     // of the recipe
	Main     string        // what is logged at this stage: "coat" or "cut"; "" nothing
	Enough   bool          // all coats are on, or a pass is logged: Done comes next
	First    string        // what the clear needs before its next coat; "" nothing
	Sanded   bool          // that is to be sanded, and it is hard enough
	Sand     bool          // sanding is logged here as well
	Waits    bool          // the facts say the waits of the coat, so the stage's usual ones are left out
	Alert    string        // at the cut: why the clear may be too thin to be done; "" nothing
	Measured bool          // the clear stands as a gauge found it: no cut since
	Lapses   []ui.Notice   // of the person's own trainings and fit tests
	Lines    []deedLine    // what was sprayed, sanded off and measured, newest first
	Warnings []string      // that a tick would get
	Why      whyView       // of the tick
	Cautions *cautionView  // to be read before the first work of the day; nil: read
}

// deedLine is an entry of the film.
type deedLine struct{ Words, Who, When, StrikeHref string }

func buildFilm(in pieceInput, step restoration.Step, stage restoration.Stage) *filmView {
	if in.Film == nil {
		return nil
	}
	v := &filmView{Lines: deedLines(in)}
	if step.ID.IsZero() {
		return v
	}
	film := in.film()
	layer := restoration.LayerOf(stage.Look)
	switch stage.Look {
	case restoration.LookCleared, restoration.LookCut, restoration.LookFitted:
		props := in.filmProps(film, stage)
		v.Now = &props
	}
	v.Sand = restoration.CutLayer(stage.Look) != ""
	switch {
	case layer != "":
		v.Main = "coat"
		v.Facts, v.Enough = in.coatFacts(step, stage)
		v.Waits = true
		v.First, v.Sanded = in.firstOfAll(step, stage, v.Enough)
		v.Lapses = in.lapses(stage, in.chooseMaterial(step, stage))
	case stage.Look == restoration.LookCut:
		v.Main = "cut"
		v.Alert, v.Measured = in.filmAlert(film), film.ByGauge && !film.Since.Cut
		v.Enough = slices.ContainsFunc(in.Film.Scene.Deeds, func(d restoration.Deed) bool {
			return d.Kind == restoration.KindCutPass && d.StepID == step.ID
		})
	}
	v.Cautions = cautionsDue(in, stage, in.chooseMaterial(step, stage))
	facts := in.judge(restoration.Event{Kind: restoration.KindTick, StepID: step.ID})
	v.Warnings = facts.Warnings
	v.Why = whyOf(facts, tickReasons(stage.Look))
	return v
}

// film is what lies on the piece now.
func (in pieceInput) film() coating.Film {
	return restoration.FilmOf(in.Piece, in.Route, in.Film.Scene.Deeds, in.Film.Scene.Policy())
}

// filmProps draws it, as the stage that comes next finds it.
func (in pieceInput) filmProps(film coating.Film, stage restoration.Stage) ui.FilmProps {
	sc := in.Film.Scene
	p := ui.FilmProps{Label: in.Piece.Title(), Film: film, Building: in.Piece.Building(in.Route), Finish: sc.Scheme, Units: sc.Units, Colours: scheme(in.Car)}
	return p.Hardening(in.softness(), stage.Look, in.Now, in.Loc)
}

// judge asks the rules what an entry of the film would be told, were it made now.
func (in pieceInput) judge(e restoration.Event) *restoration.Facts {
	e.PersonID, e.DeviceID, e.PieceID, e.At, e.Arrived = in.Actor.PersonID, in.Actor.DeviceID, in.Piece.ID, in.Now, in.Now
	sc := in.Film.Scene
	if e.Coat != nil {
		sc.Material, sc.Lots = in.Film.material(e.Coat.Material), in.Film.Lots
	}
	if facts := restoration.Judge(in.Piece, in.Route, e, sc); facts != nil {
		return facts
	}
	return &restoration.Facts{}
}

func (f *filmInput) material(id int64) *restoration.Material {
	i := slices.IndexFunc(f.Materials, func(m restoration.Material) bool { return m.ID == id })
	if i < 0 {
		return nil
	}
	return &f.Materials[i]
}

// coatsOn are the coats logged on a step.
func (f *filmInput) coatsOn(step restoration.ID) []restoration.Deed {
	var on []restoration.Deed
	for _, d := range f.Scene.Deeds {
		if d.Kind == restoration.KindCoat && d.StepID == step {
			on = append(on, d)
		}
	}
	return on
}

// sprayedWait says what a wait goes by where it is that of a coat that was really sprayed
// and logged; "" where the route's standard times hold, as they do of a blocked piece that dries.
func (in pieceInput) sprayedWait(next restoration.Step) string {
	after := in.Piece.WaitsAfter(in.Route, next)
	if after.CoatWaits == nil {
		return ""
	}
	by := "its sheet"
	if on := in.Film.coatsOn(after.ID); len(on) > 0 {
		by = "the sheet of " + on[len(on)-1].Name
	}
	return "By " + by + " and the air it was sprayed in. A cold night takes longer."
}

// deedLines tell the film, newest first.
func deedLines(in pieceInput) []deedLine {
	var lines []deedLine
	for _, d := range slices.Backward(in.Film.Scene.Deeds) {
		lines = append(lines, deedLine{
			Words: in.deedWords(d), Who: d.Person, When: ui.When(d.At, in.Loc),
			StrikeHref: piecePath(in.Piece.ID) + "/strike?ref=" + d.EventID.String(),
		})
	}
	return lines
}

// deedWords tells an entry of the film as the ledger does.
func (in pieceInput) deedWords(d restoration.Deed) string {
	e := restoration.Entry{Event: restoration.Event{Kind: d.Kind}, Outcome: restoration.Outcome{Result: restoration.Applied}}
	if stage, ok := in.Route.Stage(d.Stage); ok {
		e.Stage = stage.Name
	}
	switch d.Kind {
	case restoration.KindCoat:
		e.Event.Coat = &restoration.Coat{Number: d.Number}
		e.Event.Facts = &restoration.Facts{Material: d.Name, Film: &d.Film}
	case restoration.KindCutPass:
		e.Event.Cut = &restoration.CutPass{Grade: d.Name}
		e.Event.Facts = &restoration.Facts{Film: &d.Film}
	case restoration.KindReading:
		e.Event.Reading = d.Reading
	}
	return restoration.Words(e, in.Units)
}

// tempUnit and filmUnit are the units of the shop's figures.
func tempUnit(u restoration.Units) string {
	if u == restoration.US {
		return "°F"
	}
	return "°C"
}

func filmUnit(u restoration.Units) string {
	if u == restoration.US {
		return "mil"
	}
	return "µm"
}

// shownTemp writes a temperature in the shop's unit, "" for none.
func shownTemp(c *float64, u restoration.Units) string {
	if c == nil {
		return ""
	}
	v := *c
	if u == restoration.US {
		v = coating.DegreesF(v)
	}
	return trimmed(v, 1)
}

// trimmed writes a number with at most so many places.
func trimmed(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

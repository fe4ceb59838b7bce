package office

import (
	"net/http"
	"slices"
	"strings"
	"time"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
	"scumble/web"
)

// filmKinds are the entries about the film.
func filmKinds() []restoration.Kind {
	return []restoration.Kind{restoration.KindCoat, restoration.KindCutPass, restoration.KindReading, restoration.KindStrike}
}

// enterFilm takes a coat, a cutting pass, readings or a strike from a form. What the
// rules would ask for is asked at its field first, so that nothing typed is lost, and what
// they warn of is said before it is logged.
func (o *Office) enterFilm(w http.ResponseWriter, r *http.Request) error {
	piece, f, err := o.pieceForm(w, r)
	if err != nil {
		return err
	}
	route, err := o.shop.FindRoute(r.Context(), piece.RouteID)
	if err != nil {
		return err
	}
	films, err := o.loadFilm(r, piece, f)
	if err != nil {
		return err
	}
	events := o.filmEvents(r, f, piece, route, films)
	if f.ok() {
		car, err := o.shop.FindCarByID(r.Context(), piece.CarID)
		if err != nil {
			return err
		}
		for _, e := range events {
			if !films.logged(e.ID) { // else the form was sent twice, and the ledger answers as before
				f.ask(car.State, piece, route, e, films, visitOf(r).Now)
			}
		}
	}
	if !f.ok() || f.unheard() {
		return o.drawPiece(w, r, http.StatusUnprocessableEntity, piece, f)
	}
	for _, e := range events {
		if err := o.enter(r, e, stageOf(e, piece, route)); err != nil {
			return err
		}
	}
	return web.SeeOther(w, r, piecePath(piece.ID))
}

// filmEvents reads the entries of a form: readings make one for each thing measured.
func (o *Office) filmEvents(r *http.Request, f *form, piece restoration.Piece, route restoration.Route, films filmData) []restoration.Event {
	v := visitOf(r)
	e := o.event(r, f, oneOf(f, "kind", filmKinds()))
	e.CarID, e.PieceID, e.Reason = piece.CarID, piece.ID, ""
	if when := filmWhen[e.Kind]; when != "" {
		e.At = f.happened(when, e.At, v.Loc)
	}
	unit := v.units()
	switch e.Kind {
	case restoration.KindCoat:
		e.StepID, e.Coat, e.Reason = f.stepOf(coatStep, piece), readCoat(f, unit, films), f.text(coatReason)
		e.Checks = f.checks(map[string]string{coatSure: restoration.CheckSure, coatScuffed: restoration.CheckScuffed})
		if e.Coat.Number == 0 {
			e.Coat.Number = nextCoat(films.Scene.Deeds, e.StepID)
		}
		if sc := sceneFor(films, e, v.Now); sc.Material != nil && e.Coat.ML == 0 {
			e.Coat.SheetML = restoration.SheetML(piece, route, e.StepID, *sc.Material, sc)
		}
	case restoration.KindCutPass:
		e.StepID, e.Cut, e.Reason = f.stepOf(cutStep, piece), readCut(f, unit), f.text(cutReason)
	case restoration.KindReading:
		e.Reason, e.Checks = f.text(readReason), f.checks(map[string]string{readSure: restoration.CheckSure})
		return readingEvents(f, e, unit)
	case restoration.KindStrike:
		e.Ref, e.Reason = f.id(strikeRef), f.required(strikeReason, "Say what was wrong with the entry.")
	}
	return []restoration.Event{e}
}

// filmWhen are the fields in which the forms about the film say when it happened.
var filmWhen = map[restoration.Kind]string{
	restoration.KindCoat: "coat_when", restoration.KindCutPass: "cut_when", restoration.KindReading: "read_when",
}

// stepOf reads a step of the piece.
func (f *form) stepOf(name string, piece restoration.Piece) restoration.ID {
	for _, s := range piece.Steps {
		if s.ID.String() == f.get(name) {
			return s.ID
		}
	}
	f.fault(name, "Choose the stage on which it was done.")
	return restoration.ID{}
}

// checks reads the ticks of a form as the checks of an entry.
func (f *form) checks(keys map[string]string) []string {
	var out []string
	for name, key := range keys {
		if f.ticked(name) {
			out = append(out, key)
		}
	}
	slices.Sort(out)
	return out
}

func readCoat(f *form, unit units, films filmData) *restoration.Coat {
	c := &restoration.Coat{
		Number: int(f.whole(coatNumber)), WetUM: f.stated(coatWet, unit.film), Thinned: f.share(coatThinned, "More thinner", 1, 0),
		ML:  f.amount(coatML, unit.volume, 0),
		Air: &restoration.AirWords{AirC: f.stated(coatAir, unit.temp), SurfaceC: f.stated(coatSurface, unit.temp), Humidity: f.stated(coatHumidity, plain)},
	}
	if *c.Air == (restoration.AirWords{}) {
		c.Air = nil // then a sensor's counts
	}
	c.Material = f.whole(coatMaterial)
	if !slices.ContainsFunc(films.Materials, func(m restoration.Material) bool { return m.ID == c.Material }) {
		f.fault(coatMaterial, "Choose what was sprayed.")
	}
	for _, s := range f.values[coatTin] {
		i := slices.IndexFunc(films.Lots, func(l restoration.Lot) bool { return formatID(l.ID) == s })
		if i < 0 {
			f.fault(coatTin, "That tin is no longer on the list. Load the page again.")
			continue
		}
		c.Lots = append(c.Lots, restoration.LotUse{Lot: films.Lots[i].ID})
	}
	if wet := c.WetUM; wet != nil && !(*wet > 0) {
		f.fault(coatWet, "The wet film is more than 0. Leave it empty where the comb was not used.")
	}
	return c
}

func readCut(f *form, unit units) *restoration.CutPass {
	c := &restoration.CutPass{Grade: f.needed(cutGrade, "Say with which grade: P1500, compound, polish."), Wet: f.ticked(cutWet)}
	if off := f.stated(cutOff, unit.film); off != nil {
		if *off < 0 {
			f.fault(cutOff, "What was taken off can't be negative.")
		}
		c.Off = new(coating.Exactly(*off))
	}
	return c
}

// readingEvents makes an entry of each thing that was measured at a spot.
func readingEvents(f *form, e restoration.Event, unit units) []restoration.Event {
	spot := f.line(readSpot)
	var found []restoration.Reading
	if films := f.films(readFilms, unit.film); len(films) > 0 {
		found = append(found, restoration.Reading{Kind: restoration.ReadFilm, FilmUM: films, Baseline: f.ticked(readBaseline)})
	}
	if gu := f.stated(readGloss, plain); gu != nil {
		g := colour.Gloss{GU: *gu, Angle: int(f.whole(readAngle))}
		if err := g.Check(); err != nil {
			f.fault(readGloss, "%s.", upperFirst(err.Error()))
		}
		found = append(found, restoration.Reading{Kind: restoration.ReadGloss, Gloss: &g})
	}
	if lab := f.lab(); lab != nil {
		found = append(found, restoration.Reading{Kind: restoration.ReadColour, Lab: lab, UnderClear: f.ticked(readUnder)})
	}
	if len(found) == 0 {
		f.fault(readFilms, "Type what was measured: a film, a gloss or a colour.")
	}
	var events []restoration.Event
	for i, r := range found {
		one := e
		r.Spot, one.Reading = spot, &r
		if i > 0 {
			one.ID = e.ID.Derive(string(r.Kind)) // so that the form sent twice is the same entries
		}
		events = append(events, one)
	}
	return events
}

// lab reads a colour, all three of it; nil when nothing was typed.
func (f *form) lab() *colour.Lab {
	l, a, b := f.stated(readL, plain), f.stated(readA, plain), f.stated(readB, plain)
	switch {
	case l == nil && a == nil && b == nil:
		return nil
	case l == nil || a == nil || b == nil:
		f.fault(readL, "A colour has all three: L*, a* and b*.")
		return nil
	}
	lab := &colour.Lab{L: *l, A: *a, B: *b}
	if err := lab.Check(); err != nil {
		f.fault(readL, "%s.", upperFirst(err.Error()))
	}
	return lab
}

// films reads the readings of one spot, parted by blanks or semicolons.
func (f *form) films(name string, u unit) []float64 {
	var um []float64
	for _, s := range strings.FieldsFunc(f.get(name), func(r rune) bool { return strings.ContainsRune(" \t\r\n;/\u00a0", r) }) {
		v, err := parseNumber(strings.TrimSuffix(s, ","))
		if err != nil {
			f.fault(name, "“%.20s” is no reading. Part the readings by blanks: 312 316 314.", s)
			return nil
		}
		um = append(um, u.from(v))
	}
	return um
}

// stated reads a figure; nil when the field is empty or wrong.
func (f *form) stated(name string, u unit) *float64 {
	if blank(f.get(name)) {
		return nil
	}
	v := read(f, name, parseNumber)
	if f.error(name) != "" {
		return nil
	}
	return new(u.from(v))
}

// whole reads a number of a thing; 0 when the field is empty.
func (f *form) whole(name string) int64 {
	return int64(read(f, name, func(s string) (float64, error) {
		v, err := parseNumber(s)
		if err == nil && (v < 0 || v > 1e9 || v != float64(int64(v))) {
			err = wrong("Write a whole number.")
		}
		return v, err
	}))
}

func nextCoat(deeds []restoration.Deed, step restoration.ID) int {
	n := 1
	for _, d := range deeds {
		if d.Kind == restoration.KindCoat && d.StepID == step {
			n = max(n, d.Number+1)
		}
	}
	return n
}

// sceneFor adds what the entry names to what the shop knows now.
func sceneFor(films filmData, e restoration.Event, now time.Time) restoration.FilmScene {
	sc := films.Scene
	for i, d := range sc.Deeds {
		if d.EventID == e.Ref {
			sc.Struck = &sc.Deeds[i]
		}
	}
	if e.Coat == nil {
		return sc
	}
	for i, m := range films.Materials {
		if m.ID == e.Coat.Material {
			sc.Material = &films.Materials[i]
		}
	}
	for _, l := range films.Lots {
		if slices.ContainsFunc(e.Coat.Lots, func(use restoration.LotUse) bool { return use.Lot == l.ID }) {
			sc.Lots = append(sc.Lots, l)
		}
		if l.Material == e.Coat.Material && l.Closed.IsZero() {
			sc.Tins = append(sc.Tins, l.Part)
		}
	}
	if now.Sub(e.At) > restoration.SensorAge {
		sc.Air = nil // the sensor speaks of now
	}
	return sc
}

// Fields at which the rules' questions stand, and what else they find wrong.
var (
	reasonField = map[restoration.Kind]string{restoration.KindCoat: coatReason, restoration.KindCutPass: cutReason, restoration.KindReading: readReason}
	mainField   = map[restoration.Kind]string{restoration.KindCoat: coatNumber, restoration.KindCutPass: cutGrade, restoration.KindReading: readFilms, restoration.KindStrike: strikeReason}
	sureField   = map[restoration.Kind]string{restoration.KindCoat: coatSure, restoration.KindReading: readSure}
)

// ask tries an entry: what the rules ask for stands at its field, and so does why it
// would be refused; what they warn of is gathered.
func (f *form) ask(car restoration.CarState, piece restoration.Piece, route restoration.Route, e restoration.Event, films filmData, now time.Time) {
	e.Arrived = now
	e.Facts = restoration.Judge(piece, route, e, sceneFor(films, e, now))
	if facts := e.Facts; facts != nil {
		f.warn(facts.Warnings)
		if len(facts.Asks) > 0 && !slices.Contains(e.Checks, restoration.CheckSure) {
			f.fault(sureField[e.Kind], "%s Correct it, or confirm that it is so.", strings.Join(facts.Asks, " "))
		}
		if len(facts.Needs) > 0 && e.Reason == "" {
			f.fault(reasonField[e.Kind], "%s Put it right, or say why it is so.", strings.Join(facts.Needs, " "))
		}
	}
	if _, out := restoration.Apply(car, piece, route, e); f.ok() && out.Result == restoration.Refused {
		f.fault(mainField[e.Kind], "%s", out.Reason)
	}
}

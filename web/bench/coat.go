package bench

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// coatView is what a coat is logged with, on one piece or on several at once.
type coatView struct {
	Materials []chip // to choose another; none where there is a single one
	Material  string // name; "" none is chosen
	ID        int64
	Number    figureProps
	Of        string // " of 4"
	Tins      []tinLine
	Wet       figureProps
	Thinner   figureProps // beyond the sheet's, in percent
	Scuff     scuffView
	Air       []figureProps
	AirBy     string      // that a sensor filled it in; "" it is to be typed
	ML        string      // hidden: ready to spray on this piece
	Before    []ui.Notice // known before anything is typed
	Says      []ui.Notice // what the rules say of it as it is filled in
	Why       whyView
	US        bool
}

// scuffView asks whether the surface was scuffed, where the recoat window has shut and
// no sanding is logged since.
type scuffView struct {
	Says   []string // which window; none: nothing is asked
	Ticked bool
}

// figureProps is a number with a touch up and down; "" is not said.
type figureProps struct {
	Name, Label, Hint, Unit string
	Value, Error            string
	Step, Low, High, Start  float64 // Start: where the first touch begins
}

// stepText is the step as it stands on the button.
func (f figureProps) stepText() string { return trimmed(f.Step, 2) }

// errorID is where it is said what is wrong with the figure.
func (f figureProps) errorID() string { return f.Name + "-error" }

// chooseMaterial is the material that the form begins with: the scheme's, else the one
// used last on the piece, else the only one of the layer. nil: one must be chosen.
func (in pieceInput) chooseMaterial(step restoration.Step, stage restoration.Stage) *restoration.Material {
	f := in.Film
	list := f.ofStage(stage)
	for _, layer := range restoration.LayersOf(stage.Look) {
		if m := f.material(f.Scene.Scheme.Materials[layer]); m != nil {
			return m
		}
	}
	for _, d := range slices.Backward(f.Scene.Deeds) {
		if m := f.material(d.Material); m != nil && slices.Contains(list, m) && d.Kind == restoration.KindCoat {
			return m
		}
	}
	own := slices.DeleteFunc(slices.Clone(list), func(m *restoration.Material) bool { return m.Example })
	switch {
	case len(own) == 1:
		return own[0]
	case len(list) == 1:
		return list[0]
	}
	return nil
}

// pickedMaterial is the material that a person has chosen on the form, else the one it
// begins with.
func (in pieceInput) pickedMaterial(step restoration.Step, stage restoration.Stage, form url.Values) *restoration.Material {
	if id, err := strconv.ParseInt(cmp.Or(form.Get("coat.material"), form.Get("material")), 10, 64); err == nil {
		if picked := in.Film.material(id); picked != nil {
			return picked
		}
	}
	return in.chooseMaterial(step, stage)
}

// ofStage are the materials that a stage may be sprayed with.
func (f *filmInput) ofStage(stage restoration.Stage) []*restoration.Material {
	var list []*restoration.Material
	for _, layer := range restoration.LayersOf(stage.Look) {
		for i := range f.Materials {
			if f.Materials[i].Layer == layer {
				list = append(list, &f.Materials[i])
			}
		}
	}
	return list
}

// buildCoat fills in a coat of the piece's next step, or what was typed before.
func buildCoat(in pieceInput, step restoration.Step, stage restoration.Stage, form url.Values) coatView {
	m := in.pickedMaterial(step, stage, form)
	sc := in.Film.Scene
	v := coatView{US: sc.Units == restoration.US}
	on := len(in.Film.coatsOn(step.ID))
	v.Number = figureProps{Name: "coat.number", Label: "Coat", Value: cmp.Or(form.Get("coat.number"), strconv.Itoa(on+1)), Step: 1, Low: 1, High: 200, Start: 1}
	switch want, agreed := in.coatsWanted(stage, m); {
	case agreed:
		v.Of = "of " + strconv.Itoa(want)
	case want > 0:
		v.Of = "usually " + strconv.Itoa(want)
	}
	v.fillAir(sc, form)
	v.Why = whyView{Picks: coatReasons}
	v.Before = in.lapses(stage, m)
	for _, other := range in.Film.ofStage(stage) {
		v.Materials = append(v.Materials, chip{Word: other.Name, Name: exampleWord(*other), Active: other == m,
			Href: piecePath(in.Piece.ID) + "/coat?material=" + strconv.FormatInt(other.ID, 10)})
	}
	if m == nil {
		return v
	}
	v.fillMaterial(*m, sc.Units, form)
	if says := in.flatFirst(m); says != "" {
		v.Before = append(v.Before, ui.Notice{Kind: ui.NoticeCaution, Text: says + "."})
	}
	ml := restoration.SheetML(in.Piece, in.Route, step.ID, *m, sc)
	if ml > 0 {
		v.ML = trimmed(ml, 0)
	}
	v.Tins = in.Film.tins(*m, ml, form, in)
	v.forewarn(in, step, form)
	return v
}

// coatTyped tells whether a form comes from a page that logs a coat, rather than beginning one.
func coatTyped(form url.Values) bool { return form.Has("coat.material") }

// cautions counts what the rules say of the coat as it is filled in.
func (v coatView) cautions() int {
	return len(v.Says) + len(v.Scuff.Says) + len(v.Why.Needs) + len(v.Why.Asks)
}

func exampleWord(m restoration.Material) string {
	if m.Example {
		return "an example's figures"
	}
	return ""
}

// fillMaterial offers the wet film of the sheet, in the shop's unit.
func (v *coatView) fillMaterial(m restoration.Material, u restoration.Units, form url.Values) {
	v.Material, v.ID = m.Name, m.ID
	v.Wet = figureProps{Name: "coat.wet_um", Label: "Wet film by the comb", Unit: filmUnit(u), Value: form.Get("coat.wet_um"),
		Step: 5, Low: 0, High: 2000, Start: m.WetUM.Likely}
	if u == restoration.US {
		v.Wet.Step, v.Wet.High, v.Wet.Start = 0.2, 80, coating.MilFromUM(m.WetUM.Likely)
	}
	v.Wet.Hint = "Empty: as the sheet says"
	if m.WetUM.Likely > 0 {
		v.Wet.Hint += ", " + restoration.FilmSpan(m.WetUM, u)
	}
	v.Thinner = figureProps{Name: "coat.thinned", Label: "Extra thinner", Hint: "Beyond the sheet's. Empty: none", Unit: "%",
		Value: form.Get("coat.thinned"), Step: 5, Low: 0, High: 100, Start: 5}
}

// fillAir begins with the shop's sensor, where it has spoken in the last half hour.
func (v *coatView) fillAir(sc restoration.FilmScene, form url.Values) {
	var air restoration.AirWords
	if sc.Air != nil {
		air = *sc.Air
		v.AirBy = "By the shop's sensor. Change what you read otherwise."
	}
	humidity := ""
	if air.Humidity != nil {
		humidity = trimmed(*air.Humidity, 0)
	}
	low, high, start := -40.0, 60.0, 20.0
	if sc.Units == restoration.US {
		low, high, start = -40, 140, 68
	}
	typed := func(name, own string) string {
		if form.Has(name) {
			return form.Get(name)
		}
		return own
	}
	unit := tempUnit(sc.Units)
	v.Air = []figureProps{
		{Name: "coat.air.air_c", Label: "Air", Unit: unit, Value: typed("coat.air.air_c", shownTemp(air.AirC, sc.Units)), Step: 1, Low: low, High: high, Start: start},
		{Name: "coat.air.humidity", Label: "Humidity", Unit: "%", Value: typed("coat.air.humidity", humidity), Step: 1, Low: 1, High: 100, Start: 50},
		{Name: "coat.air.surface_c", Label: "Surface", Unit: unit, Value: typed("coat.air.surface_c", shownTemp(air.SurfaceC, sc.Units)), Step: 1, Low: low, High: high, Start: start},
	}
}

// nextCoat is what the rule for batches says of the next coat of the piece; false: it
// wants none.
func (in pieceInput) nextCoat(m *restoration.Material) (restoration.BatchPiece, bool) {
	if m == nil {
		return restoration.BatchPiece{}, false
	}
	car := in.Car
	return restoration.BatchAlone(restoration.SprayKeyOf(in.Piece, in.Route, &car, in.Film.Scene.Deeds), in.Route, *m, in.Film.Scene, in.Now)
}

// forewarn says before what the rules would say of the coat as it is filled in.
func (v *coatView) forewarn(in pieceInput, step restoration.Step, form url.Values) {
	p := formParser{form: form, us: v.US}
	if !coatTyped(form) {
		p.form = v.asForm()
	}
	coat := p.coat()
	if !v.readable(p, *coat) {
		return
	}
	e := restoration.Event{Kind: restoration.KindCoat, StepID: step.ID, Payload: restoration.Payload{Coat: coat}}
	v.Scuff = scuffOf(in.scuff(e), form)
	if len(v.Scuff.Says) > 0 {
		e.Checks = []string{restoration.CheckScuffed}
	}
	v.Says = append(v.Says, slices.DeleteFunc(in.foresee(e, &v.Why), func(n ui.Notice) bool {
		return n.Kind == ui.NoticeError && v.saidAtFigure(n.Text)
	})...)
}

// foresee is what the rules would say of an entry of the film, were it saved as it stands;
// what they ask for goes to why.
func (in pieceInput) foresee(e restoration.Event, why *whyView) (says []ui.Notice) {
	facts := in.judge(e)
	why.Needs, why.Asks = facts.Needs, facts.Asks
	for _, w := range facts.Warnings {
		says = append(says, ui.Notice{Kind: ui.NoticeCaution, Text: w})
	}
	e.Facts, e.Reason, e.Checks = facts, "r", []string{restoration.CheckSure, restoration.CheckScuffed}
	if out := try(in, e); out.Result == restoration.Refused {
		says = append(says, ui.Notice{Kind: ui.NoticeError, Text: out.Reason})
	}
	return says
}

// readable puts at their fields what can't be read of a coat, and what can't be right in it.
// false: not all of it can be read, so that what it means can't be told yet.
func (v *coatView) readable(p formParser, coat restoration.Coat) bool {
	for _, f := range p.faults {
		v.failFigure(f.Name, f.Text)
	}
	if figure, says := coat.Fault(); figure != "" && len(p.faults) == 0 {
		v.failFigure("coat."+figure, says)
	}
	return len(p.faults) == 0
}

// figures are the numbers of a coat.
func (v *coatView) figures() []*figureProps {
	list := []*figureProps{&v.Number, &v.Wet, &v.Thinner}
	for i := range v.Air {
		list = append(list, &v.Air[i])
	}
	return list
}

// failFigure puts what is wrong at the figure of a name, and tells whether there is one.
func (v *coatView) failFigure(name, says string) bool {
	for _, f := range v.figures() {
		if f.Name == name && name != "" {
			f.Error = says
			return true
		}
	}
	return false
}

// saidAtFigure tells whether a sentence stands at a figure already.
func (v *coatView) saidAtFigure(says string) bool {
	return slices.ContainsFunc(v.figures(), func(f *figureProps) bool { return f.Error == says })
}

// scuff finds which sentences of the rules fall silent once somebody says that the
// surface was scuffed.
func (in pieceInput) scuff(e restoration.Event) []string {
	asked := in.judge(e).Needs
	e.Checks = []string{restoration.CheckScuffed}
	left := in.judge(e).Needs
	return slices.DeleteFunc(slices.Clone(asked), func(n string) bool { return slices.Contains(left, n) })
}

func scuffOf(says []string, form url.Values) scuffView {
	return scuffView{Says: says, Ticked: slices.Contains(form["checks"], restoration.CheckScuffed)}
}

// asForm is what the form would send if it were saved as it is drawn.
func (v *coatView) asForm() url.Values {
	form := url.Values{"coat.number": {v.Number.Value}, "coat.material": {strconv.FormatInt(v.ID, 10)}, "coat.sheet_ml": {v.ML}}
	for _, f := range append(slices.Clone(v.Air), v.Wet, v.Thinner) {
		form.Set(f.Name, f.Value)
	}
	for _, t := range v.Tins {
		if t.Ticked {
			form.Add("coat.lots", strconv.FormatInt(t.ID, 10))
		}
	}
	return form
}

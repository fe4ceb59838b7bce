package restoration

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"scumble/internal/coating"
)

// The bounds of what is believed without asking, and of what can be.
const (
	mostWetUM     = 400  // of one coat
	mostReadingUM = 2000 // of a film by gauge
	combError     = 0.10 // of a comb's reading, either way; common practice, no source
	roomC         = 20   // where nothing is known of the temperature
)

func (j *judgement) coat() {
	c := j.event.Coat
	if c == nil {
		return
	}
	j.facts.Layer = LayerOf(j.stage.Look)
	if m := j.scene.Material; m != nil {
		j.facts.Material, j.facts.VOC = m.Name, m.VOCGramsPerL
		j.judgeLayer(*m)
		j.dryFilm(*m, *c)
		j.judgeComb(*m, *c)
		j.coatWaits(*m)
	} else {
		j.need("The material is not on the shop's list, so nothing is known of its film; the stage's usual waits hold.")
		waits := j.stage.After
		j.facts.Film, j.facts.Waits = &coating.Range{}, &waits
	}
	j.judgeStart()
	j.facts.ML = j.takes(*c)
	j.judgeLots(*c)
	j.judgeOneMix()
	j.judgeRecoat()
	j.judgeFlatted()
	j.judgeWet()
}

// judgeLayer takes the material's layer where it fits the stage.
func (j *judgement) judgeLayer(m Material) {
	switch {
	case m.Layer == j.facts.Layer, m.Layer == coating.Filler && j.stage.Look == LookPrimed:
		j.facts.Layer = m.Layer
	case j.facts.Layer == "":
		j.facts.Layer = m.Layer
		j.need("Nothing is sprayed at the stage %s as a rule.", j.stage.Name)
	default:
		j.need("%s is a %s, and the step is %s.", m.Name, m.Layer, j.stage.Name)
		j.facts.Layer = m.Layer
	}
}

func (j *judgement) dryFilm(m Material, c Coat) {
	j.facts.Film = &coating.Range{}
	solids, err := m.SolidsThinned(c.Thinned)
	if err != nil {
		j.need("%s", err)
		return
	}
	wet := m.WetUM
	if c.WetUM != nil {
		wet = coating.Range{Low: *c.WetUM * (1 - combError), Likely: *c.WetUM, High: *c.WetUM * (1 + combError)}
	}
	dry, err := coating.DryRange(wet, solids)
	if err != nil {
		j.need("%s", err)
		return
	}
	j.facts.Film = &dry
	if wet.Likely > mostWetUM {
		j.ask("A wet film of %s in one coat is a lot.", j.um(wet.Likely))
	}
	if j.facts.Layer == coating.Clear {
		if sum, limit := j.session()+dry.Likely, j.sessionLimit(); sum > limit {
			j.hold("This session has %s of clear with this coat, the limit is %s: let it cure, then flat it.", j.um(sum), j.um(limit))
		}
	}
}

// judgeComb warns where the comb read a wet film outside what the sheet says of a coat.
// Figures that read the same in the shop's unit are the same; a sheet that names a single
// one is met within the comb's own error. It asks for no reason: the coat is on by then.
func (j *judgement) judgeComb(m Material, c Coat) {
	if c.WetUM == nil || m.WetUM.IsZero() {
		return
	}
	sheet := m.WetUM
	if sheet.Low == sheet.High {
		sheet.Low, sheet.High = sheet.Low*(1-combError), sheet.High*(1+combError)
	}
	read := j.um(*c.WetUM)
	switch {
	case *c.WetUM > sheet.High && read != j.um(sheet.High):
		j.warn("%s wet is thicker than the sheet: %s.", read, FilmSpan(m.WetUM, j.scene.Units))
	case *c.WetUM < sheet.Low && read != j.um(sheet.Low):
		j.warn("%s wet is thinner than the sheet: %s.", read, FilmSpan(m.WetUM, j.scene.Units))
	}
}

// session is the dry clear of the visit that the coat belongs to, without it.
func (j *judgement) session() float64 {
	sum, at := 0.0, j.event.At
	for _, d := range slices.Backward(j.scene.Deeds) {
		if d.Kind != KindCoat || d.Layer != coating.Clear || d.At.After(j.event.At) || !j.piece.current(d.StepID) {
			continue
		}
		if at.Sub(d.At) > sessionGap {
			break
		}
		sum, at = sum+d.Film.Likely, d.At
	}
	return sum
}

// air is what is known of the air: as it was entered, what that leaves out by the
// shop's sensor.
func (j *judgement) air() AirWords {
	var air, sensor AirWords
	if a := j.event.Coat.Air; a != nil {
		air = *a
	}
	if a := j.scene.Air; a != nil {
		sensor = *a
	}
	return AirWords{AirC: cmp.Or(air.AirC, sensor.AirC), SurfaceC: cmp.Or(air.SurfaceC, sensor.SurfaceC),
		Humidity: cmp.Or(air.Humidity, sensor.Humidity)}
}

func (j *judgement) coatWaits(m Material) {
	air := j.air()
	if said := j.event.Coat.Air; j.scene.Air != nil && (said == nil || *said != air) {
		j.facts.Air = &air
	}
	j.window = coating.SprayWindow(coating.Conditions{AirC: air.AirC, RHPercent: air.Humidity, SurfaceC: air.SurfaceC}, m.Limits)
	for _, w := range j.window.Warnings {
		if !w.Wet() {
			j.warn("%s.", RemarkWords(w, j.scene.Units))
		}
	}
	for _, q := range j.window.Questions {
		if q.Code == coating.TypedInF {
			j.ask("%s", RemarkWords(q, j.scene.Units))
		}
	}
	temp := float64(roomC)
	switch {
	case air.SurfaceC != nil:
		temp = *air.SurfaceC
	case air.AirC != nil:
		temp = *air.AirC
	}
	at, estimated := m.WaitsAt(temp, j.scene.Film.Per10C)
	j.facts.Estimated = estimated
	j.facts.Waits = &Waits{Recoat: Minutes(at.Recoat), Sand: Minutes(at.Sand), Polish: Minutes(at.Polish), Fit: Minutes(at.Fit),
		MaxRecoat: Minutes(at.MaxRecoat)}
	j.judgeFlash(at)
}

// judgeWet asks for a reason where the surface was at the dew point or under it: paint on
// water neither holds nor clears, so that the owner looks at the piece.
func (j *judgement) judgeWet() {
	for _, w := range j.window.Warnings {
		if w.Wet() {
			j.need("%s.", RemarkWords(w, j.scene.Units))
		}
	}
}

// judgeStart asks for a reason where the first coat of a step comes before the step
// under it has hardened, or after its recoat window has shut and nothing was sanded.
func (j *judgement) judgeStart() {
	i := slices.IndexFunc(j.piece.Steps, func(s Step) bool { return s.ID == j.event.StepID })
	if i < 0 || j.lastCoat() != nil {
		return
	}
	before, ok := j.piece.doneBefore(j.piece.Steps[i].Position)
	if !ok {
		return
	}
	name := lower(stageName(j.route, before.Stage))
	if j.event.At.Before(before.TouchAgain) {
		after := j.piece.WaitsAfter(j.route, j.piece.Steps[i])
		j.hold("%s: a coat was allowed %s later.", stillWaits(j.route, after, "hardened", "dried"), span(before.TouchAgain.Sub(j.event.At)))
	}
	if shut := before.TooLate; !shut.IsZero() && j.event.At.After(shut) && !j.scuffedSince(shut) {
		j.hold("The recoat window of %s shut %s before this coat, and no sanding is logged since.", name, span(j.event.At.Sub(shut)))
	}
}

// scuffedSince tells whether the surface was roughened after an hour: somebody says so,
// or the last pass was logged since and leaves scratches on which the coat holds.
func (j *judgement) scuffedSince(since time.Time) bool {
	if slices.Contains(j.event.Checks, CheckScuffed) {
		return true
	}
	for _, d := range slices.Backward(j.scene.Deeds) {
		if d.Kind == KindCutPass && !d.At.After(j.event.At) {
			return !d.At.Before(since) && (j.facts.Layer != coating.Clear || coating.Keys(d.Name))
		}
	}
	return false
}

// judgeFlash warns when the coat before had not flashed off. It asks for no reason: no
// tablet is in the spray area, and coats of one visit are often logged together.
func (j *judgement) judgeFlash(at coating.WaitAt) {
	last := j.lastCoat()
	if last == nil || at.Flash == 0 {
		return
	}
	if since := j.event.At.Sub(last.At); since < time.Duration(at.Flash)*time.Minute {
		j.warn("The coat before was %s old: it takes %s to flash off.", span(since), Minutes(at.Flash))
	}
}

// lastCoat is the coat before this one on the same step; nil when it is the first.
func (j *judgement) lastCoat() *Deed { return j.lastOf(KindCoat) }

// lastOf is what was done last of a kind on the entry's step until then; nil nothing.
func (j *judgement) lastOf(kind Kind) *Deed {
	for i, d := range slices.Backward(j.scene.Deeds) {
		if d.Kind == kind && d.StepID == j.event.StepID && !d.At.After(j.event.At) {
			return &j.scene.Deeds[i]
		}
	}
	return nil
}

// judgeRecoat asks for a scuffed surface where the window of the coat before on this
// step has shut, and nothing was sanded since that coat.
func (j *judgement) judgeRecoat() {
	last := j.lastCoat()
	if last == nil || last.Waits == nil || last.Waits.MaxRecoat == 0 || j.scuffedSince(last.At) {
		return
	}
	if shut := last.At.Add(last.Waits.MaxRecoat.Duration()); j.event.At.After(shut) {
		j.hold("The recoat window of the coat before shut %s ago and no sanding is logged since.", span(j.event.At.Sub(shut)))
	}
}

// takes is what a coat took of the mix, in mL: what was said, or the sheet's share as much
// thicker or thinner as the comb read it.
func (j *judgement) takes(c Coat) float64 {
	m := j.scene.Material
	if c.ML > 0 || c.WetUM == nil || m == nil || m.WetUM.Likely <= 0 {
		return cmp.Or(c.ML, c.SheetML)
	}
	return c.SheetML * *c.WetUM / m.WetUM.Likely
}

// lot finds one of the shop's tins.
func (j *judgement) lot(id int64) (Lot, bool) {
	i := slices.IndexFunc(j.scene.Lots, func(l Lot) bool { return l.ID == id })
	if i < 0 {
		return Lot{}, false
	}
	return j.scene.Lots[i], true
}

// gives is what a tin gives to the coat, in mL: what is wanted of its part beyond what the
// tins before it gave, and no more than it holds where one of those after has the part as well.
func (j *judgement) gives(lot Lot, given float64, after []LotUse) float64 {
	ml := max(0, j.scene.Material.PartML(lot.Part, j.facts.ML)-given)
	if slices.ContainsFunc(after, func(use LotUse) bool {
		l, ok := j.lot(use.Lot)
		return ok && l.Material == lot.Material && l.Part == lot.Part
	}) {
		return min(ml, max(0, lot.LeftML))
	}
	return ml
}

// judgeLots looks at the tins, and shares out what each gave. Of two tins of one part the
// first is emptied before the second is begun.
func (j *judgement) judgeLots(c Coat) {
	j.judgeNamed(c)
	given := map[int]float64{} // mL of each part, by the tins so far
	for i, use := range c.Lots {
		lot, ok := j.lot(use.Lot)
		if !ok {
			j.need("A tin that was named is not on the shop's list.")
			continue
		}
		switch m := j.scene.Material; {
		case m == nil:
		case lot.Material != m.ID:
			j.need("Lot %s is of %s, not of %s.", lot.Number, lot.MaterialName, m.Name)
		default:
			if use.ML == 0 {
				use.ML = j.gives(lot, given[lot.Part], c.Lots[i+1:])
			}
			given[lot.Part] += use.ML
		}
		j.facts.Lots = append(j.facts.Lots, use)
		if says := lot.Trouble(j.event.At, use.ML); says != "" {
			j.need("%s", says)
		}
	}
}

// judgeNamed warns of a part of the mix that the shop has tins of and none is named.
func (j *judgement) judgeNamed(c Coat) {
	m := j.scene.Material
	if m == nil {
		return
	}
	kept, named := map[int]bool{}, map[int]bool{}
	for _, part := range j.scene.Tins {
		kept[part] = true
	}
	for _, l := range j.scene.Lots {
		if l.Material != m.ID {
			continue
		}
		kept[l.Part] = kept[l.Part] || l.Closed.IsZero()
		named[l.Part] = named[l.Part] || slices.ContainsFunc(c.Lots, func(use LotUse) bool { return use.Lot == l.ID })
	}
	if len(c.Lots) == 0 && slices.Contains(slices.Collect(maps.Values(kept)), true) {
		j.warn("No tin is named: nobody will find this piece by its lot.")
		return
	}
	for i, part := range m.Parts {
		if kept[i] && !named[i] {
			j.warn("No tin of %s is named: nobody will find this piece by its lot.", part.Name)
		}
	}
}

// judgeOneMix points out that another lot or another hand served the same car: one mix
// of ground and grain, and one person's grain, serve a whole car.
func (j *judgement) judgeOneMix() {
	layer := j.facts.Layer
	if layer != coating.Ground && layer != coating.Grain {
		return
	}
	mine := j.paintLots()
	wanted := j.scene.Scheme.GroundLot
	switch {
	case len(mine) == 0:
	case layer == coating.Ground && wanted != 0 && !slices.Contains(mine, wanted):
		j.warn("The ground is of another lot than %s asks for.", j.scene.Scheme.Title())
	case j.otherLot(layer, mine):
		j.warn("Another lot of %s was used on this car. One lot serves a whole car: intermix before you start.", layer)
	}
	if layer == coating.Grain {
		j.sameHand()
	}
}

// paintLots are the tins of the paint itself that the coat names: hardener and thinner
// may come from any.
func (j *judgement) paintLots() []int64 {
	var lots []int64
	for _, use := range j.event.Coat.Lots {
		if slices.ContainsFunc(j.scene.Lots, func(l Lot) bool { return l.ID == use.Lot && l.Part == 0 }) {
			lots = append(lots, use.Lot)
		}
	}
	return lots
}

// otherLot tells whether the car's other pieces have the layer from tins, but none of
// them from these.
func (j *judgement) otherLot(layer coating.Layer, mine []int64) bool {
	other := false
	for _, d := range j.scene.Car {
		if d.Layer != layer {
			continue
		}
		for _, use := range d.Lots {
			if slices.Contains(mine, use.Lot) {
				return false
			}
			other = true
		}
	}
	return other
}

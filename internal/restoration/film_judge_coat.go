package restoration

import (
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
		j.facts.Material = m.Name
		j.judgeLayer(*m)
		j.dryFilm(*m, *c)
		j.coatWaits(*m)
	} else {
		j.need("The material is not on the shop's list, so nothing is known of its film and its waits.")
		j.facts.Film = &coating.Range{}
	}
	j.judgeLots(*c)
	j.judgeOneMix(*c)
	j.judgeRecoat()
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
		j.ask("A wet film of %.0f µm in one coat is a lot.", wet.Likely)
	}
	if most := m.Limits.SessionMaxUM; j.facts.Layer == coating.Clear {
		limit := j.scene.Film.SessionUM
		if most > 0 {
			limit = most
		}
		if sum := j.session() + dry.Likely; sum > limit {
			j.warn("This session has %s of clear, the limit is %s: let it cure, then flat it.", j.um(sum), j.um(limit))
		}
	}
}

// session is the dry clear of the visit that the coat belongs to, without it.
func (j *judgement) session() float64 {
	sum, at := 0.0, j.event.At
	for _, d := range slices.Backward(j.scene.Deeds) {
		if d.Kind != KindCoat || d.Layer != coating.Clear || d.At.After(j.event.At) {
			continue
		}
		if at.Sub(d.At) > sessionGap {
			break
		}
		sum, at = sum+d.Film.Likely, d.At
	}
	return sum
}

// air is what is known of the air: as it was entered, else by the shop's sensor.
func (j *judgement) air() AirWords {
	if a := j.event.Coat.Air; a != nil {
		return *a
	}
	if a := j.scene.Air; a != nil {
		return *a
	}
	return AirWords{}
}

func (j *judgement) coatWaits(m Material) {
	air := j.air()
	verdict := coating.SprayWindow(coating.Conditions{AirC: air.AirC, RHPercent: air.Humidity, SurfaceC: air.SurfaceC}, m.Limits)
	for _, w := range verdict.Warnings {
		j.warn("%s.", w.Says)
	}
	for _, q := range verdict.Questions {
		if q.Code != coating.ReadingMissing {
			j.ask("%s", q.Says)
		}
	}
	temp := float64(roomC)
	switch {
	case air.SurfaceC != nil:
		temp = *air.SurfaceC
	case air.AirC != nil:
		temp = *air.AirC
	}
	at, estimated := m.WaitsAt(temp)
	j.facts.Estimated = estimated
	j.facts.Waits = &Waits{Recoat: Minutes(at.Recoat), Sand: Minutes(at.Sand), Polish: Minutes(at.Polish), Fit: Minutes(at.Fit),
		MaxRecoat: Minutes(at.MaxRecoat)}
	j.judgeFlash(at)
}

// judgeFlash warns when the coat before has not flashed off.
func (j *judgement) judgeFlash(at coating.WaitAt) {
	last := j.lastCoat()
	if last == nil || at.Flash == 0 {
		return
	}
	if since := j.event.At.Sub(last.At); since < time.Duration(at.Flash)*time.Minute {
		j.warn("The coat before is %s old; it flashes off in %s.", span(since), Minutes(at.Flash))
	}
}

// lastCoat is the coat before this one on the same step; nil when it is the first.
func (j *judgement) lastCoat() *Deed {
	for i, d := range slices.Backward(j.scene.Deeds) {
		if d.Kind == KindCoat && d.StepID == j.event.StepID && !d.At.After(j.event.At) {
			return &j.scene.Deeds[i]
		}
	}
	return nil
}

// judgeRecoat asks for a scuffed surface where the window of the coat before on this
// step has shut, and nothing was sanded since.
func (j *judgement) judgeRecoat() {
	last := j.lastCoat()
	if last == nil || last.Waits == nil || last.Waits.MaxRecoat == 0 || slices.Contains(j.event.Checks, CheckScuffed) {
		return
	}
	shut := last.At.Add(last.Waits.MaxRecoat.Duration())
	sanded := slices.ContainsFunc(j.scene.Deeds, func(d Deed) bool {
		return d.Kind == KindCutPass && d.At.After(last.At) && !d.At.After(j.event.At)
	})
	if j.event.At.After(shut) && !sanded {
		j.need("The recoat window of the coat before shut %s ago and no sanding is logged since.", span(j.event.At.Sub(shut)))
	}
}

// judgeLots looks at the tins, and shares out what each gave.
func (j *judgement) judgeLots(c Coat) {
	for _, use := range c.Lots {
		i := slices.IndexFunc(j.scene.Lots, func(l Lot) bool { return l.ID == use.Lot })
		if i < 0 {
			j.need("A tin that was named is not on the shop's list.")
			continue
		}
		lot := j.scene.Lots[i]
		if m := j.scene.Material; m != nil {
			if lot.Material != m.ID {
				j.need("Lot %s is of %s, not of %s.", lot.Number, lot.MaterialName, m.Name)
			} else if use.ML == 0 {
				use.ML = m.PartML(lot.Part, c.ML)
			}
		}
		j.facts.Lots = append(j.facts.Lots, use)
		if says := lot.Trouble(j.event.At, use.ML); says != "" {
			j.need("%s", says)
		}
	}
}

// judgeOneMix points out that another tin or another hand served the same car: one mix
// of ground and grain, and one person's grain, serve a whole car.
func (j *judgement) judgeOneMix(c Coat) {
	layer := j.facts.Layer
	if layer != coating.Ground && layer != coating.Grain {
		return
	}
	mine := map[int64]bool{}
	for _, use := range c.Lots {
		mine[use.Lot] = true
	}
	for _, d := range j.scene.Car {
		other := slices.ContainsFunc(d.Lots, func(use LotUse) bool { return !mine[use.Lot] })
		if d.Layer == layer && other && len(mine) > 0 {
			j.warn("Another lot of %s was used on this car. One lot serves a whole car: intermix before you start.", layer)
			break
		}
	}
	if layer == coating.Grain {
		j.sameHand()
	}
}

func (j *judgement) cutPass() {
	c := j.event.Cut
	if c == nil {
		return
	}
	j.facts.Layer = CutLayer(j.stage.Look)
	off, known := coating.Removal(c.Grade)
	switch {
	case c.Off != nil && c.Off.Valid():
		off = *c.Off
	case c.Off != nil:
		j.need("What was taken off goes from low over likely to high.")
	case !known:
		j.warn("What a pass of %s takes off isn't known here: measure it.", c.Grade)
	}
	j.facts.Film = &off
	if j.facts.Layer == coating.Clear {
		j.judgeCut(off)
	}
	j.judgeLadder(c.Grade)
}

// judgeCut warns when the pass goes near the floor or under it.
func (j *judgement) judgeCut(off coating.Range) {
	before := j.film()
	if !before.Known() {
		j.warn("No clear is logged, so nobody knows how much may go.")
		return
	}
	switch after := coating.After(before, off, j.scene.Policy()); {
	case after.BelowFloor:
		j.warn("After this pass as little as %s of clear may be left, under the floor of %s. Stop and measure.",
			j.um(max(0, after.Clear.Low)), j.um(j.scene.Scheme.FloorUM))
	case after.NearFloor:
		j.warn("After this pass only %s may still go.", j.um(after.MayGoUM))
	}
}

// judgeLadder points out a step between grades that leaves scratches.
func (j *judgement) judgeLadder(grade string) {
	for _, d := range slices.Backward(j.scene.Deeds) {
		if d.Kind != KindCutPass || d.StepID != j.event.StepID {
			continue
		}
		if steps, err := coating.Ladder([]string{d.Name, grade}, j.scene.Film.GritRatio); err == nil && steps[0].TooFar {
			j.warn("From %s to %s the grain falls to 1/%.1f: scratches stay. Put a grade between.", d.Name, grade, steps[0].Ratio)
		}
		return
	}
}

func (j *judgement) reading() {
	r := j.event.Reading
	if r == nil {
		return
	}
	switch r.Kind {
	case ReadFilm:
		j.readFilm(*r)
	case ReadGloss:
		if want := j.scene.Scheme.Gloss; want != nil && r.Gloss != nil {
			j.judgeGloss(*r.Gloss, *want, j.warn)
		}
	case ReadColour:
		if r.Lab != nil {
			j.judgeColour(*r.Lab, j.warn)
		}
	}
}

func (j *judgement) readFilm(r Reading) {
	for _, um := range r.FilmUM {
		if um > mostReadingUM {
			j.ask("A film of %.0f µm is more than %d µm.", um, mostReadingUM)
			break
		}
	}
	if len(r.FilmUM) < 3 {
		j.warn("A spot is the mean of at least 3 readings (SSPC-PA 2); it has %d.", len(r.FilmUM))
	}
}

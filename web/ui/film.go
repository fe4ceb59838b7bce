package ui

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// FilmProps is the paint of one piece, as it lies on the steel.
type FilmProps struct {
	Label     string // the piece
	Film      coating.Film
	Building  bool               // the piece is not cleared yet
	Finish    restoration.Scheme // its floor and build are drawn
	Units     restoration.Units
	Colours   Scheme                   // of ground and grain
	Materials map[coating.Layer]string // what each layer was sprayed with; may be nil
	Coats     []float64                // µm of each coat of clear, likely, in order; nil draws the sessions alone
	ReadAt    map[string]string        // hour of the last reading of each spot after the clear; may be nil
	Soft      string                   // until when the last coat is too soft for any pass, an hour; "" it is hard
	Hardens   string                   // the same in a sentence, and until when it is too soft to be polished; "" it is hard
	Finished  bool                     // nothing of the piece is left to do, so nothing is to be cut
}

// Hardening is the film with what is said of its last coat while that hardens: at a
// stage of this look, and at this hour by a clock of the shop.
func (p FilmProps) Hardening(s restoration.Softness, look restoration.Look, now time.Time, loc *time.Location) FilmProps {
	clock := func(at time.Time) string { return Clock(at, now, loc) }
	p.Soft, p.Hardens = "", s.Words(clock)
	if until := s.Until(look); !until.IsZero() {
		p.Soft = clock(until)
	}
	return p
}

// atRest tells that nothing is to be cut now, whatever the floor allows.
func (p FilmProps) atRest() bool { return p.Soft != "" || p.Finished }

func (p FilmProps) state() restoration.FilmState {
	return restoration.StateOfFilm(p.Film, p.Finish, p.Building)
}

func (p FilmProps) um(v float64) string { return restoration.FilmWords(v, p.Units) }

// span writes a range as "95–140 µm"; one figure when both ends read the same.
func (p FilmProps) span(r coating.Range) string {
	low, high := p.um(r.Low), p.um(r.High)
	if low == high {
		return high
	}
	return bare(low) + "–" + high
}

// sentence is the film in words, as the ledger says it.
func (p FilmProps) sentence() string {
	if p.atRest() {
		return restoration.FilmAtRest(p.Film, p.Finish, p.Units)
	}
	return restoration.FilmSentence(p.Film, p.Finish, p.Units)
}

// bracketWord names the span from the low of the clear to its floor.
func (p FilmProps) bracketWord() string {
	if p.atRest() {
		return "above the floor"
	}
	return "may go"
}

// mayGo is what may still be cut, in words.
func (p FilmProps) mayGo() string {
	if !p.Film.Known() || p.Film.BelowFloor {
		return "nothing"
	}
	return p.um(max(0, p.Film.MayGoUM))
}

// lessWord says what it means that edges hold less.
func (p FilmProps) lessWord() string {
	if p.atRest() {
		return "they are nearer the floor"
	}
	return "less may go"
}

// byGauge says what a clear by gauge rests on; "" it is reckoned by coats and cuts.
func (p FilmProps) byGauge() string {
	switch since := p.Film.Since; {
	case !p.Film.ByGauge:
		return ""
	case since.Coated && since.Cut:
		return "by gauge, with the coats and less the cuts since"
	case since.Coated:
		return "by gauge, with the coats since"
	case since.Cut:
		return "by gauge, less the cut since"
	}
	return "by gauge"
}

// besides are facts that the sentence leaves out.
func (p FilmProps) besides() []string {
	f := p.Film
	var list []string
	if p.Hardens != "" {
		list = append(list, p.Hardens)
	}
	if f.ByGauge {
		if by := filmLayer(f, coating.Clear).Left; by.Likely > 0 {
			list = append(list, fmt.Sprintf("The gauge decides; coats and cuts alone would leave about %s (%s).", p.um(by.Likely), p.span(by)))
		}
	}
	if f.Known() && f.Edge != f.Clear {
		list = append(list, fmt.Sprintf("Edges hold about %s (%s), so %s.", p.um(f.Edge.Likely), p.span(f.Edge), p.lessWord()))
	}
	if says := p.asSprayed(); says != "" {
		list = append(list, says)
	}
	for _, s := range f.Sessions {
		if s.Over {
			list = append(list, fmt.Sprintf("Session %s put on %s: over the limit of one session.", s.Name, p.um(s.On.Likely)))
		}
	}
	return list
}

// asSprayed says that the layers which were blocked stand in the stack as they were
// sprayed, and what a gauge read of all that lies under the clear; "" where what was sanded off
// them is known, or nothing covers them yet.
func (p FilmProps) asSprayed() string {
	var names []string
	for _, layer := range []coating.Layer{coating.Primer, coating.Filler} {
		switch l := filmLayer(p.Film, layer); {
		case !l.Cut.IsZero():
			return ""
		case !l.On.IsZero():
			names = append(names, string(layer))
		}
	}
	top := topLayer(p.Film).Layer
	if len(names) == 0 || top == coating.Primer || top == coating.Filler {
		return ""
	}
	names[0] = strings.ToUpper(names[0][:1]) + names[0][1:]
	says := strings.Join(names, " and ") + " as sprayed: what blocking took off is not logged."
	if base := p.baselines(); base != "" {
		says += " The gauge read " + base + " of all film under the clear."
	}
	return says
}

// baselines is what the marked spots read before the clear, the least to the most; "" none
// was measured.
func (p FilmProps) baselines() string {
	var r coating.Range
	for _, s := range p.Film.Spots {
		switch {
		case !s.Based:
		case r.IsZero():
			r = coating.Exactly(s.BaseUM)
		default:
			r.Low, r.High = min(r.Low, s.BaseUM), max(r.High, s.BaseUM)
		}
	}
	if r.IsZero() {
		return ""
	}
	return p.span(r)
}

// filmLayer is a layer of a film; its zero value when the film has none of it.
func filmLayer(f coating.Film, layer coating.Layer) coating.LayerFilm {
	for _, l := range f.Layers {
		if l.Layer == layer {
			return l
		}
	}
	return coating.LayerFilm{Layer: layer}
}

// filmMost is the thickest film that is drawn and said, in µm: a metre. It keeps sums
// that ran over out of the page.
const filmMost = 1e6

func soundUM(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return min(max(v, 0), filmMost)
}

func soundRange(r coating.Range) coating.Range {
	low := soundUM(r.Low)
	likely := max(low, soundUM(r.Likely))
	return coating.Range{Low: low, Likely: likely, High: max(likely, soundUM(r.High))}
}

// sound is the same film without figures that can't be drawn.
func (p FilmProps) sound() FilmProps {
	f := &p.Film
	f.Layers, f.Sessions, f.Spots = slices.Clone(f.Layers), slices.Clone(f.Sessions), slices.Clone(f.Spots)
	for i, l := range f.Layers {
		f.Layers[i].On, f.Layers[i].Cut, f.Layers[i].Left = soundRange(l.On), soundRange(l.Cut), soundRange(l.Left)
	}
	for i, s := range f.Sessions {
		f.Sessions[i].On = soundRange(s.On)
	}
	for i, s := range f.Spots {
		f.Spots[i].ClearUM, f.Spots[i].BaseUM, f.Spots[i].TotalUM = soundRange(s.ClearUM), soundUM(s.BaseUM), soundUM(s.TotalUM)
	}
	f.Clear, f.Edge, f.CutAway = soundRange(f.Clear), soundRange(f.Edge), soundRange(f.CutAway)
	f.MayGoUM = soundUM(f.MayGoUM)
	p.Finish.FloorUM, p.Finish.BuildUM = soundUM(p.Finish.FloorUM), soundUM(p.Finish.BuildUM)
	p.Coats = slices.Clone(p.Coats)
	for i, c := range p.Coats {
		p.Coats[i] = soundUM(c)
	}
	return p
}

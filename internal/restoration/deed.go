package restoration

import (
	"slices"
	"strconv"
	"time"

	"scumble/internal/coating"
)

// Deed is a row of the film: a coat, a cutting pass or a reading that stands.
type Deed struct {
	EventID  ID
	Kind     Kind
	PieceID  ID
	StepID   ID // zero of a reading
	Stage    string
	Pass     int // of the step; of a reading, the piece's last then
	At       time.Time
	PersonID int64
	Person   string // where the reader has looked it up
	Batch    ID

	Layer    coating.Layer
	Film     coating.Range // µm: dry film put on, or taken off
	Number   int           // of the coat
	Material int64
	Name     string // of the material, or the grade of the pass
	ML       float64
	Lots     []LotUse
	Waits    *Waits // coat: what it asks for
	Reading  *Reading
}

// LayerOf gives the layer that is sprayed at a stage of a look; "" none.
func LayerOf(l Look) coating.Layer {
	switch l {
	case LookPrimed:
		return coating.Primer
	case LookGrounded:
		return coating.Ground
	case LookGrained:
		return coating.Grain
	case LookCleared:
		return coating.Clear
	}
	return ""
}

// LayersOf are the layers that may be sprayed at a stage of a look, the usual one first:
// where it is primed it is filled as well. A stage that isn't sprayed has the one layer "".
func LayersOf(l Look) []coating.Layer {
	layer := LayerOf(l)
	if layer == coating.Primer {
		return []coating.Layer{layer, coating.Filler}
	}
	return []coating.Layer{layer}
}

// CutLayer gives the layer that is sanded at a stage of a look; "" none. Clear is
// flatted between its sessions as well as cut, and polished again at fitting.
func CutLayer(l Look) coating.Layer {
	switch l {
	case LookPrimed, LookBlocked:
		return coating.Filler
	case LookGrounded:
		return coating.Ground
	case LookCleared, LookCut, LookFitted:
		return coating.Clear
	}
	return ""
}

// passAt gives the pass in which the current step of a look was opened; 0 when the
// piece has none.
func (p Piece) passAt(r Route, look Look) int {
	for _, s := range p.Steps {
		if stage, ok := r.Stage(s.Stage); ok && s.Current() && stage.Look == look {
			return s.Pass
		}
	}
	return 0
}

// passUnder gives the pass of the last current step under the clear: what lies there
// has not changed since. 0 when the piece has none.
func (p Piece) passUnder(r Route) int {
	pass := 0
	for _, s := range p.Steps {
		stage, ok := r.Stage(s.Stage)
		if ok && stage.Look == LookCleared {
			break
		}
		if ok && s.Current() {
			pass = s.Pass
		}
	}
	return pass
}

// FilmOf works out the film of a piece from what was done to it, in the order in
// which it happened. What a send-back took off no longer counts: a coat counts while
// its step does, a cutting pass and a reading while the coats under them do. Clear that
// was sent back to be sprayed again stays on the piece, under the new one: as much as
// was left of it at most, and perhaps nothing, since it is sanded before.
func FilmOf(p Piece, r Route, deeds []Deed, policy coating.Policy) coating.Film {
	film := coating.Measure(p.standing(r, deeds), policy)
	film.Gone = !film.Known() && slices.ContainsFunc(deeds, func(d Deed) bool { return d.Kind == KindCoat && d.Layer == coating.Clear })
	return film
}

func (p Piece) standing(r Route, deeds []Deed) []coating.Deed {
	current := map[ID]bool{}
	for _, s := range p.Steps {
		current[s.ID] = s.Current()
	}
	under, cleared := p.passUnder(r), p.passAt(r, LookCleared)
	var film standing
	for _, d := range deeds {
		switch {
		case d.clears() && d.Pass >= under && d.Pass < cleared:
			film.before = append(film.before, d.coating())
		case d.baseline() && d.Pass >= under:
			film.before = append(film.before, d.coating())
			film.add(d)
		case d.Kind == KindCoat && current[d.StepID], d.Kind == KindCutPass && current[d.StepID],
			d.clears() && d.Kind != KindCoat && d.Pass >= cleared:
			film.add(d)
		}
	}
	film.stay()
	return film.deeds
}

// standing gathers the deeds that count.
type standing struct {
	deeds    []coating.Deed
	before   []coating.Deed // what was done to the clear of earlier passes
	sessions sessions
}

func (s *standing) add(d Deed) {
	if d.clears() {
		s.stay()
	}
	deed := d.coating()
	if deed.Coat != nil {
		deed.Coat.Session = s.sessions.of(d)
	}
	s.deeds = append(s.deeds, deed)
}

// stay puts on what is left of the clear of earlier passes, if any is.
func (s *standing) stay() {
	if len(s.before) == 0 {
		return
	}
	if left := coating.Measure(s.before, coating.Policy{}).Clear; !left.IsZero() {
		on := coating.Range{Likely: left.Likely, High: left.High} // its low is nought: it is sanded before the new clear
		s.deeds = append(s.deeds, coating.Deed{Coat: &coating.Coat{Layer: coating.Clear, DryUM: on, Session: coating.Stayed}})
	}
	s.before = nil
}

// coating is the deed as the film counts it; zero where it doesn't.
func (d Deed) coating() coating.Deed {
	switch {
	case d.Kind == KindCoat:
		return coating.Deed{Coat: &coating.Coat{Layer: d.Layer, DryUM: d.Film}}
	case d.Kind == KindCutPass:
		return coating.Deed{Cut: &coating.Cut{Layer: d.Layer, OffUM: d.Film}}
	case d.Kind == KindReading && d.Reading.Kind == ReadFilm:
		return coating.Deed{Gauge: &coating.Gauge{Spot: d.Reading.Spot, Readings: d.Reading.FilmUM,
			SigmaUM: gaugeSigmaUM, Baseline: d.Reading.Baseline}}
	}
	return coating.Deed{}
}

// clears tells whether the deed is about the clear itself: a coat, a pass or a reading of it.
func (d Deed) clears() bool {
	if d.Kind == KindReading {
		return d.Reading.Kind == ReadFilm && !d.Reading.Baseline
	}
	return d.Layer == coating.Clear
}

// baseline tells whether the deed measures what lies under the clear.
func (d Deed) baseline() bool {
	return d.Kind == KindReading && d.Reading.Kind == ReadFilm && d.Reading.Baseline
}

// gaugeSigmaUM is the spread of one reading of a gauge for steel; common practice, no source.
const gaugeSigmaUM = 2

// sessionGap parts the sessions of clear: coats less than this apart are one visit.
const sessionGap = 6 * time.Hour

// sessions counts the visits in which clear is sprayed.
type sessions struct {
	n    int
	last time.Time
}

func (s *sessions) of(d Deed) string {
	if d.Layer == coating.Clear {
		if s.n == 0 || d.At.Sub(s.last) > sessionGap {
			s.n++
		}
		s.last = d.At
	}
	return strconv.Itoa(s.n)
}

package coating

import "slices"

// Deed is one thing done to a piece's film: exactly one of its fields is set. Deeds
// stand in the order in which they happened.
type Deed struct {
	Coat  *Coat
	Cut   *Cut
	Gauge *Gauge
	Strip *Strip
}

// Coat puts film on.
type Coat struct {
	Layer   Layer
	DryUM   Range  // by wet film and solids, or as the sheet says
	Session string // coats of one visit share it; any words
}

// Stayed is the session of clear that stayed on a piece when it was sent back: no visit,
// so that the limit of one does not apply to it.
const Stayed = "stayed"

// Cut takes film off: flatting, cutting, polishing.
type Cut struct {
	Layer Layer
	OffUM Range
}

// Gauge is a measurement on a marked spot. It reads all film that is not steel: primer,
// ground, grain and clear, filler and solder too.
type Gauge struct {
	Spot     string
	Readings []float64 // µm; when there are none, MeanUM and N stand for them
	MeanUM   float64
	N        int
	SigmaUM  float64 // spread of one reading; 0 for a gauge without doubt
	Baseline bool    // taken before the first clear of this pass
}

// Strip takes a layer and all above it off, for a new pass. Baselines are void after it.
type Strip struct{ Layer Layer }

// ReadingsPerSpot is the fewest readings that make a measurement of a spot (SSPC-PA 2).
const ReadingsPerSpot = 3

// MaxReadingUM is the thickest film that a reading is believed for: 2 mm of filler. From
// memory, the end of the scale of common gauges for steel.
const MaxReadingUM = 2000

// mean gives the mean reading and how many it is of.
func (g Gauge) mean() (um float64, n int) {
	if len(g.Readings) == 0 {
		return g.MeanUM, g.N
	}
	for _, r := range g.Readings {
		um += r
	}
	return um / float64(len(g.Readings)), len(g.Readings)
}

// CheckReading refuses a gauge reading that can't be right.
func CheckReading(um float64) error {
	if err := notNegative("reading", "The reading", um); err != nil {
		return err
	}
	if um > MaxReadingUM {
		return faultf("reading", "A film that thick is beyond every gauge. Look at the unit and the decimal point.")
	}
	return nil
}

// Check tells what keeps a deed from being counted; nil when nothing does.
func (d Deed) Check() error {
	set := 0
	var err error
	if d.Coat != nil {
		set, err = set+1, checkFilm(d.Coat.Layer, d.Coat.DryUM)
	}
	if d.Cut != nil {
		set, err = set+1, checkFilm(d.Cut.Layer, d.Cut.OffUM)
	}
	if d.Gauge != nil {
		set, err = set+1, d.Gauge.check()
	}
	if d.Strip != nil {
		set, err = set+1, checkLayer(d.Strip.Layer)
	}
	if set != 1 {
		return faultf("deed", "Say one thing that was done: a coat, a cut, a measurement or a strip.")
	}
	return err
}

func checkFilm(l Layer, um Range) error {
	if !um.Valid() {
		return faultf("film", "A film goes from low over likely to high, none below 0. Put them in order.")
	}
	return checkLayer(l)
}

func checkLayer(l Layer) error {
	if !l.Known() {
		return faultf("layer", "%.20q is no layer. Pick primer, filler, ground, grain or clear.", string(l))
	}
	return nil
}

func (g Gauge) check() error {
	for _, r := range g.Readings {
		if err := CheckReading(r); err != nil {
			return err
		}
	}
	um, n := g.mean()
	if err := firstOf(CheckReading(um), notNegative("sigma_um", "The gauge's spread", g.SigmaUM)); err != nil {
		return err
	}
	if n < ReadingsPerSpot {
		return faultf("readings", "A spot needs at least %d readings close together (SSPC-PA 2), this has %d. Take more.", ReadingsPerSpot, n)
	}
	return nil
}

// CheckCoat tells what speaks against putting a layer on a piece as it stands: grain or
// clear where no ground is on, grain over clear. nil when nothing does.
func CheckCoat(film Film, layer Layer) error {
	if err := checkLayer(layer); err != nil {
		return err
	}
	isOn := func(l Layer) bool {
		return slices.ContainsFunc(film.Layers, func(f LayerFilm) bool { return f.Layer == l && f.Left.High > 0 })
	}
	switch {
	case (layer == Grain || layer == Clear) && !isOn(Ground):
		return faultf("layer", "No ground is on this piece, so no %s goes on. Log the ground first, or pick the right piece.", layer)
	case layer == Grain && isOn(Clear):
		return faultf("layer", "Clear is on this piece, so no grain goes on. Send the piece back to grained first.")
	}
	return nil
}

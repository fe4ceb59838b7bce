package coating

import "math"

// Layer is a layer of the finish, from the steel up.
type Layer string

// The layers.
const (
	Primer Layer = "primer"
	Filler Layer = "filler" // high-build, blocked flat
	Ground Layer = "ground" // the colour under the grain
	Grain  Layer = "grain"
	Clear  Layer = "clear"
)

// Layers lists the layers from the steel up.
func Layers() []Layer { return []Layer{Primer, Filler, Ground, Grain, Clear} }

// Known tells whether l is one of [Layers].
func (l Layer) Known() bool { return l.height() >= 0 }

// height is the place of a layer above the steel; −1 for what is none.
func (l Layer) height() int {
	switch l {
	case Primer:
		return 0
	case Filler:
		return 1
	case Ground:
		return 2
	case Grain:
		return 3
	case Clear:
		return 4
	}
	return -1
}

// Material is what a data sheet says of a product, as far as it is used here. What the
// sheet doesn't state stays zero.
type Material struct {
	Name     string `json:"name"`
	Kind     Kind   `json:"kind"`
	Layer    Layer  `json:"layer"`
	Sheet    string `json:"sheet"`    // the data sheet's name
	Revision string `json:"revision"` // its revision or date
	Example  bool   `json:"example"`  // no product's: typical figures, to be replaced by a sheet's

	Parts   []PartSheet `json:"parts"`
	Thinner Thinner     `json:"thinner"`

	WetUM   Range       `json:"wet_um"` // per coat
	Waits   []WaitAt    `json:"waits"`
	PotLife []PotLifeAt `json:"pot_life"` // none: a one-part material

	Limits       Limits   `json:"limits"`
	VOCGramsPerL float64  `json:"voc_g_per_l"` // ready to spray
	Isocyanate   bool     `json:"isocyanate"`
	Cautions     []string `json:"cautions"`
}

// Kind is a kind of material.
type Kind string

// The kinds.
const (
	EpoxyPrimer  Kind = "epoxy primer"
	HighBuild    Kind = "high-build 2K"
	Ground1K     Kind = "ground 1K"
	Ground2K     Kind = "ground 2K"
	GrainOil     Kind = "grain, oil-based"
	Clear2K      Kind = "2K clear"
	ClearLacquer Kind = "lacquer clear"
	OtherKind    Kind = "other"
)

// Kinds lists the kinds.
func Kinds() []Kind {
	return []Kind{EpoxyPrimer, HighBuild, Ground1K, Ground2K, GrainOil, Clear2K, ClearLacquer, OtherKind}
}

// PartSheet is one part of a mix by volume: 4, 1 and 1 for 4:1:1.
type PartSheet struct {
	Name         string  `json:"name"`
	Share        float64 `json:"share"`
	VolumeSolids float64 `json:"volume_solids"` // fraction; 0 for thinner
}

// Thinner is thinner that the sheet states as a fraction on top of the parts. One that
// is itself a part of the ratio (the last 1 of 4:1:1) stands among the parts.
type Thinner struct {
	Name     string    `json:"name"`
	Fraction float64   `json:"fraction"` // 0.10 for "+ 10 %"; 0 for none
	Of       ThinnerOf `json:"of"`       // zero: of all parts
}

// ThinnerOf is what a thinner's fraction is counted of: sheets differ.
type ThinnerOf string

// What thinner is counted of.
const (
	OfParts ThinnerOf = "A+B"
	OfA     ThinnerOf = "A" // the first part alone
)

// share is the thinner's share, in the same measure as those of the parts.
func (t Thinner) share(parts []PartSheet) float64 {
	if len(parts) == 0 {
		return 0
	}
	if t.Of == OfA {
		return t.Fraction * parts[0].Share
	}
	var sum float64
	for _, p := range parts {
		sum += p.Share
	}
	return t.Fraction * sum
}

// VolumeSolids is the volume solids of the material ready to spray, by its parts and thinner.
func (m Material) VolumeSolids() (float64, error) {
	parts := make([]Part, 0, len(m.Parts)+1)
	for _, p := range m.Parts {
		parts = append(parts, Part{p.Share, p.VolumeSolids})
	}
	return MixVolumeSolids(append(parts, Part{Volume: m.Thinner.share(m.Parts)}))
}

// DryUM is the dry film of one coat sprayed as the sheet says.
func (m Material) DryUM() (Range, error) {
	vs, err := m.VolumeSolids()
	if err != nil {
		return Range{}, err
	}
	return DryRange(m.WetUM, vs)
}

// DryRange is the dry film of a wet one that is known as a range.
func DryRange(wetUM Range, volumeSolids float64) (Range, error) {
	if !wetUM.Valid() {
		return Range{}, faultf("wet_um", "The wet film goes from low over likely to high, none below 0. Put them in order.")
	}
	if err := solids(volumeSolids); err != nil {
		return Range{}, err
	}
	return wetUM.Times(volumeSolids), nil
}

// WaitAt are the waits after a coat at a temperature, in minutes. Zero is not stated.
type WaitAt struct {
	TempC     float64 `json:"temp_c"`
	Flash     int     `json:"flash_min"`      // between coats of a session
	Recoat    int     `json:"recoat_min"`     // before another material or session, unsanded
	MaxRecoat int     `json:"max_recoat_min"` // after it, scuff first
	Sand      int     `json:"sand_min"`
	Polish    int     `json:"polish_min"`
	Fit       int     `json:"fit_min"` // clamp or fit
}

// PotLifeAt is the pot life at a temperature.
type PotLifeAt struct {
	TempC   float64 `json:"temp_c"`
	Minutes int     `json:"minutes"`
}

// FactorPer10C is how many times longer a wait is 10 °C below, and shorter 10 °C above,
// where the sheet is silent (Paints and Coatings Resource Center, November 2009, for 2K
// polyurethane; elsewhere common practice, no source).
const FactorPer10C = 2.0

// Stretch is the factor by which a wait at fromC grows at toC: 2^((from − to)/10).
func Stretch(fromC, toC float64) float64 { return stretch(fromC, toC, FactorPer10C) }

// stretch is Stretch by a factor per 10 °C; what can't be one stands for [FactorPer10C].
func stretch(fromC, toC, per10C float64) float64 {
	if !(per10C >= 1 && per10C <= 10) {
		per10C = FactorPer10C
	}
	return math.Pow(per10C, (fromC-toC)/10)
}

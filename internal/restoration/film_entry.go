package restoration

import (
	"time"

	"scumble/internal/coating"
	"scumble/internal/colour"
)

// Coat says what was sprayed on a piece, as it was entered.
type Coat struct {
	Number   int       `json:"number"`             // of the coat on this stage, from 1
	Material int64     `json:"material"`           // 0: none of the shop's list
	Lots     []LotUse  `json:"lots,omitempty"`     // the tins
	WetUM    *float64  `json:"wet_um,omitempty"`   // by the comb; nil: as the sheet says
	Thinned  float64   `json:"thinned,omitempty"`  // more thinner than the sheet's, as a share of the mix
	ML       float64   `json:"ml,omitempty"`       // ready to spray, this piece's share
	SheetML  float64   `json:"sheet_ml,omitempty"` // in place of ML: the share of a coat that is sprayed as the sheet says
	Air      *AirWords `json:"air,omitempty"`      // nil: not said
}

// LotUse is a tin and how much of it went into a coat.
type LotUse struct {
	Lot int64   `json:"lot"`
	ML  float64 `json:"ml,omitempty"`
}

// AirWords is the air as it was typed or as a sensor sent it. Nil: not said.
type AirWords struct {
	AirC     *float64 `json:"air_c,omitempty"`
	SurfaceC *float64 `json:"surface_c,omitempty"`
	Humidity *float64 `json:"humidity,omitempty"` // percent
}

// CutPass says what was sanded or polished, as it was entered.
type CutPass struct {
	Grade string         `json:"grade"`         // "P1500", "compound", "polish"
	Wet   bool           `json:"wet,omitempty"` // with water
	Off   *coating.Range `json:"off,omitempty"` // µm, where it was measured; nil: as the grade usually takes
}

// ReadingKind is what an instrument measured.
type ReadingKind string

// The kinds of readings.
const (
	ReadFilm   ReadingKind = "film"
	ReadGloss  ReadingKind = "gloss"
	ReadColour ReadingKind = "colour"
)

// Reading says what an instrument showed, as it was entered.
type Reading struct {
	Kind       ReadingKind   `json:"kind"`
	Spot       string        `json:"spot,omitempty"`     // the marked place
	Baseline   bool          `json:"baseline,omitempty"` // film before the first clear coat
	FilmUM     []float64     `json:"film_um,omitempty"`  // single readings on the spot
	Gloss      *colour.Gloss `json:"gloss,omitempty"`
	Lab        *colour.Lab   `json:"lab,omitempty"` // L*, a*, b*, D65/10°
	UnderClear bool          `json:"under_clear,omitempty"`
}

// CheckSure confirms a figure that was asked about, such as a surface of 72 °C.
const CheckSure = "sure"

// Facts are what the shop knew when an entry came: they are worked out by [Judge]
// from the film, the material and the scheme, and kept with the entry, so that the
// ledger tells why it was let through and replays without asking again.
type Facts struct {
	// Needs are sentences each of which asks for a written reason.
	Needs []string `json:"needs,omitempty"`
	// Asks are figures that look mistyped: they want [CheckSure].
	Asks []string `json:"asks,omitempty"`
	// Warnings were shown; nothing is asked for.
	Warnings []string `json:"warnings,omitempty"`

	Layer      coating.Layer  `json:"layer,omitempty"`       // coat, cut pass
	Material   string         `json:"material,omitempty"`    // name
	Film       *coating.Range `json:"film,omitempty"`        // µm: dry film of the coat, or what the pass took off
	Waits      *Waits         `json:"waits,omitempty"`       // that the coat asks for
	ML         float64        `json:"ml,omitempty"`          // ready to spray that the coat took, by the comb where it read another film than the sheet's
	Lots       []LotUse       `json:"lots,omitempty"`        // the tins, each with what it gave
	Estimated  bool           `json:"estimated,omitempty"`   // the waits go beyond the sheet's temperatures
	VOC        float64        `json:"voc_g_per_l,omitempty"` // of the mix, as the sheet said then; 0 not stated
	Air        *AirWords      `json:"air,omitempty"`         // by which the coat was judged, where a sensor told some of it
	UnderFloor bool           `json:"under_floor,omitempty"` // cut pass: as it was entered, it may have gone under the floor
	LiesThere  bool           `json:"lies_there,omitempty"`  // move: the piece lay there when it was entered
	Sum        string         `json:"sum,omitempty"`         // the film in one sentence, at a tick; [NoRework] at a send-back
	StepID     ID             `json:"step,omitzero"`         // strike: of the coat that is struck out; zero: no coat
	CoatedAt   time.Time      `json:"coated_at,omitzero"`    // strike: of the coat that is the step's last then
}

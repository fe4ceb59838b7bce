package coating

import "math"

// The Magnus form over water with the constants of Alduchov & Eskridge, J. Appl.
// Meteorol. 35 (1996) 601–609: good from −40 to 50 °C, to 0.4 % of the vapour pressure.
const (
	magnusB    = 17.625
	magnusC    = 243.04
	magnusMinC = -40
	magnusMaxC = 50
)

// DewPointC is the temperature at which air of airC and rhPercent begins to wet a
// surface. It is computed over water at every temperature: below freezing it is the
// dew point of supercooled water, up to 3 °C under the frost point that tables over
// ice print. Refused: humidity of 0 or less (air that dry has none) and above 100 %, air
// below −40 or above 50 °C, where the formula's source doesn't vouch for it.
func DewPointC(airC, rhPercent float64) (float64, error) {
	if err := firstOf(checkAir(airC), checkHumidity(rhPercent)); err != nil {
		return 0, err
	}
	g := math.Log(rhPercent/100) + magnusB*airC/(magnusC+airC)
	return min(magnusC*g/(magnusB-g), airC), nil // rounding must not lift it over the air
}

func checkAir(c float64) error {
	switch {
	case !finite(c):
		return faultf("air_c", "The air temperature is not a number. Type it again.")
	case c > magnusMaxC:
		return faultf("air_c", "Air of %g °C is beyond the 50 °C that the dew point is computed for. Was it typed in °F? %g °F is %.1f °C.", c, c, DegreesC(c))
	case c < magnusMinC:
		return faultf("air_c", "Air of %g °C is below the −40 °C that the dew point is computed for. Type it again.", c)
	}
	return nil
}

func checkHumidity(rh float64) error {
	switch {
	case !finite(rh):
		return faultf("rh_percent", "The humidity is not a number. Type it again.")
	case rh == 0:
		return faultf("rh_percent", "Humidity of 0 %% has no dew point, and no shop's air is that dry. Look at the hygrometer again.")
	case rh < 0 || rh > 100:
		return faultf("rh_percent", "Humidity is a percentage above 0 and up to 100, got %g. Look at the hygrometer again.", rh)
	}
	return nil
}

// Conditions are the readings before spraying. Nil is a reading not taken.
type Conditions struct {
	AirC      *float64 `json:"air_c"`
	RHPercent *float64 `json:"rh_percent"`
	SurfaceC  *float64 `json:"surface_c"` // on the piece, not on the wall
}

// Limits are what a data sheet says of the air and of one session. Zero is not stated.
type Limits struct {
	AirMinC      float64 `json:"air_min_c,omitempty"`
	AirMaxC      float64 `json:"air_max_c,omitempty"`
	SurfaceMinC  float64 `json:"surface_min_c,omitempty"`
	RHMax        float64 `json:"rh_max_percent,omitempty"`
	SessionMaxUM float64 `json:"session_max_um,omitempty"` // dry film of one session
}

// The rules that hold where a sheet is silent: ISO 8502-4 and ISO 12944-7 as restated in
// published guides. US forms ask for 5 °F = 2.8 °C, so 3 °C is the stricter.
const (
	DewMarginC   = 3.0
	RHMaxPercent = 85.0
)

// Readings of a shop's air and steel above hottestC are rather °F typed as °C; above
// hottestF they are neither. Common practice, no source.
const (
	hottestC = 45
	hottestF = 120
)

// RemarkCode names a remark for a page that writes it in its own words and units.
type RemarkCode string

// The remarks of [SprayWindow].
const (
	NearDew        RemarkCode = "near dew"        // have: surface above dew point; limit: 3 °C
	AirCold        RemarkCode = "air cold"        // have and limit: °C
	AirHot         RemarkCode = "air hot"         // have and limit: °C
	SurfaceCold    RemarkCode = "surface cold"    // have and limit: °C
	Humid          RemarkCode = "humid"           // have and limit: percent
	TypedInF       RemarkCode = "typed in °F"     // have: as typed; limit: the same read as °F, in °C
	CannotBe       RemarkCode = "cannot be"       // have: as typed
	ReadingMissing RemarkCode = "reading missing" // Says names it
)

// Remark is a warning or a question, in few words and in °C.
type Remark struct {
	Code        RemarkCode
	Of          string // of a question: "air", "surface" or "humidity"
	Says        string
	Have, Limit float64
}

// Wet tells whether the surface was at the dew point or under it, not only near.
func (r Remark) Wet() bool { return r.Code == NearDew && r.Have <= 0 }

// Verdict is what [SprayWindow] finds.
type Verdict struct {
	Known     bool    // dew point and margin could be computed
	DewC      float64 // dew point of the air
	MarginC   float64 // surface above dew point; 0 when the surface wasn't measured
	Warnings  []Remark
	Questions []Remark // readings missing, or that may be typed wrong
}

// Fit tells whether nothing speaks against spraying: all read, nothing warned or asked.
func (v Verdict) Fit() bool { return v.Known && len(v.Warnings) == 0 && len(v.Questions) == 0 }

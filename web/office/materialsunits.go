package office

import (
	"regexp"
	"strconv"
	"strings"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// unit is how a figure that is kept in one measure is typed and shown in another.
type unit struct {
	word   string
	places int // shown in a field
	to     func(float64) float64
	from   func(float64) float64
}

func same(v float64) float64 { return v }

var (
	perCent = unit{"%", 2, func(v float64) float64 { return v * 100 }, func(v float64) float64 { return v / 100 }}
	plain   = unit{"", 4, same, same}
	inMicro = unit{"µm", 2, same, same}
	inMil   = unit{"mil", 2, coating.MilFromUM, coating.UMFromMil}
	inML    = unit{"mL", 1, same, same}
	inFlOz  = unit{"fl oz", 2, func(ml float64) float64 { return ml / coating.MLPerFlOz }, func(oz float64) float64 { return oz * coating.MLPerFlOz }}
	inM2    = unit{"m²", 4, same, same}
	inFT2   = unit{"ft²", 4, func(m2 float64) float64 { return m2 / coating.M2PerFT2 }, func(ft2 float64) float64 { return ft2 * coating.M2PerFT2 }}
	inMM    = unit{"mm", 3, same, same}
	inInch  = unit{"in", 4, func(mm float64) float64 { return mm / coating.MMPerInch }, func(in float64) float64 { return in * coating.MMPerInch }}
	inC     = unit{"°C", 2, same, same}
	inGL    = unit{"g/L", 2, same, same}
	inLBGal = unit{"lb/gal", 2, coating.LBPerGal, coating.GPerL}
	inF     = unit{"°F", 1, coating.DegreesF, coating.DegreesC}
)

// units are the measures of the shop.
type units struct {
	of                              restoration.Units
	film, temp, volume, voc, length unit
	area                            unit
	tenC                            string // a step of ten degrees Celsius
}

func unitsOf(u restoration.Units) units {
	if u == restoration.US {
		return units{u, inMil, inF, inFlOz, inLBGal, inInch, inFT2, "18 °F"}
	}
	return units{restoration.Metric, inMicro, inC, inML, inGL, inMM, inM2, "10 °C"}
}

// typed writes a figure as a field shows it.
func (u unit) typed(v float64) string {
	s := strconv.FormatFloat(u.to(v), 'f', u.places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// typedStated writes a figure that is 0 where the sheet is silent: "" then.
func (u unit) typedStated(v float64) string {
	if v == 0 {
		return ""
	}
	return u.typed(v)
}

// says writes a figure with its unit, for the eye.
func (u unit) says(v float64) string { return strings.TrimSpace(u.typed(v) + " " + u.word) }

var signedNumber = regexp.MustCompile(`^[-−]?\d{1,9}(?:[.,]\d{1,6})?$`)

// parseNumber reads a number with a decimal point or comma.
func parseNumber(s string) (float64, error) {
	switch {
	case strings.Contains(s, ".") && strings.Contains(s, ","):
		return 0, wrong("Write one decimal sign, point or comma, and none for thousands: 1250.5 or 1250,5.")
	case !signedNumber.MatchString(s):
		return 0, wrong("Write a number such as 2.5 or 2,5.")
	}
	return decimal(strings.Replace(s, "−", "-", 1)), nil
}

// figure reads a figure in a unit; 0 when the field is empty. One that stands as it was
// shown keeps what was kept, however it had been rounded.
func (f *form) figure(name string, u unit, before float64) float64 {
	if s := strings.TrimSpace(f.get(name)); s == "" || s == u.typed(before) {
		if s == "" {
			return 0
		}
		return before
	}
	v := read(f, name, parseNumber)
	if f.error(name) != "" {
		return 0
	}
	return u.from(v)
}

// share reads a percentage as a fraction. what begins the sentence about a slip.
func (f *form) share(name, what string, most, before float64) float64 {
	v := f.figure(name, perCent, before)
	switch {
	case v < 0 || v > most:
		f.fault(name, "%s goes from 0 to %.0f %%. Look at the data sheet again.", what, most*100)
	case v > 0 && v < leastShare:
		f.fault(name, "%s of %s %%? Here it is a percentage: for %s %% write %s.", what, perCent.typed(v), perCent.typed(v*100), perCent.typed(v*100))
	}
	return v
}

// leastShare is below every percentage that a sheet states: what is smaller was meant
// as a fraction.
const leastShare = 0.01

var volume = regexp.MustCompile(`^(\d{1,9}(?:[.,]\d{1,6})?) ?(ml|l|(?:us )?(?:fl )?oz|(?:us )?(?:pt|qt|gal))?$`)

// volumes are the units that an amount may be typed in, in mL.
var volumes = map[string]float64{"ml": 1, "l": 1000, "oz": coating.MLPerFlOz, "fl oz": coating.MLPerFlOz, "pt": 16 * coating.MLPerFlOz,
	"qt": 32 * coating.MLPerFlOz, "gal": 128 * coating.MLPerFlOz}

// parseVolume reads an amount of the unit, or of another that it names: "1 L", "1 qt",
// "1 US gal".
func (u unit) parseVolume(s string) (float64, error) {
	s = strings.ToLower(strings.Join(strings.Fields(s), " "))
	if strings.Contains(s, ".") && strings.Contains(s, ",") {
		return parseNumber(s)
	}
	m := volume.FindStringSubmatch(s)
	if m == nil {
		return 0, wrong("Write an amount such as 24 " + u.word + ", 1 L, 1 qt or 1 gal. A bare number is " + u.word + ".")
	}
	if m[2] == "" {
		return u.from(decimal(m[1])), nil
	}
	return decimal(m[1]) * volumes[strings.TrimPrefix(m[2], "us ")], nil
}

// otherVolumes says beside a field which other units it takes.
func (u unit) otherVolumes() string {
	if u.word == inML.word {
		return "Or with its own unit: 1 L, 1 qt."
	}
	return "Or with its own unit: 1 qt, 1 gal."
}

// amount reads an amount; 0 when the field is empty. One that stands as it was shown
// keeps what was kept.
func (f *form) amount(name string, u unit, before float64) float64 {
	if before != 0 && f.get(name) == u.typedStated(before) {
		return before
	}
	return read(f, name, u.parseVolume)
}

// coverWords writes a cover in the shop's unit.
func coverWords(m2PerL float64, u restoration.Units) string {
	if u == restoration.US {
		return strconv.FormatFloat(coating.FT2PerGal(m2PerL), 'f', 0, 64) + " ft² a gallon"
	}
	return unit{places: 1, to: same}.typed(m2PerL) + " m² a litre"
}

// rangeWords writes a range of film: "30 µm, 27–34", or "1.27 mil, 1.17–1.44": a tenth of a
// mil is as much as a coat of grain.
func rangeWords(r coating.Range, u unit) string {
	short := unit{places: 1, to: u.to}
	if u.word == inMil.word {
		short.places = inMil.places
	}
	likely := short.typed(r.Likely) + " " + u.word
	if low, high := short.typed(r.Low), short.typed(r.High); low != high {
		return likely + ", " + low + "–" + high
	}
	return likely
}

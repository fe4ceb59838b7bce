package coating

// The exact ratios of the units that a shop may prefer: an inch is 25.4 mm, a US
// gallon 231 cubic inches.
const (
	umPerMil     = MMPerInch
	litresPerGal = 231 * 0.016387064
)

// M2PerFT2 is a square foot in m²: a foot is 0.3048 m.
const M2PerFT2 = 0.3048 * 0.3048

// MMPerInch is the inch of 1959 in mm, by definition; a thousandth of it is a mil, of
// as many µm.
const MMPerInch = 25.4

// MLPerFlOz is a US fluid ounce in mL, a 128th of a gallon.
const MLPerFlOz = litresPerGal * 1000 / 128

// GramsPerLB is the avoirdupois pound, by definition.
const GramsPerLB = 453.59237

// LBPerGal gives grams per litre in pounds per US gallon, the two units in which VOC is
// stated (ASTM D3960).
func LBPerGal(gPerL float64) float64 { return gPerL * litresPerGal / GramsPerLB }

// GPerL gives pounds per US gallon in grams per litre.
func GPerL(lbPerGal float64) float64 { return lbPerGal * GramsPerLB / litresPerGal }

// UMFromMil gives thousandths of an inch in µm.
func UMFromMil(mil float64) float64 { return mil * umPerMil }

// MilFromUM gives µm in thousandths of an inch.
func MilFromUM(um float64) float64 { return um / umPerMil }

// FT2PerGal gives a cover of m² per litre in square feet per US gallon. Paint makers'
// tables use the rounded constant 1604 (exact: 1604.17 ft² for a mil of a gallon).
func FT2PerGal(m2PerL float64) float64 { return m2PerL * litresPerGal / M2PerFT2 }

// DegreesC gives degrees Fahrenheit in °C.
func DegreesC(f float64) float64 { return (f - 32) / 1.8 }

// DegreesF gives °C in degrees Fahrenheit.
func DegreesF(c float64) float64 { return c*1.8 + 32 }

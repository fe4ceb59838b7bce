package coating

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Bounds of what a data sheet can state. Beyond them a figure is rather a slip of the
// pen: common practice, no source.
const (
	maxWetUM    = 1000
	maxThinner  = 3 // three times the parts
	maxWaitMin  = 366 * 24 * 60
	maxVOC      = 1000
	coldestWait = -20
	hottestWait = 90 // force drying; beyond it the temperature is rather in °F
)

// Check tells what in a material's figures can't be right, field by field, in the order
// of its fields; nothing when all may be used. Fields are named as in its JSON. Figures
// that the sheet doesn't state are no fault, but a mix without solids is.
func Check(m Material) []Fault {
	var c faults
	c.named(m)
	c.mix(m)
	c.wet(m.WetUM)
	c.waits(m.Waits)
	c.potLife(m.PotLife)
	c.limits(m.Limits)
	const voc = "VOC goes from 0 to %g %s. Look at the data sheet again."
	c.beyond(m.VOCGramsPerL, maxVOC, "voc_g_per_l", fmt.Sprintf(voc, float64(maxVOC), "g/L"), fmt.Sprintf(voc, floor(LBPerGal(maxVOC)), "lb/gal"))
	return c
}

// faults collects what is found.
type faults []Fault

func (c *faults) when(wrong bool, field, format string, args ...any) {
	if wrong {
		*c = append(*c, Fault{Field: field, Says: fmt.Sprintf(format, args...)})
	}
}

// beyond refuses a figure that isn't from 0 to most, in the words of either units.
func (c *faults) beyond(v, most float64, field, says, inUS string) {
	if !finite(v) || v < 0 || v > most {
		*c = append(*c, Fault{Field: field, Says: says, InUS: inUS})
	}
}

// floor cuts a bound to a tenth, so that what is named is still inside.
func floor(v float64) float64 { return math.Floor(v*10) / 10 }

// add takes over the fault of a check, beside a field.
func (c *faults) add(field string, err error) {
	if err != nil {
		*c = append(*c, Fault{Field: field, Says: err.Error()})
	}
}

func (c *faults) named(m Material) {
	c.when(m.Name == "", "name", "The name is missing. Write it as on the tin.")
	c.when(!slices.Contains(Kinds(), m.Kind), "kind", "%.30q is no kind known here. Pick one of the list.", string(m.Kind))
	c.add("layer", checkLayer(m.Layer))
	c.when(m.Sheet == "", "sheet", "The data sheet is missing. Write its name, so that its figures can be looked up again.")
	c.when(m.Revision == "" && !m.Example, "revision", "The sheet's revision is missing. Write its number or date.")
}

func (c *faults) mix(m Material) {
	c.when(len(m.Parts) == 0, "parts", "The material has no parts. Add at least one with its share.")
	before := len(*c)
	for i, p := range m.Parts {
		at := fmt.Sprintf("parts[%d].", i)
		c.when(p.Name == "", at+"name", "The part has no name. Write it as on the tin.")
		c.add(at+"share", positive("", "The share of a part", p.Share))
		c.add(at+"volume_solids", fraction("", "Volume solids", p.VolumeSolids))
	}
	t := m.Thinner
	c.add("thinner.fraction", checkThinner(t.Fraction))
	c.when(t.Of != "" && t.Of != OfParts && t.Of != OfA, "thinner.of", "Thinner is counted of A+B or of A. Pick one.")
	c.when(t.Fraction > 0 && t.Name == "", "thinner.name", "The thinner has no name. Write it as on the tin.")
	if len(m.Parts) > 0 && len(*c) == before {
		vs, err := m.VolumeSolids()
		c.when(err == nil && vs == 0, "parts", "The mix has no solids and would leave no film. Write the volume solids of its parts.")
	}
}

func checkThinner(f float64) error {
	switch {
	case !finite(f) || f < 0:
		return faultf("thinner.fraction", "Thinner is a fraction of the parts, 0 for none. Type it again.")
	case f > maxThinner:
		return faultf("thinner.fraction", "Thinner is a fraction of the parts, got %g. For %g %% write %g.", f, f, f/100)
	}
	return nil
}

func (c *faults) wet(um Range) {
	if um.IsZero() {
		return
	}
	c.when(!um.Valid(), "wet_um", "The wet film goes from low over likely to high, none below 0. Put them in order.")
	c.when(um.High > maxWetUM, "wet_um", "A wet film that thick runs off any piece. Look at the unit and the decimal point.")
}

// waitFields are the waits of a temperature with their names.
func waitFields(w WaitAt) []struct {
	name    string
	minutes int
} {
	return []struct {
		name    string
		minutes int
	}{
		{"flash_min", w.Flash}, {"recoat_min", w.Recoat}, {"max_recoat_min", w.MaxRecoat},
		{"sand_min", w.Sand}, {"polish_min", w.Polish}, {"fit_min", w.Fit},
	}
}

func (c *faults) waits(waits []WaitAt) {
	temps := make([]float64, len(waits))
	for i, w := range waits {
		at := fmt.Sprintf("waits[%d].", i)
		temps[i] = w.TempC
		for _, f := range waitFields(w) {
			c.when(f.minutes < 0 || f.minutes > maxWaitMin, at+f.name, "A wait is from 0 minutes to a year. Type it again.")
		}
		c.when(w.MaxRecoat > 0 && w.MaxRecoat < w.Recoat, at+"max_recoat_min",
			"The longest time to recoat is shorter than the shortest. Look whether the two were swapped.")
	}
	c.temperatures("waits", temps)
	for k, f := range waitFields(WaitAt{}) {
		c.shrinking("waits", f.name, temps, func(i int) int { return waitFields(waits[i])[k].minutes })
	}
}

func (c *faults) potLife(lives []PotLifeAt) {
	temps := make([]float64, len(lives))
	for i, p := range lives {
		temps[i] = p.TempC
		c.when(p.Minutes < 1 || p.Minutes > maxWaitMin, fmt.Sprintf("pot_life[%d].minutes", i), "A pot life is from 1 minute to a year. Type it again.")
	}
	c.temperatures("pot_life", temps)
	c.shrinking("pot_life", "minutes", temps, func(i int) int { return lives[i].Minutes })
}

// temperatures finds those that no sheet states, or states twice.
func (c *faults) temperatures(field string, temps []float64) {
	for i, t := range temps {
		at := fmt.Sprintf("%s[%d].temp_c", field, i)
		c.when(!finite(t) || t < coldestWait || t > hottestWait, at, "No sheet states times at that temperature. Look whether it was meant in the other unit.")
		c.when(slices.Contains(temps[:i], t), at, "That temperature stands here twice. Keep one of the two.")
	}
}

// shrinking finds a time that is longer at the higher of two temperatures.
func (c *faults) shrinking(field, name string, temps []float64, minutes func(int) int) {
	var order []int
	for i := range temps {
		if minutes(i) > 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(temps[a], temps[b]) })
	for k := 1; k < len(order); k++ {
		cold, warm := order[k-1], order[k]
		c.when(minutes(warm) > minutes(cold), fmt.Sprintf("%s[%d].%s", field, warm, name),
			"It is longer here than at a colder temperature. Look whether the two were swapped.")
	}
}

func (c *faults) limits(l Limits) {
	for _, t := range []struct {
		name string
		c    float64
	}{{"air_min_c", l.AirMinC}, {"air_max_c", l.AirMaxC}, {"surface_min_c", l.SurfaceMinC}} {
		c.when(!finite(t.c) || t.c < coldestWait || t.c > magnusMaxC, "limits."+t.name, "That temperature is no limit for spraying. Look whether it was meant in the other unit.")
	}
	c.when(l.AirMinC != 0 && l.AirMaxC != 0 && l.AirMinC >= l.AirMaxC, "limits.air_max_c",
		"The warmest air is not above the coldest. Look whether the two were swapped.")
	c.when(!finite(l.RHMax) || l.RHMax < 0 || l.RHMax > 100, "limits.rh_max_percent", "Humidity is a percentage from 0 to 100. Type it again.")
	const session = "The film of a session is from 0 to %g %s. Type it again."
	c.beyond(l.SessionMaxUM, maxWetUM, "limits.session_max_um", fmt.Sprintf(session, float64(maxWetUM), "µm"), fmt.Sprintf(session, floor(MilFromUM(maxWetUM)), "mil"))
}

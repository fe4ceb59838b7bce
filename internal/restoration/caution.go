package restoration

import (
	"slices"
	"strings"
	"time"

	"scumble/internal/coating"
)

// Caution is a sentence that keeps people from harm, with where it comes from.
type Caution struct {
	Key    string // "" of one that the shop or a sheet added
	Text   string
	Source string // regulation or standard; "" where the text is the shop's or a sheet's
}

// CautionCloses ends every list of cautions.
const CautionCloses = "Follow the product's data sheets, local code and licensed practice."

// The sentences shown beside the stages where the work can hurt someone. Stages that
// were saved hold them word for word, so a word changed here makes the old one the
// shop's own.
const (
	cautionStrip  = "No dichloromethane stripper (40 CFR 751 subpart B). Gloves, face shield, air."
	cautionLead   = "Treat old paint and solder as lead: work wet, HEPA vacuum, no dry sanding, never grind; wash before eating (29 CFR 1910.1025)."
	cautionMist   = "Spray mist and solvent: wear the respirator that the material's sheet asks for (29 CFR 1910.134). Nobody enters before the booth's clearance time."
	cautionUnsure = "If the material holds isocyanate: air-fed hood until you are out of the booth; don't lift the visor to look (HSE HSG276)."
	cautionNCO    = "Isocyanate: air-fed hood until you are out of the booth; don't lift the visor to look. Nobody enters before the booth's clearance time (HSE HSG276)."
	cautionBooth  = "Booth: no spark, no phone, no ordinary tablet. Fan on before and after (29 CFR 1910.107)."
	cautionDust   = "Mask, eyes, gloves: film under a week old may still react."
	cautionNoise  = "Ears: muffs or plugs at blasting, air tools and machines, wherever one must raise the voice to be heard (29 CFR 1910.95)."
	cautionRags   = "Oily rags burn by themselves: water-filled can with a lid (common practice)."
	cautionNoHeat = "Weld or braze before solder, never after it. Zinc castings take low heat only (common practice)."
	cautionSkin   = "Epoxy: gloves and sleeves; skin that it has once sensitised stays so (common practice)."
)

// Cautions lists those that ship, each with its source in full. Where a source was
// not looked up again it says "from memory".
func Cautions() []Caution {
	return []Caution{
		{"strippers", cautionStrip, "40 CFR 751 subpart B, dichloromethane (89 FR 39254, in force 8 July 2024; its dates have moved since: read the text)"},
		{"lead", cautionLead, "29 CFR 1910.1025, lead: 50 µg/m³ over 8 h, action level 30 µg/m³"},
		{"mist", cautionMist, "29 CFR 1910.134, respiratory protection; clearance time: HSE HSG276 (both from memory)"},
		{"isocyanate-unsure", cautionUnsure, "HSE HSG276 and INDG388 (from memory)"},
		{"isocyanate", cautionNCO, "HSE HSG276 and INDG388 (from memory); Regulation (EU) 2020/1149: training before use since 24 August 2023, again every 5 years"},
		{"fire", cautionBooth, "29 CFR 1910.107, spray finishing; NFPA 33"},
		{"dust", cautionDust, "J. Occup. Environ. Hyg. 4:406–411 (2007): free isocyanate stayed on refinished surfaces for 0.8 h to 32 days"},
		{"noise", cautionNoise, "29 CFR 1910.95, occupational noise: action at 85 dBA over 8 h (from memory)"},
		{"rags", cautionRags, "common practice, no source"},
		{"heat", cautionNoHeat, "common practice, no source"},
		{"epoxy", cautionSkin, "common practice, no source"},
	}
}

// BenchCaution is a caution as it is shown to who is about to work: what to do, and the
// standard's name where it has one. How well its source is known is for the office and
// the reference, and is left out.
func BenchCaution(text string) string {
	for _, mark := range []string{"common practice, no source", "common practice", "from memory"} {
		text = strings.ReplaceAll(text, " ("+mark+")", "")
	}
	return text
}

// CautionsFor lists what is shown before work at a stage with a material, nil where
// none is chosen: what ships for the stage, what its own nature asks of the material,
// then what the shop and the data sheet add. Each is said once. Isocyanate is spoken of
// where the material holds it, and with an "if" where that is not known.
// [CautionCloses] goes below.
func CautionsFor(s Stage, m *Material) []Caution {
	says := ShippedCautions(s)
	if m != nil {
		says = slices.Clone(says)
		if at := slices.Index(says, cautionUnsure); at >= 0 && m.Isocyanate {
			says[at] = cautionNCO
		} else if at >= 0 && !mayHoldIsocyanate(*m) {
			says = slices.Delete(says, at, at+1)
		}
		says = append(says, cautionsOf(*m)...)
	}
	says = append(slices.Clone(says), OwnCautions(s)...)
	if m != nil {
		says = append(says, m.Cautions...)
	}
	shipped := Cautions()
	var list []Caution
	for i, text := range says {
		if slices.Contains(says[:i], text) {
			continue
		}
		c := Caution{Text: text}
		if at := slices.IndexFunc(shipped, func(c Caution) bool { return c.Text == text }); at >= 0 {
			c = shipped[at]
		}
		list = append(list, c)
	}
	return list
}

// cautionsOf are those that a material brings to whatever stage it is used at.
func cautionsOf(m Material) []string {
	var says []string
	if m.Isocyanate {
		says = append(says, cautionNCO)
	}
	switch m.Kind {
	case coating.EpoxyPrimer:
		says = append(says, cautionSkin)
	case coating.GrainOil:
		says = append(says, cautionRags)
	}
	return says
}

// mayHoldIsocyanate tells whether a material is marked as holding isocyanate or, though
// it is not, is of a kind that mostly does (common practice, no source): somebody may
// have forgotten the mark. What cures by epoxy, or by losing its solvent, does not.
func mayHoldIsocyanate(m Material) bool {
	if m.Isocyanate {
		return true
	}
	switch m.Kind {
	case coating.HighBuild, coating.Ground2K, coating.Clear2K:
		return true
	case coating.OtherKind:
		return len(m.Parts) > 1
	}
	return false
}

// CautionDue tells whether the cautions of a stage are to be shown before a tick: they
// are, once a day. lastSeen is when this person last saw them; zero: never. Days are
// those of loc.
func CautionDue(lastSeen, now time.Time, loc *time.Location) bool {
	if lastSeen.IsZero() {
		return true
	}
	y, m, d := lastSeen.In(loc).Date()
	ny, nm, nd := now.In(loc).Date()
	return y != ny || m != nm || d != nd
}

// ShippedCautions gives the cautions that a stage always shows: those of the stock
// route's stage of the same key, else of the same look, and those of the booth for
// every stage that is sprayed. A shop adds its own but can't take these away: they
// keep people from harm.
func ShippedCautions(s Stage) []string {
	stock := StockRoute()
	i := slices.IndexFunc(stock.Stages, func(o Stage) bool { return o.Key == s.Key })
	if i < 0 {
		i = slices.IndexFunc(stock.Stages, func(o Stage) bool { return o.Look == s.Look })
	}
	var shipped []string
	if i >= 0 {
		shipped = stock.Stages[i].Cautions
	}
	if s.Booth && !slices.Contains(shipped, cautionBooth) {
		shipped = append(slices.Clone(shipped), cautionMist, cautionUnsure, cautionBooth)
	}
	return shipped
}

// OwnCautions gives the cautions that the shop added to a stage. That of isocyanate is
// none of them where the stage is sprayed: it shipped with such stages before it went by
// the material, and stages that were saved then hold it.
func OwnCautions(s Stage) []string {
	shipped := ShippedCautions(s)
	if slices.Contains(shipped, cautionUnsure) {
		shipped = append(slices.Clone(shipped), cautionNCO)
	}
	return slices.DeleteFunc(slices.Clone(s.Cautions), func(c string) bool { return slices.Contains(shipped, c) })
}

// WithCautions gives the route with every shipped caution on its stage, before the
// shop's own.
func (r Route) WithCautions() Route {
	r.Stages = slices.Clone(r.Stages)
	for i, s := range r.Stages {
		r.Stages[i].Cautions = append(slices.Clone(ShippedCautions(s)), OwnCautions(s)...)
	}
	return r
}

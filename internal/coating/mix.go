package coating

import "math"

// Need is a set of pieces to be sprayed with one material.
type Need struct {
	AreaM2   float64
	WetUM    float64 // per coat
	Coats    int
	Transfer float64 // fraction of the paint that reaches the pieces
	Waste    float64 // fraction on top, 0.10 for 10 %
	FixedML  float64 // what stays in cup, gun and strainer, per mix
}

// The figures to begin with: waste and the fixed loss of a mix. Common practice, no source.
const (
	UsualWaste   = 0.10
	UsualFixedML = 50.0
)

// ReadyToSprayML is the amount to mix, ready to spray, for one mix:
// area × wet × coats ÷ transfer × (1 + waste) + fixed loss.
func ReadyToSprayML(n Need) (float64, error) {
	err := firstOf(
		positive("area_m2", "The area", n.AreaM2),
		positive("wet_um", "The wet film", n.WetUM),
		share("transfer", "Transfer", n.Transfer),
		fraction("waste", "Waste", n.Waste),
		notNegative("fixed_ml", "The fixed loss", n.FixedML),
	)
	if err == nil && (n.Coats < 1 || n.Coats > 1000) {
		err = faultf("coats", "The number of coats is from 1 to 1,000, got %d. Type it again.", n.Coats)
	}
	if err != nil {
		return 0, err
	}
	return counted("area_m2", n.AreaM2*n.WetUM*float64(n.Coats)/n.Transfer*(1+n.Waste)+n.FixedML)
}

// ForSlimPiece is the transfer on a piece slimmer than the fan of the gun: what passes
// by is lost, so transfer × width ÷ fan. Mouldings laid side by side count as one width.
// Common practice, no source.
func ForSlimPiece(transfer, widthMM, fanMM float64) (float64, error) {
	err := firstOf(
		share("transfer", "Transfer", transfer),
		positive("width_mm", "The width", widthMM),
		positive("fan_mm", "The fan", fanMM),
	)
	if err != nil {
		return 0, err
	}
	return transfer * min(1, widthMM/fanMM), nil
}

// FoilAreaM2 is the area of a piece wrapped in foil: the foil's mass ÷ its mass per m²
// (kitchen foil of 16 µm: 43.2 g/m²).
func FoilAreaM2(grams, gramsPerM2 float64) (float64, error) {
	err := firstOf(positive("grams", "The foil's mass", grams), positive("grams_per_m2", "The foil's mass per m²", gramsPerM2))
	if err != nil {
		return 0, err
	}
	return counted("grams_per_m2", grams/gramsPerM2)
}

// PartML is the volume of one part of a mix.
type PartML struct {
	Name    string
	ExactML float64 // by the ratio, of the total asked for
	ML      float64 // to pour: what a cup can show
}

// SplitML splits a total by the ratio of its parts, thinner last if there is any. The
// volumes to pour are whole steps of 10, 5 or 1 mL that keep the ratio, never less than
// the total together: the coarsest step that adds no more than a twentieth. Where the
// ratio fits no step they are the whole mL that come nearest to it, for up to a quarter
// (or 10 mL) more.
func SplitML(totalML float64, parts []PartSheet, thinner Thinner) ([]PartML, error) {
	if err := positive("total_ml", "The amount", totalML); err != nil {
		return nil, err
	}
	if totalML > maxMixML {
		return nil, faultf("total_ml", "%g mL is more than a shop mixes at once. Look at the decimal point.", totalML)
	}
	out, shares, err := ratio(parts, thinner)
	if err != nil {
		return nil, err
	}
	var sum float64
	for _, s := range shares {
		sum += s
	}
	total, ok := cupTotal(totalML, shares, sum)
	if !ok {
		total = nearestTotal(totalML, shares, sum)
	}
	for i, s := range shares {
		out[i].ExactML, out[i].ML = totalML*s/sum, wholeML(total*s/sum)
	}
	return out, nil
}

// wholeML rounds to what a fine cup shows, at least one: no part is left out.
func wholeML(ml float64) float64 { return max(1, math.Round(ml)) }

// ratioSlack is how far a part may stray from its share before a larger total is tried.
const ratioSlack = 0.02

// nearestTotal finds the total whose parts, rounded to whole mL, stray least from the
// ratio; the first that strays by less than the slack will do.
func nearestTotal(totalML float64, shares []float64, sum float64) float64 {
	most := max(totalML*1.25, totalML+10) + 1
	best, least := most, math.Inf(1)
	for total := math.Ceil(totalML); total <= most; total++ {
		var poured, stray float64
		for _, s := range shares {
			exact := total * s / sum
			poured += wholeML(exact)
			stray = max(stray, math.Abs(wholeML(exact)/exact-1))
		}
		if poured >= totalML && stray < least {
			best, least = total, stray
		}
		if least <= ratioSlack {
			break
		}
	}
	return best
}

const maxMixML = 1_000_000

// ratio names the parts with their shares, the thinner's fraction turned into a share.
func ratio(parts []PartSheet, thinner Thinner) ([]PartML, []float64, error) {
	var out []PartML
	var shares []float64
	for _, p := range parts {
		if err := positive("share", "The share of a part", p.Share); err != nil {
			return nil, nil, err
		}
		out, shares = append(out, PartML{Name: p.Name}), append(shares, p.Share)
	}
	if len(parts) == 0 {
		return nil, nil, faultf("parts", "The material has no parts. Add at least one with its share.")
	}
	if err := checkThinner(thinner.Fraction); err != nil {
		return nil, nil, err
	}
	if s := thinner.share(parts); s > 0 {
		out, shares = append(out, PartML{Name: thinner.Name}), append(shares, s)
	}
	return out, shares, nil
}

// cupTotal finds the total whose parts are all whole steps of the cup.
func cupTotal(totalML float64, shares []float64, sum float64) (total float64, ok bool) {
	divisor, ok := commonShare(shares)
	if !ok {
		return 0, false
	}
	for _, step := range []float64{10, 5, 1} {
		block := sum / divisor * step
		total = math.Ceil(totalML/block-roundingSlack) * block
		if total <= totalML*1.05 {
			return total, true
		}
	}
	return 0, false
}

// commonShare is the greatest share that goes into all of them, to a thousandth.
func commonShare(shares []float64) (float64, bool) {
	var common int
	for _, s := range shares {
		n := int(math.Round(s * 1000))
		if n <= 0 || math.Abs(float64(n)-s*1000) > 1e-6 || s > 1e6 {
			return 0, false
		}
		for n != 0 {
			common, n = n, common%n
		}
	}
	return float64(common) / 1000, true
}

// MixPlan is how many times to mix, and how much each time.
type MixPlan struct {
	Count   int
	EachML  float64
	TotalML float64
}

// Mixes splits an amount into equal mixes that are each used up within the pot life.
// totalML holds the fixed loss of one mix, as [ReadyToSprayML] gives it; every further mix
// loses as much again. Minutes needed are those of spraying the whole amount, flash times
// between coats included; the pot life begins with mixing. Pot life 0 is a material that keeps.
func Mixes(totalML, fixedML, potLifeMin, minutesNeeded float64) (MixPlan, error) {
	err := firstOf(
		positive("total_ml", "The amount", totalML),
		notNegative("fixed_ml", "The fixed loss", fixedML),
		notNegative("pot_life", "The pot life", potLifeMin),
		notNegative("minutes_needed", "The time needed", minutesNeeded),
	)
	if err == nil && fixedML > totalML {
		err = faultf("fixed_ml", "The fixed loss of %g mL is more than the amount. Look at both again.", fixedML)
	}
	if err != nil {
		return MixPlan{}, err
	}
	count := 1.0
	if potLifeMin > 0 {
		count = max(1, math.Ceil(minutesNeeded/potLifeMin-roundingSlack))
	}
	if count > 1000 {
		return MixPlan{}, faultf("pot_life", "A pot life of %g min would take more than 1,000 mixes. Look at the data sheet again.", potLifeMin)
	}
	total := totalML + (count-1)*fixedML
	return MixPlan{Count: int(count), EachML: total / count, TotalML: total}, nil
}

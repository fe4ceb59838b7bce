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

package restoration

import (
	"fmt"
	"math"
)

func hourReferences() []Reference {
	each := Hours3(1, 2, 4.5)
	return []Reference{
		{"Hours", "Mean of three points", "(low + 4 × likely + high) ÷ 6", "Malcolm, Roseboom, Clark & Fazar, Operations Research 7(5), 1959",
			"1 / 2 / 4.5 h", "2.25 h", func() string { return shown("%.2f h")(each.Mean()/60, nil) }},
		{"Hours", "Spread of three points", "(high − low) ÷ 6", "the same",
			"1 / 2 / 4.5 h", "0.583 h", func() string { return shown("%.3f h")(each.StdDev()/60, nil) }},
		{"Hours", "Sum of independent estimates", "Σ mean; √Σ spread²", "the same",
			"16 of 1 / 2 / 4.5 h", "36 h, spread 2.33 h", func() string {
				return fmt.Sprintf("%.0f h, spread %.2f h", 16*each.Mean()/60, math.Sqrt(16)*each.StdDev()/60)
			}},
		{"Hours", "Left of a step", "planned − logged, at least a tenth of planned and 0.25 h", "common practice, no source: what is not ticked is never free",
			"planned 2 h; logged 1.5, 1.9 and 3 h", "0.5 h / 0.25 h / 0.25 h", func() string {
				left := func(logged Minutes) string {
					return Left(Step{State: StepInHand, Planned: Hours3(1, 2, 4), Logged: logged}).Decimal()
				}
				return left(90) + " / " + left(114) + " / " + left(180)
			}},
		{"Hours", "Percent done", "planned hours of the done steps ÷ planned hours of all, rework apart", commonPractice,
			"30 of 80 h", "37.5 %", func() string { return shown("%.1f %%")(Roll{Planned: 80 * 60, Earned: 30 * 60}.PercentDone(), nil) }},
		{"Hours", "Planned of a step", "standard × access × condition × quality", commonPractice,
			"medium, fixed in the car, grade 4, show: blocking 1 / 2 / 4.5 h", "1.95 h / 4.68 h / 14.63 h", func() string {
				d := Details{Size: SizeMedium, Mounting: MountFixed, Grade: 4}
				for _, p := range Planned(d, QualityShow, StockRoute(), StockSettings().Factors) {
					if p.Stage == "blocked" {
						return p.Hours.Low.Decimal() + " / " + p.Hours.Likely.Decimal() + " / " + p.Hours.High.Decimal()
					}
				}
				return "not planned"
			}},
		{"Hours", "Size of a piece", "small under 0.05 m², medium to 0.2 m², large above", commonPractice,
			"0.04, 0.2 and 0.21 m²", "small / medium / large", func() string {
				return string(SizeOf(.04) + " / " + SizeOf(.2) + " / " + SizeOf(.21))
			}},
	}
}

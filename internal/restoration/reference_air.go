package restoration

import (
	"fmt"

	"scumble/internal/coating"
)

const magnus = "Magnus form, Alduchov & Eskridge, J. Appl. Meteorol. 35:601 (1996): 17.625 and 243.04 °C"

func airReferences() []Reference {
	return []Reference{
		{"Air", "Dew point", "γ = ln(RH/100) + 17.625·T ÷ (243.04 + T); dew = 243.04·γ ÷ (17.625 − γ)", magnus,
			"20 °C, 60 %", "12.0 °C", func() string { return shown("%.1f °C")(coating.DewPointC(20, 60)) }},
		{"Air", "Dew point, warmer", "the same", magnus,
			"25 °C, 50 %", "13.86 °C", func() string { return shown("%.2f °C")(coating.DewPointC(25, 50)) }},
		{"Air", "Degrees Fahrenheit", "°F = 1.8 × °C + 32", "by definition",
			"20 °C; a step of 10 °C", "68 °F; 18 °F", func() string {
				return fmt.Sprintf("%.0f °F; %.0f °F", coating.DegreesF(20), coating.DegreesF(10)-coating.DegreesF(0))
			}},
		{"Air", "May be sprayed", "surface − dew point ≥ 3 °C", "ISO 8502-4; ISO 12944-7",
			"air 20 °C, 60 %, surface 14.5 °C", "2.5 °C: not fit", func() string {
				air, rh, surface := 20.0, 60.0, 14.5
				v := coating.SprayWindow(coating.Conditions{AirC: &air, RHPercent: &rh, SurfaceC: &surface}, coating.Limits{})
				fit := "not fit"
				if v.Fit() {
					fit = "fit"
				}
				return fmt.Sprintf("%.1f °C: %s", v.MarginC, fit)
			}},
	}
}

func waitReferences() []Reference {
	doubling := "Paints and Coatings Resource Center, November 2009, for two-part polyurethane; elsewhere " + commonPractice
	return []Reference{
		{"Waits", "A wait in the cold", "wait × 2^((T stated − T) ÷ 10)", doubling,
			"24 h at 20 °C, at 12 °C", "41.8 h", func() string { return shown("%.1f h")(24*coating.Stretch(20, 12), nil) }},
		{"Waits", "Cured time", "Σ hours × 2^((T − 20) ÷ 10)", doubling,
			"8 h at 22 °C, 16 h at 12 °C", "18.4 h", func() string {
				return shown("%.1f h")(coating.CuredHours([]coating.TempSpan{{Hours: 8, TempC: 22}, {Hours: 16, TempC: 12}}), nil)
			}},
		{"Waits", "Between two temperatures of a sheet", "interpolated on the logarithm of the time", "a printed epoxy sheet: 24 h at 20 °C, 8 h at 30 °C",
			"pot life at 25 °C", "831 min, as stated; factor 3 per 10 °C", func() string {
				m := coating.Material{PotLife: []coating.PotLifeAt{{TempC: 20, Minutes: 24 * 60}, {TempC: 30, Minutes: 8 * 60}}}
				minutes, estimated := m.PotLifeAt(25, coating.FactorPer10C)
				at20, _ := m.PotLifeAt(20, coating.FactorPer10C)
				at30, _ := m.PotLifeAt(30, coating.FactorPer10C)
				said := "as stated"
				if estimated {
					said = "an estimate"
				}
				return fmt.Sprintf("%d min, %s; factor %.3g per 10 °C", minutes, said, float64(at20)/float64(at30))
			}},
	}
}

func paperReferences() []Reference {
	step := func(from, to string) func() string {
		return func() string {
			steps, err := coating.Ladder([]string{from, to}, coating.LadderLimit)
			if err != nil {
				return err.Error()
			}
			if steps[0].TooFar {
				return fmt.Sprintf("%.2f: too far", steps[0].Ratio)
			}
			return fmt.Sprintf("%.2f: passes", steps[0].Ratio)
		}
	}
	return []Reference{
		{"Paper", "Grain of a paper", "mean grain size by table", "ISO 6344-3:2021 (FEPA P grades)",
			"P800", "21.8 µm", func() string { return shown("%.1f µm")(coating.GrainSizeUM("P800")) }},
		{"Paper", "US grades", "mean grain size by table", "ANSI B74.18 as published: US 1000 is about P2000",
			"US 1000", "10.3 µm", func() string { return shown("%.1f µm")(coating.GrainSizeUM("US 1000")) }},
		{"Paper", "From one paper to the next", "grain ÷ grain ≤ 2", commonPractice, "P800 to P1500", "1.73: passes", step("P800", "P1500")},
		{"Paper", "One that leaves scratches", "grain ÷ grain ≤ 2", commonPractice, "P800 to P2500", "2.60: too far", step("P800", "P2500")},
	}
}

package restoration

import (
	"fmt"

	"scumble/internal/coating"
)

func filmReferences() []Reference {
	return []Reference{
		{"Film", "Dry film", "dry = wet × volume solids", "ASTM D4414 (wet film), printed data sheets",
			"60 µm wet, 52 %", "31.2 µm", func() string { return shown("%.1f µm")(coating.DryFilmUM(60, .52)) }},
		{"Film", "Wet film to spray", "wet = dry ÷ volume solids", "the same, turned round",
			"25 µm dry, 40 %", "62.5 µm", func() string { return shown("%.1f µm")(coating.WetFilmUM(25, .40)) }},
		{"Film", "Volume solids of a mix", "Σ(volume × solids) ÷ Σ volume", "by definition; thinner has none",
			"4 (58 %) : 1 (75 %) : 1 thinner", "51.17 %", func() string {
				vs, err := coating.MixVolumeSolids([]coating.Part{{Volume: 4, VolumeSolids: .58}, {Volume: 1, VolumeSolids: .75}, {Volume: 1}})
				return shown("%.2f %%")(100*vs, err)
			}},
		{"Film", "More thinner", "solids ÷ (1 + share of thinner)", "by definition",
			"45 %, 10 % more", "40.91 %", func() string {
				vs, err := onePart(.45).SolidsThinned(.10)
				return shown("%.2f %%")(100*vs, err)
			}},
		{"Film", "Thousandths of an inch", "µm = 25.4 × mil", "the inch of 1959: 25.4 mm exactly",
			"2.0 mil", "50.8 µm", func() string { return shown("%.1f µm")(coating.UMFromMil(2), nil) }},
		{"Film", "Coats for a build", "dry ÷ (wet × solids), rounded up",
			"common practice, no source: an old lacquer took some twenty coats where catalysed clear takes four",
			"100 µm by lacquer of 50 µm wet, 10 %; by clear of 60 µm wet, 45 %", "20 / 4", func() string {
				lacquer, err := coating.CoatsFor(100, 50, .10)
				clear, err2 := coating.CoatsFor(100, 60, .45)
				return shownAll("%.0f", float64(lacquer), float64(clear)) + faultOf(err) + faultOf(err2)
			}},
	}
}

// onePart is a material of one part and nothing else.
func onePart(solids float64) coating.Material {
	return coating.Material{Parts: []coating.PartSheet{{Name: "paint", Share: 1, VolumeSolids: solids}}}
}

// faultOf writes an error behind a number, so that the check doesn't hold.
func faultOf(err error) string {
	if err == nil {
		return ""
	}
	return " " + err.Error()
}

func clearReferences() []Reference {
	return []Reference{
		{"Clear", "Clear left, by what was put on and cut off", "low = low on − high off, and so on; may go = low − floor",
			commonPractice + "; figures per pass from memory",
			"4 coats of 28/32/36 µm, flatted 10/15/20, cut from P1000 to polish", "66.5 / 95.3 / 122.2 µm", clearByCoats},
		{"Clear", "Clear left, by gauge", "mean of ≥ 3 readings − mean of the baseline", "SSPC-PA 2; ISO 2808",
			"312, 316, 314 over 208, 211, 210 µm; floor 50", "104.3 µm, 54.3 may go", func() string {
				f := gauged(0, []float64{208, 211, 210}, []float64{312, 316, 314})
				return fmt.Sprintf("%.1f µm, %.1f may go", f.Clear.Likely, f.MayGoUM)
			}},
		{"Clear", "Doubt of a difference by gauge", "σ × √(1/n + 1/n); the range is 1.96 of it each way", "propagation of independent errors",
			"σ 2 µm, 3 readings each", "σ 1.63 µm", func() string {
				f := gauged(2, []float64{210, 210, 210}, []float64{310, 310, 310})
				return fmt.Sprintf("σ %.2f µm", (f.Clear.High-f.Clear.Likely)/1.96)
			}},
		{"Clear", "Edges", "factor × left − (1 − factor) × cut away", commonPractice,
			"100 µm put on, 20 cut off, factor 0.6", "40 µm at the edge", func() string {
				f := coating.Measure([]coating.Deed{coatOf(coating.Exactly(100)), cutOf(coating.Exactly(20))}, coating.Policy{FloorUM: 30, EdgeFactor: .6})
				return fmt.Sprintf("%.0f µm at the edge", f.Edge.Low)
			}},
		{"Clear", "Acceptance of a film", "spots from 80 % of the least to 120 % of the greatest, their mean within both", "SSPC-PA 2, level 3",
			"60–80 µm; spots of 50, 70 and 75 µm", "48–96 µm, mean 65.0, passes", acceptance},
	}
}

func coatOf(dry coating.Range) coating.Deed {
	return coating.Deed{Coat: &coating.Coat{Layer: coating.Clear, DryUM: dry}}
}

func cutOf(off coating.Range) coating.Deed {
	return coating.Deed{Cut: &coating.Cut{Layer: coating.Clear, OffUM: off}}
}

func clearByCoats() string {
	ladder, err := coating.LadderRemoval([]string{"P1000", "P1500", "P2000", "P3000", "compound", "polish"})
	coat := coatOf(coating.Range{Low: 28, Likely: 32, High: 36})
	f := coating.Measure([]coating.Deed{coat, coat, cutOf(coating.Range{Low: 10, Likely: 15, High: 20}), coat, coat, cutOf(ladder)}, coating.Policy{})
	return shownAll("%.1f", f.Clear.Low, f.Clear.Likely, f.Clear.High) + " µm" + faultOf(err)
}

// gauged measures one spot before and after the clear.
func gauged(sigma float64, before, after []float64) coating.Film {
	gauge := func(readings []float64, baseline bool) coating.Deed {
		return coating.Deed{Gauge: &coating.Gauge{Spot: "A", Readings: readings, SigmaUM: sigma, Baseline: baseline}}
	}
	return coating.Measure([]coating.Deed{gauge(before, true), gauge(after, false)}, coating.Policy{FloorUM: 50})
}

func acceptance() string {
	a, err := coating.Accept([][]float64{{50, 50, 50}, {70, 70, 70}, {75, 75, 75}}, 60, 80, 3)
	passes := "fails"
	if a.Passes {
		passes = "passes"
	}
	return fmt.Sprintf("%.0f–%.0f µm, mean %.1f, %s", a.SpotMin, a.SpotMax, a.AreaMean, passes) + faultOf(err)
}

package restoration

import (
	"fmt"
	"strings"
	"time"

	"scumble/internal/coating"
)

func amountReferences() []Reference {
	return []Reference{
		{"Amounts", "Theoretical cover", "m² per litre = 1000 × volume solids ÷ dry µm", "a printed epoxy sheet",
			"39 %, 25 µm", "15.6 m²/L", func() string { return shown("%.1f m²/L")(coating.CoverageM2PerL(.39, 25)) }},
		{"Amounts", "Cover in US units", "ft² per gallon = 1604 × volume solids ÷ mil", "paint makers' tables",
			"52 %, 1.2 mil", "695 ft²/gal", func() string {
				cover, err := coating.CoverageM2PerL(.52, coating.UMFromMil(1.2))
				return shown("%.0f ft²/gal")(coating.FT2PerGal(cover), err)
			}},
		{"Amounts", "Practical cover", "theoretical × share that lands", commonPractice,
			"15.6 m²/L, 30 % lands", "4.68 m²/L", func() string { return shown("%.2f m²/L")(coating.PracticalM2PerL(15.6, .30)) }},
		{"Amounts", "Amount to mix", "area × wet × coats ÷ share that lands × (1 + waste) + fixed loss", commonPractice,
			"2.6 m², 60 µm, 2 coats, 30 %, waste 10 %, 50 mL lost", "1194 mL", func() string {
				n := coating.Need{AreaM2: 2.6, WetUM: 60, Coats: 2, Transfer: .30, Waste: .10, FixedML: 50}
				return shown("%.0f mL")(coating.ReadyToSprayML(n))
			}},
		{"Amounts", "Slim pieces", "share that lands × width ÷ fan", commonPractice,
			"35 mm moulding, 120 mm fan, 65 %", "19.0 %", func() string {
				share, err := coating.ForSlimPiece(.65, 35, 120)
				return shown("%.1f %%")(100*share, err)
			}},
		{"Amounts", "A gun that lands more", "the same need ÷ share that lands: a third more lands, so 1 ÷ 1.33 is mixed", "Am. Ind. Hyg. Assoc. J. 57:304–310 (1996): HVLP put 33 % more film per mass of paint",
			"30 % lands, then 1.33 × 30 %", "75.2 % of the paint", func() string {
				n := coating.Need{AreaM2: 2.6, WetUM: 60, Coats: 2, Transfer: .30}
				before, err := coating.ReadyToSprayML(n)
				n.Transfer *= 1.33
				after, err2 := coating.ReadyToSprayML(n)
				return fmt.Sprintf("%.1f %% of the paint", 100*after/before) + faultOf(err) + faultOf(err2)
			}},
		{"Amounts", "Area by foil", "mass of the foil ÷ its mass per m²", "aluminium of 16 µm: 43.2 g/m²",
			"3.24 g", "0.075 m²", func() string { return shown("%.3f m²")(coating.FoilAreaM2(3.24, 43.2)) }},
		{"Amounts", "US gallon and fluid ounce", "gallon = 231 cubic inches; ounce = gallon ÷ 128", "by definition",
			"1 fl oz; 1 m²/L", "29.57 mL; 40.7 ft²/gal", func() string {
				return fmt.Sprintf("%.2f mL; %.1f ft²/gal", coating.MLPerFlOz, coating.FT2PerGal(1))
			}},
		{"Amounts", "Pounds of VOC per US gallon", "lb/gal = g/L × 3.785411784 ÷ 453.59237", "by definition; ASTM D3960 states both",
			"1 g/L; 420 g/L", "0.0083454; 3.51 lb/gal", func() string {
				return fmt.Sprintf("%.7f; %.2f lb/gal", coating.LBPerGal(1), coating.LBPerGal(420))
			}},
		{"Amounts", "Solvent of a month", "g of VOC = mL sprayed × g/L of the sheet ÷ 1000", "data sheets, ready to spray",
			"1,194 mL at 420 g/L", "501 g", func() string {
				u := UsageByMonth([]Sprayed{{ML: 1194, VOCGramsPerL: 420}}, time.UTC)
				return shown("%.0f g")(u[0].VOCGrams, nil)
			}},
	}
}

func mixReferences() []Reference {
	parts := func(shares ...float64) []coating.PartSheet {
		var list []coating.PartSheet
		for _, s := range shares {
			list = append(list, coating.PartSheet{Share: s})
		}
		return list
	}
	return []Reference{
		{"Mixing", "Parts by volume", "total × share ÷ sum of shares", "by definition",
			"900 mL at 4:1:1", "600 / 150 / 150 mL", func() string { return poured(900, parts(4, 1, 1), coating.Thinner{}) }},
		{"Mixing", "Thinner on all parts", "3 + 1 + 10 % of 4", "data sheets differ: this one counts A + B",
			"880 mL, 3:1 + 10 %", "600 / 200 / 80 mL", func() string {
				return poured(880, parts(3, 1), coating.Thinner{Fraction: .10, Of: coating.OfParts})
			}},
		{"Mixing", "Thinner on the first part", "3 + 1 + 10 % of 3", "data sheets differ: this one counts A alone",
			"860 mL, 3:1 + 10 %", "600 / 200 / 60 mL", func() string {
				return poured(860, parts(3, 1), coating.Thinner{Fraction: .10, Of: coating.OfA})
			}},
		{"Mixing", "Mixes within the pot life", "time needed ÷ pot life, rounded up; each loses the fixed amount again", commonPractice,
			"1,000 mL with 50 lost, 150 min needed, pot life 60 min", "3 of 367 mL", func() string {
				p, err := coating.Mixes(1000, 50, 60, 150)
				return fmt.Sprintf("%d of %.0f mL", p.Count, p.EachML) + faultOf(err)
			}},
	}
}

// poured writes the parts of a mix as exact shares.
func poured(totalML float64, parts []coating.PartSheet, thinner coating.Thinner) string {
	split, err := coating.SplitML(totalML, parts, thinner, coating.CupML)
	var ml []string
	for _, p := range split {
		ml = append(ml, fmt.Sprintf("%.0f", p.ExactML))
	}
	return strings.Join(ml, " / ") + " mL" + faultOf(err)
}

package coating

import (
	"slices"
	"strings"
)

// grain is a grade and the mean size of its grains in µm.
type grain struct {
	grade string
	um    float64
}

// pGrains are the P grades of ISO 6344-2:2021 and ISO 6344-3:2021 (the FEPA grades), as
// published tables of P12–P2500 print them.
var pGrains = []grain{
	{"12", 1815}, {"16", 1324}, {"20", 1000}, {"24", 764}, {"30", 642}, {"36", 538}, {"40", 425},
	{"50", 336}, {"60", 269}, {"80", 201}, {"100", 162}, {"120", 125}, {"150", 100}, {"180", 82}, {"220", 68},
	{"240", 58.5}, {"280", 52.2}, {"320", 46.2}, {"360", 40.5}, {"400", 35}, {"500", 30.2}, {"600", 25.8},
	{"800", 21.8}, {"1000", 18.3}, {"1200", 15.3}, {"1500", 12.6}, {"2000", 10.3}, {"2500", 8.4},
}

// finerGrains are the P grades of ISO 6344-3:2021 whose size no table was found to print,
// in the order of their fineness.
var finerGrains = []string{"3000", "4000", "5000"}

// finer gives the place of a grade among those finer than the tables, from 1; 0 when it
// is none of them.
func finer(grade string) int {
	scale, number := splitGrade(grade)
	if scale != "P" {
		return 0
	}
	return slices.Index(finerGrains, number) + 1
}

// usGrains are the US grades (CAMI, ANSI B74.18), as one published table prints them.
var usGrains = []grain{
	{"24", 708}, {"30", 632}, {"36", 530}, {"40", 425}, {"50", 348}, {"60", 265}, {"80", 190}, {"100", 140},
	{"120", 115}, {"150", 92}, {"180", 82}, {"220", 68}, {"240", 53}, {"320", 36}, {"360", 28}, {"400", 23},
	{"500", 20}, {"600", 16}, {"800", 12.6}, {"1000", 10.3},
}

// GrainSizeUM is the mean grain size of a sandpaper. The scale is part of the grade:
// "P800" is ISO 6344 (FEPA), "US 800" or "CAMI 800" the US scale, whose 1000 is about
// P2000. Case and blanks don't matter. A bare number is read only where both scales
// print the same size (40, 180, 220); elsewhere the error asks for the scale. Grades
// finer than the tables (P3000 to P5000) are refused: no size was found in print.
func GrainSizeUM(grade string) (float64, error) {
	scale, number := splitGrade(grade)
	p, inP := sizeIn(pGrains, number)
	us, inUS := sizeIn(usGrains, number)
	switch {
	case scale == "P" && inP:
		return p, nil
	case (scale == "US" || scale == "CAMI") && inUS:
		return us, nil
	case scale == "" && inP && inUS && p == us:
		return p, nil
	}
	return 0, gradeFault(grade, scale, number, inP, inUS)
}

func gradeFault(grade, scale, number string, inP, inUS bool) error {
	switch {
	case strings.TrimSpace(grade) == "":
		return faultf("grade", "The grade is missing. Write it as printed on the paper, such as P800.")
	case finer(grade) > 0:
		return faultf("grade", "The table of P grades, P12 to P2500, ends before P%s: no grain size of it is in print.", number)
	case scale == "P":
		return faultf("grade", "%.20q is not in the table of P grades, P12 to P2500. Look at the back of the paper.", grade)
	case scale != "":
		return faultf("grade", "%.20q is not in the table of US grades, US 24 to US 1000. Look at the back of the paper.", grade)
	case inP && inUS:
		return faultf("grade", "%s is one paper on the P scale and another on the US scale. Look at its back and write P%s or US %s.", number, number, number)
	case inP:
		return faultf("grade", "%s alone doesn't say which scale. If the paper's back says P%s, write P%s.", number, number, number)
	}
	return faultf("grade", "%.20q is no grade known here. Write P and its number, such as P800, or US and its number, such as US 400.", grade)
}

// splitGrade splits "p 800" into "P" and "800". What is no scale known here makes the
// number unknown too.
func splitGrade(grade string) (scale, number string) {
	s := strings.ToUpper(strings.Join(strings.Fields(grade), ""))
	i := strings.IndexFunc(s, func(r rune) bool { return '0' <= r && r <= '9' })
	if i < 0 {
		return "", ""
	}
	switch s[:i] {
	case "", "P", "US", "CAMI":
		return s[:i], s[i:]
	}
	return "", ""
}

func sizeIn(table []grain, number string) (um float64, known bool) {
	i := slices.IndexFunc(table, func(g grain) bool { return g.grade == number })
	if i < 0 {
		return 0, false
	}
	return table[i].um, true
}

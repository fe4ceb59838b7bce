package instrument

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"scumble/internal/colour"
	"scumble/internal/csvtable"
)

// maxFilmUM is the most that is taken for a film. Filler and clear of a piece stay
// below 1,000 µm (common practice, no source); gauges read up to 2,000.
const maxFilmUM = 2_000

const umPerMil = 25.4

// number reads a number; false where the cell is blank or none, which is then noted.
func (r *reader) number(column int) (float64, bool) {
	cell := r.cell(column)
	if cell == "" {
		return 0, false
	}
	if v, ok := r.decimal.parse(cell); ok {
		return v, true
	}
	if strings.ContainsRune(cell, rune(r.decimal.other())) && isNumber(strings.ReplaceAll(cell, string(rune(r.decimal)), "")) {
		r.note(mixedFault(r.rec.Line, r.table.columns[column-1], cell, r.decimal.other()))
		return 0, false
	}
	r.fault(column, csvtable.Quote(cell)+" is no number", "Write digits only, without a unit.")
	return 0, false
}

func (r *reader) film() *float64 {
	v, ok := r.number(r.choice.Value)
	if !ok {
		return nil
	}
	um := v
	if r.choice.Mils {
		um *= umPerMil
	}
	cell := csvtable.Quote(r.cell(r.choice.Value))
	switch {
	case um < 0:
		r.fault(r.choice.Value, cell+" is less than no film", "Set the gauge to zero on bare steel and measure again, or correct the reading.")
	case um > maxFilmUM && r.choice.Mils:
		r.fault(r.choice.Value, cell+" mils are more than 78.7", "Typed in µm? Choose the unit of the column again, or correct the reading.")
	case um > maxFilmUM:
		r.fault(r.choice.Value, cell+" is more than 2,000 µm", "Typed in tenths? Or mils? Choose the unit of the column again, or correct the reading.")
	default:
		return &um
	}
	return nil
}

func (r *reader) lab() *colour.Lab {
	columns := []int{r.choice.L, r.choice.A, r.choice.B}
	blank := func(column int) bool { return r.cell(column) == "" }
	if !slices.ContainsFunc(columns, func(c int) bool { return !blank(c) }) {
		return nil
	}
	var v [3]float64
	before := r.count
	for i, column := range columns {
		if blank(column) {
			r.fault(column, "the cell is empty and the others of the colour are not", "Write all of L*, a* and b*, or none.")
		}
		v[i], _ = r.number(column)
	}
	if r.count > before {
		return nil
	}
	lab := colour.Lab{L: v[0], A: v[1], B: v[2]}
	var wrong *colour.LabError
	if errors.As(lab.Check(), &wrong) {
		for i, sentence := range []string{wrong.L, wrong.A, wrong.B} {
			if sentence != "" {
				r.fault(columns[i], strings.TrimSuffix(sentence, "."), "Correct the reading, or choose another column.")
			}
		}
		return nil
	}
	return &lab
}

func (r *reader) gloss() *colour.Gloss {
	gu, ok := r.number(r.choice.Gloss)
	if !ok {
		return nil
	}
	angle, ok := r.angle()
	if !ok {
		return nil
	}
	g := colour.Gloss{GU: gu, Angle: angle}
	if err := g.Check(); err != nil {
		r.fault(r.choice.Gloss, err.Error(), "Correct the reading, or choose another column.")
		return nil
	}
	return &g
}

// angle reads the angle of the gloss on this line, such as 60 or 60°.
func (r *reader) angle() (int, bool) {
	if r.choice.Angle == 0 {
		return r.choice.GlossAngle, true
	}
	cell := r.cell(r.choice.Angle)
	for _, angle := range colour.Angles() {
		if strings.TrimSpace(strings.TrimSuffix(cell, "°")) == fmt.Sprint(angle) {
			return angle, true
		}
	}
	r.fault(r.choice.Angle, csvtable.Quote(cell)+" is no angle of a gloss meter", "Write 20, 60 or 85.")
	return 0, false
}

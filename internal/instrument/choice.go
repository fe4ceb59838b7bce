package instrument

import (
	"fmt"
	"slices"

	"scumble/internal/colour"
)

// Choice says what stands in which column. Columns count from 1; 0 means that the
// export has none of it.
type Choice struct {
	Piece   int // the piece's name or code; without it the caller knows the piece
	Spot    int // where on the piece
	Value   int // the film
	L, A, B int // the colour, all three or none
	Gloss   int
	Angle   int // of the gloss

	GlossAngle int     // in degrees, of every gloss, where there is no Angle column
	Mils       bool    // the film is in thousandths of an inch, not µm
	Decimal    Decimal // zero: as most of the chosen numbers have it
}

// field is one thing that a column was chosen for.
type field struct {
	name   string // "film"
	column int
}

// numbers are the chosen columns that hold numbers.
func (c Choice) numbers() []field {
	return chosen(field{"film", c.Value}, field{"L*", c.L}, field{"a*", c.A}, field{"b*", c.B}, field{"gloss", c.Gloss})
}

func (c Choice) all() []field {
	texts := chosen(field{"piece", c.Piece}, field{"spot", c.Spot}, field{"angle", c.Angle})
	return append(texts, c.numbers()...)
}

func chosen(fields ...field) []field {
	var in []field
	for _, f := range fields {
		if f.column != 0 {
			in = append(in, f)
		}
	}
	return in
}

// check says what is wrong with the choice for this table.
func (c Choice) check(t *table) []Fault {
	var faults []Fault
	add := func(column, what, do string) {
		faults = append(faults, Fault{Line: t.headerLine, Column: column, What: what, Do: do})
	}
	if len(c.numbers()) == 0 {
		add("", "no column is chosen for a reading", "Choose the column of the film, the gloss or the colour.")
	}
	if n := len(chosen(field{column: c.L}, field{column: c.A}, field{column: c.B})); n > 0 && n < 3 {
		add("", "only part of the colour is chosen", "Choose a column for each of L*, a* and b*, or none.")
	}
	if c.Gloss != 0 && c.Angle == 0 && !slices.Contains(colour.Angles(), c.GlossAngle) {
		add("", "the gloss has no angle", "Choose the column of the angle, or say 20°, 60° or 85°.")
	}
	if c.Decimal != 0 && c.Decimal != DecimalPoint && c.Decimal != DecimalComma {
		add("", fmt.Sprintf("%q is no decimal sign", rune(c.Decimal)), "Choose the point or the comma.")
	}
	taken := map[int]string{}
	for _, f := range c.all() {
		if f.column < 1 || f.column > len(t.columns) {
			add("", fmt.Sprintf("column %d was chosen for the %s and the table has %d", f.column, f.name, len(t.columns)), "Choose the columns again.")
			continue
		}
		if first, ok := taken[f.column]; ok {
			add(t.columns[f.column-1], fmt.Sprintf("this column is chosen for the %s and for the %s", first, f.name), "Choose another column for one of them.")
		}
		taken[f.column] = f.name
	}
	return faults
}

// checkNumbers finds columns that were chosen for numbers and hold none: one fault
// instead of one a row.
func (c Choice) checkNumbers(t *table) []Fault {
	var faults []Fault
	for _, f := range c.numbers() {
		numbers := 0
		for _, rec := range t.rows {
			if f.column <= len(rec.Cells) && isNumber(rec.Cells[f.column-1]) {
				numbers++
			}
		}
		if numbers == 0 {
			faults = append(faults, Fault{Line: t.headerLine, Column: t.columns[f.column-1],
				What: "no cell of this column is a number", Do: "Choose another column for the " + f.name + ", or leave it out."})
		}
	}
	return faults
}

// decimal is the sign that the choice names, or else that of most chosen numbers.
func (c Choice) decimal(t *table) Decimal {
	if c.Decimal != 0 {
		return c.Decimal
	}
	var sum signs
	for _, f := range c.numbers() {
		sum.add(t.signs(f.column - 1))
	}
	return sum.decimal()
}

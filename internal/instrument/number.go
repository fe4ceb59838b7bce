package instrument

import (
	"fmt"
	"strconv"
	"strings"

	"scumble/internal/csvtable"
)

// Decimal is the sign before the decimals of a number.
type Decimal byte

// The decimal signs. The zero value leaves it to be found from the numbers.
const (
	DecimalPoint Decimal = '.'
	DecimalComma Decimal = ','
)

// String is "decimal point" or "decimal comma".
func (d Decimal) String() string {
	if d == DecimalComma {
		return "decimal comma"
	}
	return "decimal point"
}

func (d Decimal) other() Decimal {
	if d == DecimalComma {
		return DecimalPoint
	}
	return DecimalComma
}

// parse reads a number with this decimal sign: digits, perhaps with a sign in front,
// no unit, no exponent, no sign between thousands.
func (d Decimal) parse(cell string) (float64, bool) {
	s := plain(cell)
	body := strings.TrimLeft(s, "+-")
	whole, decimals, _ := strings.Cut(body, string(rune(d)))
	if len(s)-len(body) > 1 || whole == "" || !digits(whole) || !digits(decimals) {
		return 0, false
	}
	v, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	return v, err == nil
}

// plain is a cell without blanks around it and with an ordinary minus.
func plain(cell string) string {
	return strings.Replace(strings.TrimSpace(cell), "−", "-", 1)
}

func digits(s string) bool { return strings.Trim(s, "0123456789") == "" }

// isNumber tells whether a cell is a number with either sign.
func isNumber(cell string) bool {
	_, point := DecimalPoint.parse(cell)
	_, comma := DecimalComma.parse(cell)
	return point || comma
}

// signs counts how the decimals of some numbers are written, and on which line each
// sign stands first.
type signs struct {
	points, commas       int
	pointLine, commaLine int
	point, comma         string // the cells there
}

// see counts a cell if it is a number with decimals.
func (s *signs) see(cell string, line int) {
	switch {
	case !isNumber(cell):
	case strings.Contains(cell, "."):
		if s.points == 0 {
			s.pointLine, s.point = line, cell
		}
		s.points++
	case strings.Contains(cell, ","):
		if s.commas == 0 {
			s.commaLine, s.comma = line, cell
		}
		s.commas++
	}
}

// add counts those of another column; its lines are not kept.
func (s *signs) add(of signs) {
	s.points += of.points
	s.commas += of.commas
}

// decimal is the commoner sign, a point of equals.
func (s *signs) decimal() Decimal {
	if s.commas > s.points {
		return DecimalComma
	}
	return DecimalPoint
}

// mixed tells where the rarer sign of a column stands first; of equals the one that
// the file as a whole does not use.
func (s *signs) mixed(column string, file Decimal) (Fault, bool) {
	if s.points == 0 || s.commas == 0 {
		return Fault{}, false
	}
	rare := file.other()
	if s.points != s.commas {
		rare = s.decimal().other()
	}
	if rare == DecimalComma {
		return mixedFault(s.commaLine, column, s.comma, rare), true
	}
	return mixedFault(s.pointLine, column, s.point, rare), true
}

func mixedFault(line int, column, cell string, has Decimal) Fault {
	return Fault{Line: line, Column: column,
		What: fmt.Sprintf("%s has a %s, the other numbers a %s", csvtable.Quote(cell), has, has.other()),
		Do:   "Write all numbers with the same sign, and none between thousands."}
}

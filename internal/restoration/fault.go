package restoration

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Fault is something that the survey found on a piece.
type Fault struct {
	Kind  string `json:"kind"`
	Count int    `json:"count"`
}

// FaultMissing is a piece that isn't there; it costs no repair hours but holds the piece.
const FaultMissing = "missing"

// FaultKind is a kind of fault with the repair it takes, per count. The hours are
// common practice, no source; a shop's own record beats them.
type FaultKind struct {
	Key    string
	Name   string
	InUS   string // the name in US units; "" where it names no measure
	Repair Estimate
}

// Words are the name in the units of the shop.
func (k FaultKind) Words(units Units) string {
	if units == US && k.InUS != "" {
		return k.InUS
	}
	return k.Name
}

// FaultKinds lists the faults that a survey may name.
func FaultKinds() []FaultKind {
	return []FaultKind{
		{"hole", "rust-through under 1 cm²", "rust-through under 0.16 in²", Hours3(.7, 1.2, 2.5)},
		{"patch", "rust-through to 10 cm²", "rust-through to 1.6 in²", Hours3(2, 3.5, 6)},
		{"solder", "body solder per 100 cm²", "body solder per 16 in²", Hours3(1, 2, 4)},
		{"small dent", "dent under 30 mm", "dent under 1.2 in", Hours3(.3, .6, 1.2)},
		{"dent", "dent under 100 mm", "dent under 4 in", Hours3(.7, 1.5, 3)},
		{"large dent", "dent over 100 mm", "dent over 4 in", Hours3(1.5, 3, 6)},
		{"pitting", "pitting per 0.1 m²", "pitting per 1.1 ft²", Hours3(.5, 1, 2)},
		{"cracked casting", "cracked zinc casting", "", Hours3(1.5, 3, 6)},
		{"thread", "stripped thread", "", Hours3(.2, .4, .8)},
		{"stud", "broken stud", "", Hours3(.3, .6, 1)},
		{FaultMissing, "piece missing", "", Estimate{}},
	}
}

// Repair adds up the repair hours of faults.
func Repair(faults []Fault) Estimate {
	var sum Estimate
	for _, f := range faults {
		for _, k := range FaultKinds() {
			if k.Key == f.Kind {
				n := float64(max(f.Count, 1))
				sum = sum.Plus(k.Repair.Times(n, n, n))
			}
		}
	}
	return sum
}

// ParseFaults reads a list such as "hole x2, dent, missing", separated by commas,
// semicolons or bars.
func ParseFaults(s string) ([]Fault, error) {
	var out []Fault
	for part := range strings.FieldsFuncSeq(s, func(r rune) bool { return r == ',' || r == ';' || r == '|' }) {
		f, err := parseFault(strings.ToLower(strings.Join(strings.Fields(part), " ")))
		if err != nil {
			return nil, err
		}
		if f.Kind != "" {
			out = append(out, f)
		}
	}
	return out, nil
}

func parseFault(s string) (Fault, error) {
	if s == "" {
		return Fault{}, nil
	}
	name, count := s, 1
	if i := strings.LastIndexAny(s, "x×"); i > 0 && s[i-1] == ' ' {
		if n, err := strconv.Atoi(strings.TrimSpace(strings.TrimLeft(s[i:], "x×"))); err == nil {
			name, count = strings.TrimSpace(s[:i]), n
		}
	}
	if count < 1 || count > 99 {
		return Fault{}, fmt.Errorf("%q: the count must be from 1 to 99", s)
	}
	if !slices.ContainsFunc(FaultKinds(), func(k FaultKind) bool { return k.Key == name }) {
		return Fault{}, fmt.Errorf("%.60q is no fault known here; write one of: %s", name, strings.Join(faultKeys(), ", "))
	}
	return Fault{Kind: name, Count: count}, nil
}

// FormatFaults writes what [ParseFaults] reads.
func FormatFaults(faults []Fault) string {
	parts := make([]string, len(faults))
	for i, f := range faults {
		parts[i] = f.Kind
		if f.Count > 1 {
			parts[i] += fmt.Sprintf(" x%d", f.Count)
		}
	}
	return strings.Join(parts, ", ")
}

func faultKeys() []string {
	var keys []string
	for _, k := range FaultKinds() {
		keys = append(keys, k.Key)
	}
	return keys
}

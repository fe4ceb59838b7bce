package office

import (
	"net/url"
	"strconv"
	"strings"

	"scumble/internal/instrument"
	"scumble/web/ui"
)

// readingColumn is one thing that a column of an export may hold.
type readingColumn struct {
	key, label string
	names      []string // words by which a head is guessed; a whole head where it is short
	of         func(*instrument.Choice) *int
}

// readingColumns are in the order in which heads are guessed.
func readingColumns() []readingColumn {
	type c = instrument.Choice
	return []readingColumn{
		{"piece", "Piece", []string{"piece", "part", "label", "code", "sample", "name"}, func(x *c) *int { return &x.Piece }},
		{"spot", "Spot", []string{"spot", "position", "location", "place", "point"}, func(x *c) *int { return &x.Spot }},
		{"angle", "Angle of the gloss", []string{"angle", "geometry"}, func(x *c) *int { return &x.Angle }},
		{"gloss", "Gloss", []string{"gloss", "gu"}, func(x *c) *int { return &x.Gloss }},
		{"value", "Film", []string{"film", "thickness", "dft", "µm", "um", "mil", "mils", "reading", "value"}, func(x *c) *int { return &x.Value }},
		{"l", "L*", []string{"l*", "l"}, func(x *c) *int { return &x.L }},
		{"a", "a*", []string{"a*", "a"}, func(x *c) *int { return &x.A }},
		{"b", "b*", []string{"b*", "b"}, func(x *c) *int { return &x.B }},
	}
}

func columnField(key string) string { return "col_" + key }

// guessColumns fills in what the heads of an export tell; the rest is none.
func guessColumns(v url.Values, heads []string) {
	taken := map[int]bool{}
	for _, c := range readingColumns() {
		v.Set(columnField(c.key), "0")
		for i, head := range heads {
			if !taken[i] && c.named(head) {
				v.Set(columnField(c.key), strconv.Itoa(i+1))
				taken[i] = true
				if c.key == "value" {
					v.Set("unit", unitOfHead(head))
				}
				break
			}
		}
	}
	if !v.Has("gloss_angle") {
		v.Set("gloss_angle", "60")
	}
}

// named tells whether a head sounds like what the column holds: a word of it does, and
// short names are the whole head but for its unit.
func (c readingColumn) named(head string) bool {
	words := strings.FieldsFunc(strings.ToLower(head), func(r rune) bool { return strings.ContainsRune(" _-/()[]:.", r) })
	for _, name := range c.names {
		for i, word := range words {
			if word == name && (len(name) > 2 || i == 0 || name == "gu" || name == "um" || name == "µm") {
				return true
			}
		}
	}
	return false
}

// unitOfHead is the unit that the head of a film's column names.
func unitOfHead(head string) string {
	if strings.Contains(strings.ToLower(head), "mil") {
		return "mil"
	}
	return "um"
}

// columns reads what was chosen. A choice that can't be right is told when the export
// is read.
func (f *form) columns(head *instrument.Head) instrument.Choice {
	var choice instrument.Choice
	for _, c := range readingColumns() {
		n, err := strconv.Atoi(f.get(columnField(c.key)))
		if err != nil || n < 0 || n > len(head.Columns) {
			f.fault(columnField(c.key), "Choose one of the columns.")
			continue
		}
		*c.of(&choice) = n
	}
	choice.GlossAngle, _ = strconv.Atoi(f.get("gloss_angle"))
	choice.Mils = f.get("unit") == "mil"
	if d := f.get("decimal"); d != "" {
		choice.Decimal = instrument.Decimal(d[0])
	}
	return choice
}

// columnSelects offer the columns for each thing that they may hold.
func columnSelects(f *form, heads []string) []ui.SelectProps {
	options := []ui.Option{{Value: "0", Word: "none"}}
	for i, head := range heads {
		options = append(options, ui.Option{Value: strconv.Itoa(i + 1), Word: head})
	}
	var out []ui.SelectProps
	for _, c := range readingColumns() {
		out = append(out, f.choice(ui.SelectProps{Name: columnField(c.key), Label: c.label, Options: options}))
	}
	return out
}

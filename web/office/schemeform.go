package office

import (
	"errors"
	"net/url"
	"strconv"
	"strings"

	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

func materialField(l coating.Layer) string { return "material-" + string(l) }

// parseFinish reads the form of a finish; before is the finish as it was.
func parseFinish(f *form, before restoration.Scheme, d finishData, u units) restoration.Scheme {
	s := restoration.Scheme{ID: before.ID, CarID: before.CarID, Name: before.Name, ClearCoats: read(f, "clear_coats", parseCount),
		BuildUM: f.figure("build", u.film, before.BuildUM), FloorUM: f.figure("floor", u.film, before.FloorUM),
		Gloss: parseGloss(f), Ground: parseGround(f), Materials: map[coating.Layer]int64{}}
	for _, c := range d.layerChoices(before) {
		if id := chosenID(f, c.Field, c.Options); id != 0 {
			s.Materials[coating.Layer(strings.TrimPrefix(c.Field, materialField("")))] = id
		}
	}
	s.GroundLot = chosenID(f, "ground_lot", d.tinChoices(before, u.of))
	for name, sentence := range map[string]string{
		"clear_coats": "Write how many coats of clear are asked for; 0 asks for none.",
		"build":       "Write the clear that is to be built before cutting.",
		"floor":       "Write what must stay over the grain.",
	} {
		if blank(f.get(name)) {
			f.fault(name, "%s", sentence)
		}
	}
	f.mustHold(s.Check(u.of))
	return s
}

// chosenID reads the number of one of the options; 0 is none of them.
func chosenID(f *form, name string, options []ui.Option) int64 {
	values := make([]string, len(options))
	for i, o := range options {
		values[i] = o.Value
	}
	id, _ := strconv.ParseInt(oneOf(f, name, values), 10, 64) // "" is none
	return id
}

func parseCount(s string) (int, error) {
	n, err := strconv.Atoi(s)
	if err != nil {
		return 0, wrong("Write a whole number such as 4.")
	}
	return n, nil
}

func parseGloss(f *form) *colour.Gloss {
	if blank(f.get("gloss")) {
		return nil
	}
	angle, _ := strconv.Atoi(f.get("gloss_angle")) // what is no angle is refused by the check
	return &colour.Gloss{GU: read(f, "gloss", parseNumber), Angle: angle}
}

// parseGround reads the colour of the ground; all three fields empty is none.
func parseGround(f *form) *colour.Lab {
	l, a, b := f.get("ground_l"), f.get("ground_a"), f.get("ground_b")
	if blank(l + a + b) {
		return nil
	}
	lab, err := colour.ParseLab(l, a, b)
	if told, ok := errors.AsType[*colour.LabError](err); ok {
		for name, text := range map[string]string{"ground_l": told.L, "ground_a": told.A, "ground_b": told.B} {
			if text != "" {
				f.fault(name, "%s", text)
			}
		}
		return nil
	}
	return &lab
}

// schemeValues fills the form so that parseFinish gives s again.
func schemeValues(s restoration.Scheme, film unit) url.Values {
	v := url.Values{"clear_coats": {strconv.Itoa(s.ClearCoats)}, "build": {film.typed(s.BuildUM)}, "floor": {film.typed(s.FloorUM)},
		"gloss_angle": {strconv.Itoa(colour.Angles()[0])}}
	if s.Gloss != nil {
		v.Set("gloss", plain.typed(s.Gloss.GU))
		v.Set("gloss_angle", strconv.Itoa(s.Gloss.Angle))
	}
	if s.Ground != nil {
		v.Set("ground_l", plain.typed(s.Ground.L))
		v.Set("ground_a", plain.typed(s.Ground.A))
		v.Set("ground_b", plain.typed(s.Ground.B))
	}
	for layer, id := range s.Materials {
		v.Set(materialField(layer), formatID(id))
	}
	if s.GroundLot != 0 {
		v.Set("ground_lot", formatID(s.GroundLot))
	}
	return v
}

// layerChoices is what each layer may be sprayed with: what is in use, and what the
// finish has already.
func (d finishData) layerChoices(s restoration.Scheme) []layerChoice {
	var choices []layerChoice
	for _, layer := range coating.Layers() {
		c := layerChoice{Field: materialField(layer), Label: upperFirst(string(layer)), Options: []ui.Option{{Value: "", Word: "not chosen"}}}
		for _, m := range d.Materials {
			if m.Layer != layer || !m.Retired.IsZero() && m.ID != s.Materials[layer] {
				continue
			}
			word := m.Name
			if m.Example {
				word += " (example)"
			}
			c.Options = append(c.Options, ui.Option{Value: formatID(m.ID), Word: word})
		}
		choices = append(choices, c)
	}
	return choices
}

// tinChoices are the tins that the car's ground may come from.
func (d finishData) tinChoices(s restoration.Scheme, units restoration.Units) []ui.Option {
	options := []ui.Option{{Value: "", Word: "not chosen"}}
	for _, l := range d.Lots {
		if l.Part != 0 || materialOf(d.Materials, l.Material).Layer != coating.Ground || !l.Closed.IsZero() && l.ID != s.GroundLot {
			continue
		}
		options = append(options, ui.Option{Value: formatID(l.ID), Word: "Lot " + l.Number + ", " + l.MaterialName + ", " + restoration.VolumeWords(max(0, l.LeftML), units) + " left"})
	}
	return options
}

func angleOptions() []ui.Option {
	var options []ui.Option
	for _, a := range colour.Angles() {
		options = append(options, ui.Option{Value: strconv.Itoa(a), Word: strconv.Itoa(a) + "°"})
	}
	return options
}

package office

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// auditWords is a visit with the names of what documents of the audit know by number.
type auditWords struct {
	visit
	materials, tins map[int64]string
}

// auditChange is one value that an act changed, in words.
type auditChange struct {
	What     string
	From, To string // "" none
	New      bool   // there was nothing before the act, so that From says nothing
}

// String is the change as a clause: "promised: from none to Fri 27 Mar 2026".
func (c auditChange) String() string {
	if c.New {
		return c.What + ": " + c.To
	}
	return c.What + ": from " + orNone(c.From) + " to " + orNone(c.To)
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

// auditValue is one value of a document, with the words that lead to it. A list of
// words has its items, too.
type auditValue struct {
	path, text string
	deep       bool // it stands inside of something else
	items      []string
}

// changes compares two documents of the audit. Of something new only what it is at
// once is listed, without the depths of a route; of what was taken away, nothing.
func (v auditWords) changes(before, after string) []auditChange {
	if after == "" {
		return nil
	}
	is, was := v.values(after), v.values(before)
	var changes []auditChange
	for _, value := range is {
		i := slices.IndexFunc(was, func(w auditValue) bool { return w.path == value.path })
		switch {
		case before == "":
			if value.text != "" && !value.deep {
				changes = append(changes, auditChange{What: value.path, To: value.text, New: true})
			}
		case i < 0 && value.text != "":
			changes = append(changes, auditChange{What: value.path, To: value.text})
		case i >= 0 && was[i].text != value.text:
			changes = append(changes, differing(was[i], value))
		}
	}
	for _, w := range was {
		gone := !slices.ContainsFunc(is, func(value auditValue) bool { return value.path == w.path })
		if gone && w.text != "" {
			changes = append(changes, auditChange{What: w.path, From: w.text})
		}
	}
	return changes
}

// differing is the change of one value; of two lists with something in common, only
// what differs.
func differing(was, is auditValue) auditChange {
	c := auditChange{What: is.path, From: was.text, To: is.text}
	gone, come := without(was.items, is.items), without(is.items, was.items)
	if len(gone) < len(was.items) && len(gone)+len(come) > 0 {
		c.What, c.From, c.To = c.What+", what differs", strings.Join(gone, ", "), strings.Join(come, ", ")
	}
	return c
}

// without lists the items that the other list lacks.
func without(items, other []string) []string {
	return slices.DeleteFunc(slices.Clone(items), func(s string) bool { return slices.Contains(other, s) })
}

// values lists what a document says, in the order of the fields. Not JSON says nothing.
func (v auditWords) values(document string) []auditValue {
	d := json.NewDecoder(strings.NewReader(document))
	d.UseNumber()
	var root any
	if document == "" || d.Decode(&root) != nil {
		return nil
	}
	var out []auditValue
	var path []string
	if _, list := root.([]any); list {
		path = []string{"order"} // of the routes
	}
	v.gather(&out, auditField{}, path, root)
	return out
}

// gather adds what stands under a path.
func (v auditWords) gather(out *[]auditValue, f auditField, path []string, value any) {
	switch value := value.(type) {
	case map[string]any:
		if f.form == formMaterials {
			v.gatherMaterials(out, path, value)
			return
		}
		for _, key := range fieldOrder(value) {
			if under := fieldOf(key); under.form != formHidden {
				v.gather(out, under, onwards(path, under.word), value[key])
			}
		}
	case []any:
		if f.form != formList && isObject(firstOf(value)) {
			for i, item := range value {
				object, _ := item.(map[string]any)
				v.gather(out, auditField{}, onwards(path, nameOf(f, i, object)), item)
			}
			return
		}
		items := itemWords(f.form, value)
		text := strings.Join(items, ", ")
		if _, figures := firstOf(value).(json.Number); figures {
			items = nil // each has its place, and two may be equal
		}
		*out = append(*out, auditValue{strings.Join(path, ", "), text, len(path) > 1, items})
	default:
		*out = append(*out, auditValue{strings.Join(path, ", "), v.word(f.form, value), len(path) > 1, nil})
	}
}

// gatherMaterials adds which material each layer of a scheme is sprayed with.
func (v auditWords) gatherMaterials(out *[]auditValue, path []string, value map[string]any) {
	for _, layer := range coating.Layers() {
		if number, ok := value[string(layer)].(json.Number); ok {
			words := strings.Join(onwards(path, "material for "+string(layer)), ", ")
			*out = append(*out, auditValue{words, named(v.materials, number), len(path) > 0, nil})
		}
	}
}

// named gives the name of a row by its number, and the number where nothing bears it any
// more; nought is none.
func named(names map[int64]string, number json.Number) string {
	id, _ := number.Int64()
	switch name, ok := names[id]; {
	case id == 0:
		return ""
	case ok:
		return name
	}
	return "no. " + number.String()
}

// onwards is a path with one word more; "" adds none. The path itself stays.
func onwards(path []string, word string) []string {
	if word == "" {
		return path
	}
	return append(slices.Clip(path), word)
}

// firstOf is the first item of a list, nil of an empty one.
func firstOf(items []any) any {
	if len(items) == 0 {
		return nil
	}
	return items[0]
}

func isObject(v any) bool { _, ok := v.(map[string]any); return ok }

// nameOf names an item of a list: by the day where it is one of the week, by its name,
// or by its number.
func nameOf(f auditField, i int, item map[string]any) string {
	if f.form == formWeek {
		return time.Weekday(i % 7).String()
	}
	if name, ok := item["name"].(string); ok && name != "" {
		return name
	}
	return fmt.Sprintf("no. %d", i+1)
}

// itemWords writes the items of a list: plain values, days, checks by their text, and
// faults with their number.
func itemWords(form auditForm, items []any) []string {
	said := make([]string, len(items))
	for i, item := range items {
		o, _ := item.(map[string]any)
		switch {
		case o == nil && form == formDay:
			said[i] = dayWord(fmt.Sprint(item))
		case o == nil:
			said[i] = fmt.Sprint(item)
		case o["text"] != nil:
			said[i] = fmt.Sprint(o["text"])
		default:
			said[i] = fmt.Sprintf("%v ×%v", o["kind"], o["count"])
		}
	}
	return said
}

// dayWord writes a day as it is read; what is none stays as it is.
func dayWord(s string) string {
	if t, err := time.Parse(time.DateOnly, s); err == nil {
		return ui.Day(t, time.UTC)
	}
	return s
}

// word writes one value; what says nothing is "".
func (v auditWords) word(form auditForm, value any) string {
	switch value := value.(type) {
	case nil:
		return ""
	case bool:
		if value {
			return "yes"
		}
		return "no"
	case json.Number:
		return v.figure(form, value)
	case string:
		t, err := time.Parse(time.RFC3339, value)
		switch {
		case err != nil || form != formDay && form != formMoment:
			return value
		case t.IsZero():
			return ""
		case form == formDay:
			return ui.Day(t, time.UTC)
		}
		return ui.When(t, v.Loc)
	}
	return fmt.Sprint(value)
}

func (v auditWords) figure(form auditForm, value json.Number) string {
	whole, _ := value.Int64()
	switch form {
	case formMoney:
		if whole == 0 {
			return "" // a car's rate of nought is the shop's
		}
		return v.Settings.Currency + typedMoney(whole)
	case formSpan:
		return restoration.Minutes(whole).String()
	case formClock:
		return typedClock(int(whole))
	case formArea:
		m2, _ := value.Float64()
		return ui.Area(m2, v.us())
	case formFilm:
		um, _ := value.Float64()
		return restoration.FilmWords(um, v.Settings.Units)
	case formVolume:
		ml, _ := value.Float64()
		return v.volume(ml)
	case formTin:
		return named(v.tins, value)
	case formGrade:
		if whole == 0 {
			return ""
		}
	}
	return value.String()
}

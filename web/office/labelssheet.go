package office

import (
	"fmt"
	"math"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"scumble/internal/coating"
	"scumble/internal/labels"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// sheetField is one length of a sheet of the shop's own, under the name that the rules
// give it.
type sheetField struct {
	name, word string
	of         func(*restoration.LabelSheet) *float64
}

func sheetFields() []sheetField {
	type sheet = *restoration.LabelSheet
	return []sheetField{
		{"page_w", "Page, width", func(s sheet) *float64 { return &s.PageW }},
		{"page_h", "Page, height", func(s sheet) *float64 { return &s.PageH }},
		{"left", "Left margin", func(s sheet) *float64 { return &s.Left }},
		{"top", "Top margin", func(s sheet) *float64 { return &s.Top }},
		{"label_w", "Label, width", func(s sheet) *float64 { return &s.LabelW }},
		{"label_h", "Label, height", func(s sheet) *float64 { return &s.LabelH }},
		{"step_x", "From label to label, across", func(s sheet) *float64 { return &s.StepX }},
		{"step_y", "From label to label, down", func(s sheet) *float64 { return &s.StepY }},
	}
}

func sheetOptions(u restoration.Units) []ui.Option {
	var list []ui.Option
	for _, p := range labels.Presets(u) {
		list = append(list, ui.Option{Value: p.Key, Word: p.Words(u)})
	}
	return append(list, ui.Option{Value: ownSheet, Word: "another, as measured below"})
}

// offerSheet fills in the shop's sheet where none is chosen, and the dimensions of what
// is chosen where none are typed, to begin from.
func offerSheet(f *form, kept restoration.LabelSheet, u units) {
	if f.get(printSheet) == "" {
		f.values.Set(printSheet, keyOf(kept, u.of))
	}
	from := kept
	if kept == (restoration.LabelSheet{}) {
		from = labels.Presets(u.of)[0].LabelSheet
	}
	if p, ok := labels.FindPreset(f.get(printSheet)); ok {
		from = p.LabelSheet
	} else if f.ticked("page_w") {
		return
	}
	for _, field := range sheetFields() {
		f.values.Set(field.name, u.length.typed(*field.of(&from)))
	}
	f.values.Set("cols", strconv.Itoa(from.Cols))
	f.values.Set("rows", strconv.Itoa(from.Rows))
}

// keyOf is how a sheet is chosen: a preset by its key.
func keyOf(s restoration.LabelSheet, u restoration.Units) string {
	if s == (restoration.LabelSheet{}) {
		return labels.Presets(u)[0].Key
	}
	if p, ok := labels.PresetOf(s); ok {
		return p.Key
	}
	return ownSheet
}

// parseSheet reads the sheet that is chosen; a length of the kept one that stands as it
// was shown stays as it is.
func parseSheet(f *form, kept restoration.LabelSheet, u units) restoration.LabelSheet {
	if p, ok := labels.FindPreset(f.get(printSheet)); ok {
		return p.LabelSheet
	}
	oneOf(f, printSheet, []string{ownSheet})
	var s restoration.LabelSheet
	for _, field := range sheetFields() {
		if blank(f.get(field.name)) {
			f.fault(field.name, "Type a length, such as %s.", u.length.says(2.5*coating.MMPerInch))
		}
		*field.of(&s) = f.figure(field.name, u.length, *field.of(&kept))
	}
	s.Cols, s.Rows = parseLines(f, "cols"), parseLines(f, "rows")
	if f.ok() {
		f.mustHold(s.Check(u.of))
	}
	return s
}

func parseLines(f *form, name string) int {
	n, err := strconv.Atoi(strings.TrimSpace(f.get(name)))
	if err != nil {
		f.fault(name, "Type a whole number.")
	}
	return n
}

// pageStylePath is the address of the style that gives the printed page its size: only a
// style sheet can, and none may stand within a page. Lengths are in mm.
func pageStylePath(w, h float64) string {
	return "/office/page.css?" + url.Values{"w": {millimetres(w)}, "h": {millimetres(h)}}.Encode()
}

// millimetres writes a length to a thousandth.
func millimetres(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64) }

func pageStyle(w http.ResponseWriter, r *http.Request) error {
	f := &form{values: r.URL.Query()}
	width, height := read(f, "w", parseNumber), read(f, "h", parseNumber)
	if !f.ok() || width < restoration.MinPage || width > restoration.MaxPage || height < restoration.MinPage || height > restoration.MaxPage {
		return restoration.Problemf(restoration.TroubleInvalid, "", "A page is from %g to %g mm long and wide.", restoration.MinPage, restoration.MaxPage)
	}
	w.Header().Set("Content-Type", "text/css; charset=utf-8")
	_, err := fmt.Fprintf(w, "@page { size: %smm %smm; margin: 0; }\n", millimetres(width), millimetres(height))
	return err
}

// qrBox is the view box of a square code.
func qrBox(q labels.QR) string {
	n := strconv.Itoa(q.Modules())
	return "0 0 " + n + " " + n
}

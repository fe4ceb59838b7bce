package office

import (
	"fmt"
	"math"
	"net/http"
	"net/url"
	"strconv"
	"strings"

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

func sheetOptions() []ui.Option {
	var list []ui.Option
	for _, p := range labels.Presets() {
		list = append(list, ui.Option{Value: p.Key, Word: p.Word})
	}
	return append(list, ui.Option{Value: ownSheet, Word: "another, as measured below"})
}

// offerSheet fills in the shop's sheet where none is chosen, and the dimensions of what
// is chosen where none are typed, to begin from.
func offerSheet(f *form, kept restoration.LabelSheet) {
	if f.get(printSheet) == "" {
		f.values.Set(printSheet, keyOf(kept))
	}
	from := kept
	if p, ok := labels.FindPreset(f.get(printSheet)); ok {
		from = p.LabelSheet
	} else if f.ticked("page_w") {
		return
	}
	for _, field := range sheetFields() {
		f.values.Set(field.name, strconv.FormatFloat(*field.of(&from), 'f', -1, 64))
	}
	f.values.Set("cols", strconv.Itoa(from.Cols))
	f.values.Set("rows", strconv.Itoa(from.Rows))
}

// keyOf is how a sheet is chosen: a preset by its key.
func keyOf(s restoration.LabelSheet) string {
	presets := labels.Presets()
	if s == (restoration.LabelSheet{}) {
		return presets[0].Key
	}
	for _, p := range presets {
		if p.LabelSheet == s {
			return p.Key
		}
	}
	return ownSheet
}

// parseSheet reads the sheet that is chosen.
func parseSheet(f *form) restoration.LabelSheet {
	if p, ok := labels.FindPreset(f.get(printSheet)); ok {
		return p.LabelSheet
	}
	oneOf(f, printSheet, []string{ownSheet})
	var s restoration.LabelSheet
	for _, field := range sheetFields() {
		*field.of(&s) = parseMM(f, field.name)
	}
	s.Cols, s.Rows = parseLines(f, "cols"), parseLines(f, "rows")
	if f.ok() {
		f.mustHold(s.Check())
	}
	return s
}

// parseMM reads a length in mm.
func parseMM(f *form, name string) float64 {
	v, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(f.get(name)), ",", ".", 1), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		f.fault(name, "Type a length in mm, such as 63.5.")
		return 0
	}
	return v
}

func parseLines(f *form, name string) int {
	n, err := strconv.Atoi(strings.TrimSpace(f.get(name)))
	if err != nil {
		f.fault(name, "Type a whole number.")
	}
	return n
}

// pageStylePath is the address of the style that gives the printed page its size: only a
// style sheet can, and none may stand within a page.
func pageStylePath(w, h float64) string {
	return "/office/page.css?" + url.Values{"w": {millimetres(w)}, "h": {millimetres(h)}}.Encode()
}

// millimetres writes a length to a thousandth.
func millimetres(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64) }

func pageStyle(w http.ResponseWriter, r *http.Request) error {
	f := &form{values: r.URL.Query()}
	width, height := parseMM(f, "w"), parseMM(f, "h")
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

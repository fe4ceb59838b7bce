package office

import (
	"bytes"
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
	"scumble/web"
	"scumble/web/ui"
)

const defectsPath = "/office/defects"

// Keys of the query of the page of defects. Each chooses the entries that have the
// value; dates choose those between them, both days included.
const (
	defectKey      = "defect"
	defectFound    = "found"
	defectBack     = "back"
	defectMaterial = "material"
	defectPerson   = "person"
	defectMonth    = "month"
	fromKey        = "from"
	toKey          = "to"
)

// defectKeys are those that choose by a value.
func defectKeys() []string {
	return []string{defectKey, defectFound, defectBack, defectMaterial, defectPerson, defectMonth}
}

// defectsPage is what went wrong in the shop, and what may go wrong.
type defectsPage struct {
	Page    ui.PageProps
	From    ui.FieldProps
	To      ui.FieldProps
	Chosen  []chosenWord // each with the address without it
	Sums    []tallyTable
	Count   int
	Hours   restoration.Minutes
	Entries []defectLine
	More    int // entries that are not listed
	Table   string
	Known   []defectHelp
}

// chosenWord is a choice that stands in the address.
type chosenWord struct{ Key, Word, Value, Raw, Without string }

// tallyTable counts what went wrong by one thing; each number leads to its entries.
type tallyTable struct {
	Word  string
	Lines []tallyLine
}

type tallyLine struct {
	restoration.DefectTally
	Href string
}

// defectLine is one send-back.
type defectLine struct {
	restoration.DefectRow
	Name string
	Href string
	When string
}

// defectHelp is a defect of the trade's table.
type defectHelp struct {
	restoration.Defect
	Likely []string // causes
	Back   string   // the look that it sends back to
}

// defectsShown is how many entries the page lists; the table has all.
const defectsShown = 200

func (o *Office) showDefects(w http.ResponseWriter, r *http.Request) error {
	rows, f, err := o.chosenDefects(r)
	if err != nil {
		return err
	}
	v, q := visitOf(r), r.URL.Query()
	p := defectsPage{
		Page: o.page(r, ui.PageProps{Title: "Defects", Nav: navRecords,
			Lede: "What was sent back, why, and the hours it cost. Named is who worked last at the stage that makes such a defect: only the owner sees it, and it is there to mend a way of working."}),
		From: f.field(ui.FieldProps{Name: fromKey, Label: "From", Type: "date"}), To: f.field(ui.FieldProps{Name: toKey, Label: "To", Type: "date"}),
		Chosen: chosenDefectWords(rows, q, v.Loc), Sums: defectTables(rows, q, v.Loc), Table: defectsPath + ".csv?" + q.Encode(), Known: defectTable(v.Settings.Units),
	}
	sums := restoration.DefectStats(rows, v.Loc)
	p.Count, p.Hours = sums.Count, sums.Hours
	for _, row := range slices.Backward(rows[max(0, len(rows)-defectsShown):]) {
		p.Entries = append(p.Entries, defectLine{row, defectName(row.Defect), piecePath(row.PieceID), ui.When(row.At, v.Loc)})
	}
	p.More = len(rows) - len(p.Entries)
	return web.Render(w, r, http.StatusOK, defectsView(p))
}

// chosenDefects lists the send-backs that the address chooses, in the order of time. A
// date that is none is said at its field and chooses nothing.
func (o *Office) chosenDefects(r *http.Request) ([]restoration.DefectRow, *form, error) {
	v, q := visitOf(r), r.URL.Query()
	f := &form{values: q}
	from, to := f.between(v.Now, v.Loc, time.Time{})
	rows, err := o.shop.DefectRows(r.Context(), from, to)
	return slices.DeleteFunc(rows, func(row restoration.DefectRow) bool {
		return slices.ContainsFunc(defectKeys(), func(key string) bool { return q.Get(key) != "" && q.Get(key) != defectValue(row, key, v.Loc) })
	}), f, err
}

// between reads the two dates of a page's filter, as the hours at which the first day
// begins and the last one ends in the shop's zone. Without dates it reaches from first
// to now.
func (f *form) between(now time.Time, loc *time.Location, first time.Time) (from, to time.Time) {
	from, to = first, now.Add(time.Minute)
	begins := func(d time.Time) time.Time { return time.Date(d.Year(), d.Month(), d.Day(), 0, 0, 0, 0, loc) }
	if d := f.date(fromKey); !d.IsZero() {
		from = begins(d)
	}
	if d := f.date(toKey); !d.IsZero() {
		if to = begins(d.AddDate(0, 0, 1)); !to.After(from) {
			f.fault(toKey, "That day lies before the first one. Choose an earlier first day, or a later last one.")
		}
	}
	return from, to
}

// defectValue is what an entry has under a key of the address.
func defectValue(row restoration.DefectRow, key string, loc *time.Location) string {
	switch key {
	case defectKey:
		return row.Defect
	case defectFound:
		return cmp.Or(row.Found, restoration.NotLogged)
	case defectBack:
		return cmp.Or(row.Back, restoration.NotLogged)
	case defectMaterial:
		return cmp.Or(row.Material, restoration.NotLogged)
	case defectPerson:
		return formatID(row.PersonID)
	}
	return row.At.In(loc).Format("2006-01")
}

func defectName(key string) string {
	if d, ok := restoration.FindDefect(key); ok {
		return d.Name
	}
	return key
}

// chosenDefectWords names the choices that stand in the address, as the entries that
// they chose name them.
func chosenDefectWords(rows []restoration.DefectRow, q url.Values, loc *time.Location) []chosenWord {
	words := map[string]string{defectKey: "What", defectFound: "Found after", defectBack: "Back to", defectMaterial: "Material", defectPerson: "Who was last", defectMonth: "Month"}
	var out []chosenWord
	for _, key := range defectKeys() {
		value := q.Get(key)
		if value == "" {
			continue
		}
		c := chosenWord{Key: key, Word: words[key], Value: value, Raw: value, Without: addressWith(defectsPath, q, key, "")}
		for _, row := range rows {
			if defectValue(row, key, loc) == value {
				c.Value = defectTallyName(row, key, loc)
			}
		}
		out = append(out, c)
	}
	return out
}

// addressWith is a page with one key of its query set, or taken away by "".
func addressWith(path string, q url.Values, key, value string) string {
	kept := url.Values{}
	for k, v := range q {
		kept[k] = v
	}
	kept.Del(key)
	if value != "" {
		kept.Set(key, value)
	}
	if len(kept) == 0 {
		return path
	}
	return path + "?" + kept.Encode()
}

// defectTables count the entries by each thing; a number leads to the entries in it.
func defectTables(rows []restoration.DefectRow, q url.Values, loc *time.Location) []tallyTable {
	sums := restoration.DefectStats(rows, loc)
	tables := []struct {
		word, key string
		list      []restoration.DefectTally
	}{
		{"What went wrong", defectKey, sums.ByDefect}, {"Found after", defectFound, sums.ByFound}, {"Sent back to", defectBack, sums.ByBack},
		{"Material of the layer", defectMaterial, sums.ByMaterial}, {"Who worked last at the stage that makes it", defectPerson, sums.ByPerson}, {"Month", defectMonth, sums.ByMonth},
	}
	var out []tallyTable
	for _, t := range tables {
		table := tallyTable{Word: t.word}
		for _, tally := range t.list {
			table.Lines = append(table.Lines, tallyLine{tally, addressWith(defectsPath, q, t.key, tallyValue(rows, tally, t.key, loc)) + "#entries"})
		}
		out = append(out, table)
	}
	return out
}

// tallyValue is the value in the address that chooses what a tally counts.
func tallyValue(rows []restoration.DefectRow, tally restoration.DefectTally, key string, loc *time.Location) string {
	for _, row := range rows {
		if defectTallyName(row, key, loc) == tally.Name {
			return defectValue(row, key, loc)
		}
	}
	return ""
}

// defectTallyName is the name under which the statistics count an entry.
func defectTallyName(row restoration.DefectRow, key string, loc *time.Location) string {
	switch key {
	case defectKey:
		return cmp.Or(defectName(row.Defect), restoration.NotLogged)
	case defectPerson:
		return cmp.Or(row.Person, restoration.NotLogged)
	case defectMonth:
		return row.At.In(loc).Format("Jan 2006")
	}
	return defectValue(row, key, loc)
}

func defectTable(u restoration.Units) []defectHelp {
	var out []defectHelp
	for _, d := range restoration.Defects() {
		help := defectHelp{Defect: d, Likely: d.CausesIn(u)}
		if d.Key != restoration.DefectOther {
			help.Back = ui.LookWord(d.Back)
		}
		out = append(out, help)
	}
	return out
}

// usualHours are the hours that a defect usually costs on a medium piece.
func (d defectHelp) usualHours() string {
	if d.Key == restoration.DefectOther {
		return ""
	}
	return typedHours(d.Hours.Likely) + " h, " + typedHours(d.Hours.Low) + "–" + typedHours(d.Hours.High)
}

// defectsTable gives the entries that the address chooses as a table.
func (o *Office) defectsTable(w http.ResponseWriter, r *http.Request) error {
	rows, _, err := o.chosenDefects(r)
	if err != nil {
		return err
	}
	v := visitOf(r)
	var table bytes.Buffer
	out := trimlist.NewWriter(&table)
	out.Write("when", "work_order", "piece", "defect", "found_after", "sent_back_to", "material", "person", "hours")
	for _, row := range rows {
		out.Write(row.At.In(v.Loc).Format(time.RFC3339), row.Car, row.Piece, defectName(row.Defect), row.Found, row.Back, row.Material, row.Person,
			strconv.FormatFloat(row.Hours.Hours(), 'f', 2, 64))
	}
	if err := out.Flush(); err != nil {
		return err
	}
	return sendTable(w, "defects", table.Bytes())
}

// causes puts the likely causes into one sentence.
func (d defectHelp) causes() string {
	if len(d.Likely) == 0 {
		return ""
	}
	return upperFirst(strings.Join(d.Likely, "; ")) + "."
}

func orNotLogged(s string) string { return cmp.Or(s, restoration.NotLogged) }

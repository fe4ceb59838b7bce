package office

import (
	"bytes"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"time"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/internal/trimlist"
	"scumble/web"
	"scumble/web/ui"
)

const recordsPath = "/office/records"

// navRecords is the key of the records' pages in the navigation.
const navRecords = "records"

// recordsPage is what the shop used up.
type recordsPage struct {
	Page   ui.PageProps
	Form   *form
	From   ui.FieldProps
	To     ui.FieldProps
	Months []usageMonth
	Cars   []restoration.CarUse
	Sum    restoration.CarUse
	Table  string
	Unit   usageUnits
}

// usageMonth is a month with the kinds and materials that were sprayed in it.
type usageMonth struct {
	Name  string
	Kinds []restoration.Usage
	Lines []restoration.Usage // by material
	Sum   restoration.Usage
}

// yearBack is where the record begins when no date is chosen: the first of the month a
// year ago.
func yearBack(now time.Time, loc *time.Location) time.Time {
	now = now.In(loc)
	return time.Date(now.Year()-1, now.Month(), 1, 0, 0, 0, 0, loc)
}

func (o *Office) showRecords(w http.ResponseWriter, r *http.Request) error {
	coats, f, err := o.chosenCoats(r)
	if err != nil {
		return err
	}
	v := visitOf(r)
	p := recordsPage{
		Page: o.page(r, ui.PageProps{Title: "Material used", Nav: navRecords}), Form: f,
		From: f.field(ui.FieldProps{Name: fromKey, Label: "From", Type: "date"}), To: f.field(ui.FieldProps{Name: toKey, Label: "To", Type: "date"}),
		Months: usageMonths(restoration.UsageByMonth(coats, v.Loc)), Cars: restoration.UsageByCar(coats), Table: recordsPath + ".csv?" + r.URL.Query().Encode(),
		Unit: usageUnitsOf(v.Settings.Units),
	}
	for _, c := range p.Cars {
		p.Sum.Coats += c.Coats
		p.Sum.ML += c.ML
		p.Sum.VOCGrams += c.VOCGrams
		p.Sum.Unstated += c.Unstated
	}
	return web.Render(w, r, http.StatusOK, recordsView(p))
}

// chosenCoats lists the coats of the days that the address names, else of a year.
func (o *Office) chosenCoats(r *http.Request) ([]restoration.Sprayed, *form, error) {
	v := visitOf(r)
	f := &form{values: r.URL.Query()}
	from, to := f.between(v.Now, v.Loc, yearBack(v.Now, v.Loc))
	coats, err := o.shop.UsageRows(r.Context(), from, to)
	return coats, f, err
}

// usageMonths puts lines of usage under their months, the latest month first.
func usageMonths(lines []restoration.Usage) []usageMonth {
	var months []usageMonth
	for _, l := range lines {
		name := l.Month.Format("January 2006")
		if n := len(months); n == 0 || months[n-1].Name != name {
			months = append(months, usageMonth{Name: name})
		}
		m := &months[len(months)-1]
		m.Lines = append(m.Lines, l)
		m.Sum.Coats += l.Coats
		m.Sum.ML += l.ML
		m.Sum.VOCGrams += l.VOCGrams
		m.Sum.Unstated += l.Unstated
	}
	for i := range months {
		months[i].Kinds = restoration.UsageByKind(months[i].Lines)
	}
	slices.Reverse(months)
	return months
}

// usageUnits are those of the record, and what one of them is in mL, and in grams.
type usageUnits struct {
	volume, mass      string
	sheet             string    // in which data sheets state VOC
	columns           [3]string // of the table: what was used, its VOC, what of it states none
	mlEach, gramsEach float64
}

func usageUnitsOf(u restoration.Units) usageUnits {
	if u == restoration.US {
		return usageUnits{"US gal", "lb", inLBGal.word, [3]string{"us_gal", "voc_lb", "us_gal_without_voc_stated"}, 128 * coating.MLPerFlOz, coating.GramsPerLB}
	}
	return usageUnits{"L", "kg", inGL.word, [3]string{"litres", "voc_kg", "litres_without_voc_stated"}, 1000, 1000}
}

// cells are the figures of a line of the table, in the order of its columns.
func (u usageUnits) cells(ml, vocGrams, unstatedML float64) []string {
	number := func(v float64) string { return strconv.FormatFloat(v, 'f', 3, 64) }
	return []string{number(ml / u.mlEach), number(vocGrams / u.gramsEach), number(unstatedML / u.mlEach)}
}

func (u usageUnits) amount(ml float64) string { return ui.Num(ml/u.mlEach, 3) }

func (u usageUnits) voc(g float64) string { return ui.Num(g/u.gramsEach, 3) }

// unstated says how much of a line has no VOC on its sheet; "" none.
func (u usageUnits) unstated(ml float64) string {
	if ml == 0 {
		return ""
	}
	return fmt.Sprintf("%s %s of it state none", u.amount(ml), u.volume)
}

// recordsTable gives the record as a table, in the shop's units: a line for each month and
// material, then one for each car.
func (o *Office) recordsTable(w http.ResponseWriter, r *http.Request) error {
	coats, _, err := o.chosenCoats(r)
	if err != nil {
		return err
	}
	v := visitOf(r)
	unit := usageUnitsOf(v.Settings.Units)
	var table bytes.Buffer
	out := trimlist.NewWriter(&table)
	out.Write(append([]string{"month", "kind", "material", "work_order", "car", "coats"}, unit.columns[:]...)...)
	for _, u := range restoration.UsageByMonth(coats, v.Loc) {
		out.Write(append([]string{u.Month.Format("2006-01"), string(u.Kind), u.Name, "", "", strconv.Itoa(u.Coats)}, unit.cells(u.ML, u.VOCGrams, u.Unstated)...)...)
	}
	for _, c := range restoration.UsageByCar(coats) {
		out.Write(append([]string{"", "", "", c.WorkOrder, c.Car, strconv.Itoa(c.Coats)}, unit.cells(c.ML, c.VOCGrams, c.Unstated)...)...)
	}
	if err := out.Flush(); err != nil {
		return err
	}
	return sendTable(w, "material-used", table.Bytes())
}

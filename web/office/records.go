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
	sheet             string // in which data sheets state VOC
	mlEach, gramsEach float64
}

func usageUnitsOf(u restoration.Units) usageUnits {
	if u == restoration.US {
		return usageUnits{"US gal", "lb", inLBGal.word, 128 * coating.MLPerFlOz, coating.GramsPerLB}
	}
	return usageUnits{"L", "kg", inGL.word, 1000, 1000}
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

// recordsTable gives the record as a table: a line for each month and material, then one
// for each car.
func (o *Office) recordsTable(w http.ResponseWriter, r *http.Request) error {
	coats, _, err := o.chosenCoats(r)
	if err != nil {
		return err
	}
	var table bytes.Buffer
	out := trimlist.NewWriter(&table)
	out.Write("month", "kind", "material", "work_order", "car", "coats", "litres", "voc_kg", "litres_without_voc_stated")
	number := func(v float64) string { return strconv.FormatFloat(v/1000, 'f', 3, 64) }
	for _, u := range restoration.UsageByMonth(coats, visitOf(r).Loc) {
		out.Write(u.Month.Format("2006-01"), string(u.Kind), u.Name, "", "", strconv.Itoa(u.Coats), number(u.ML), number(u.VOCGrams), number(u.Unstated))
	}
	for _, c := range restoration.UsageByCar(coats) {
		out.Write("", "", "", c.WorkOrder, c.Car, strconv.Itoa(c.Coats), number(c.ML), number(c.VOCGrams), number(c.Unstated))
	}
	if err := out.Flush(); err != nil {
		return err
	}
	return sendTable(w, "material-used", table.Bytes())
}

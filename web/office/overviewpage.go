package office

import (
	"cmp"
	"net/url"
	"slices"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// shopData is what the page of the whole shop is made from.
type shopData struct {
	Roll      restoration.ShopRoll
	Urgent    []restoration.Work // held, in hand, or with a window that shuts
	Refused   []restoration.Entry
	Overrides []restoration.Entry
	Both      []restoration.BothTick
	Mixed     []restoration.Piece    // of cars with more than one finish
	Again     []restoration.CutPiece // to be looked at for die-back

	Certificates []restoration.Certificate
	Routes       map[int64]restoration.Route
	People       []restoration.Person
	Delivered    bool                     // delivered cars are shown as well
	Air          []restoration.AirReading // the newest of each sensor
	Settings     restoration.Settings
	Now          time.Time
	Loc          *time.Location
}

func (d shopData) reader() reader { return reader{d.Now, d.Loc, d.Settings.Units} }

func (d shopData) dates() dates {
	return newDates(d.Roll.Cars, hands(d.People), d.Settings.Calendar, d.Now, d.Loc)
}

// shopPage is the whole shop at a glance.
type shopPage struct {
	Page      ui.PageProps
	Here      string
	Address   *url.URL
	Look      []lookGroup
	All       bool // every item that needs a look is shown
	Cars      []carLine
	Total     carLine
	Hands     []handLine
	Air       []airLine
	Schemes   []ui.Scheme
	Delivered bool
}

// carLine is one car in the shop, or all of them.
type carLine struct {
	WorkOrder  string
	Name, Path string
	Under      string // work order, customer, state
	Strip      ui.HoursStripProps
	Left       restoration.Minutes
	Workable   restoration.Minutes
	Waiting    restoration.Minutes
	From       string // the hour at which the first waiting piece may go on
	Held       restoration.Minutes
	Rework     restoration.Minutes
	Percent    string
	Promised   string
	Lateness   string
	Late       bool
}

// handLine is one person and what that person has in hand.
type handLine struct {
	Name string
	Work []handWork
}

type handWork struct {
	Piece, Href, Stage, Car string
	Since                   string
	Logged, Planned         restoration.Minutes
}

func newShopPage(d shopData, page ui.PageProps, address *url.URL) shopPage {
	p := shopPage{Page: page, Here: address.RequestURI(), Address: address, All: address.Query().Has("all"), Delivered: d.Delivered, Hands: handLines(d),
		Air: airLines(d.Air, visit{Settings: d.Settings, Now: d.Now, Loc: d.Loc})}
	dates := d.dates()
	p.Look = lookGroups(d, dates, p.All)
	cars := slices.Clone(d.Roll.Cars)
	sortCars(cars, address.Query().Get(ui.SortParam))
	scale := stripScale(cars)
	for _, c := range cars {
		line := d.carLine(c, dates, scale)
		p.Cars = append(p.Cars, line)
		if !slices.Contains(p.Schemes, line.Strip.Scheme) {
			p.Schemes = append(p.Schemes, line.Strip.Scheme)
		}
	}
	p.Total = d.carLine(restoration.CarRoll{Roll: d.Roll.Total}, dates, 0)
	p.Total.Name, p.Total.Under = "The whole shop", ui.Count(d.Roll.Total.Pieces-d.Roll.Total.Finished, "piece", "pieces")+" to finish"
	p.Total.Promised = ""
	p.Page.Lede = shopLede(d)
	return p
}

// shopLede is the shop in one sentence.
func shopLede(d shopData) string {
	t := d.Roll.Total
	if len(d.Roll.Cars) == 0 {
		return ""
	}
	return ui.Count(len(d.Roll.Cars), "car", "cars") + ", " + hoursOf(t.Left) + " left: " + hoursOf(t.Workable) + " on pieces that can be worked now, " +
		hoursOf(t.Waiting) + " on pieces that wait for paint, " + hoursOf(t.Held) + " on held pieces."
}

// sortCars sorts by the column that the address names; without one the nearest promise
// stands first, which also breaks ties.
func sortCars(cars []restoration.CarRoll, key string) {
	column, descending := strings.CutPrefix(key, "-")
	by, ok := carOrders[column]
	if !ok {
		by, descending = func(a, b restoration.CarRoll) int { return 0 }, false
	}
	slices.SortStableFunc(cars, func(a, b restoration.CarRoll) int {
		n := by(a, b)
		if descending {
			n = -n
		}
		return cmp.Or(n, compareStates(a.Car, b.Car), comparePromises(a.Car, b.Car), cmp.Compare(a.Car.WorkOrder, b.Car.WorkOrder))
	})
}

// carOrders are the columns by which the table of cars sorts.
var carOrders = map[string]func(a, b restoration.CarRoll) int{
	"car":      func(a, b restoration.CarRoll) int { return compareWords(a.Car.Name, b.Car.Name) },
	"left":     func(a, b restoration.CarRoll) int { return cmp.Compare(a.Left, b.Left) },
	"workable": func(a, b restoration.CarRoll) int { return cmp.Compare(a.Workable, b.Workable) },
	"waiting":  func(a, b restoration.CarRoll) int { return cmp.Compare(a.Waiting, b.Waiting) },
	"held":     func(a, b restoration.CarRoll) int { return cmp.Compare(a.Held, b.Held) },
	"rework":   func(a, b restoration.CarRoll) int { return cmp.Compare(a.ReworkLeft, b.ReworkLeft) },
	"done":     func(a, b restoration.CarRoll) int { return cmp.Compare(a.PercentDone(), b.PercentDone()) },
	"promised": func(a, b restoration.CarRoll) int { return comparePromises(a.Car, b.Car) },
}

// compareStates puts delivered cars behind the others.
func compareStates(a, b restoration.Car) int {
	delivered := func(c restoration.Car) int {
		if c.State == restoration.CarDelivered {
			return 1
		}
		return 0
	}
	return cmp.Compare(delivered(a), delivered(b))
}

// comparePromises puts the nearest promise first, and cars without one last.
func comparePromises(a, b restoration.Car) int {
	switch {
	case a.PromisedOn.IsZero() && b.PromisedOn.IsZero():
		return 0
	case a.PromisedOn.IsZero():
		return 1
	case b.PromisedOn.IsZero():
		return -1
	}
	return a.PromisedOn.Compare(b.PromisedOn)
}

// stripScale is the hours that fill the widest bar, so that all bars compare.
func stripScale(cars []restoration.CarRoll) float64 {
	widest := 0.0
	for _, c := range cars {
		widest = max(widest, (c.Earned + c.Left).Hours())
	}
	return widest
}

func (d shopData) carLine(c restoration.CarRoll, dates dates, scale float64) carLine {
	line := carLine{
		WorkOrder: c.Car.WorkOrder, Name: c.Car.Name, Path: carPath(c.Car.WorkOrder), Under: joinWords(c.Car.WorkOrder, c.Car.Customer, stateWord(c.Car), listWord(c)),
		Strip: hoursStrip(c.Car, c.Roll, scale, true),
		Left:  c.Left, Workable: c.Workable, Waiting: c.Waiting, Held: c.Held, Rework: c.ReworkLeft,
		Percent: ui.Percent(c.PercentDone() / 100), Promised: promisedWords(c.Car, d.Loc),
		Lateness: dates.words(c.Car), Late: dates.of(c.Car) == restoration.Late,
	}
	if c.Pieces == 0 {
		line.Percent = ui.None
	}
	if !c.NextFrom.IsZero() {
		line.From = "from " + ui.Clock(c.NextFrom, d.Now, d.Loc)
	}
	return line
}

// listWord says that a car has no trim list yet, whatever its hours are.
func listWord(c restoration.CarRoll) string {
	if c.Pieces == 0 {
		return noList
	}
	return ""
}

// stateWord names a car's state where it says more than that work goes on.
func stateWord(c restoration.Car) string {
	if c.State == restoration.CarInWork {
		return ""
	}
	return string(c.State)
}

// handLines says who has what in hand. Technicians with nothing in hand are named too;
// an owner only with something.
func handLines(d shopData) []handLine {
	var out []handLine
	for _, p := range d.People {
		line := handLine{Name: p.Name}
		mine := slices.DeleteFunc(slices.Clone(d.Urgent), func(w restoration.Work) bool { return w.HandBy != p.ID })
		slices.SortStableFunc(mine, func(a, b restoration.Work) int { return a.HandSince.Compare(b.HandSince) })
		for _, w := range mine {
			line.Work = append(line.Work, handWork{
				Piece: w.Piece.Title(), Href: piecePath(w.Piece.ID), Stage: lowerFirst(w.Stage.Name), Car: w.Car.WorkOrder,
				Since: ui.Clock(w.HandSince, d.Now, d.Loc), Logged: w.Logged, Planned: w.Planned.Likely,
			})
		}
		if len(line.Work) > 0 || p.Role == restoration.RoleTechnician && p.LeftAt.IsZero() {
			out = append(out, line)
		}
	}
	return out
}

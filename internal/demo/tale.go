package demo

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"scumble/internal/restoration"
)

// Tale is what the shop has done, as if it had been told: cars and people are
// numbered from 1, and pieces and steps bear ids that only the tale knows.
type Tale struct {
	Begins time.Time
	Cars   []Car
	Acts   []Act                  // in the order of time
	Paints []restoration.Material // in the place of the examples; numbered from 1
	Air    []restoration.AirReading
	Places []restoration.Place
	Fits   []Fit
}

// Car is a car of the tale with its pieces.
type Car struct {
	Car     restoration.Car // as it came in; its ID is its number
	Pieces  []restoration.NewPiece
	Opened  []restoration.Event  // how each piece was planned, in the order of Pieces
	Schemes []restoration.Scheme // the car's own first, by numbers of the tale
	// Words and the dates are what the customer is told by now.
	Words                string
	ExpectFrom, ExpectTo time.Time
}

// ActKind is what an act does.
type ActKind int

// The acts. ActTakeIn puts a car with its pieces on the books, ActTell tells the
// customer how things stand, ActLink gives the customer a link, ActTin puts a tin on the
// shelf or throws it away, ActPhoto takes a photo.
const (
	ActEnter ActKind = iota
	ActTakeIn
	ActTell
	ActLink
	ActTin
	ActPhoto
)

// Act is one thing that somebody did.
type Act struct {
	Kind  ActKind
	At    time.Time
	Car   int               // index in Tale.Cars
	Event restoration.Event // of ActEnter and ActPhoto
	Lot   restoration.Lot   // of ActTin; its ID is its number in the tale
	// Refuse marks an entry that the rules are meant to refuse.
	Refuse bool
	// Beside marks an entry that is judged beside the car's other pieces.
	Beside bool
	// Look is what is seen on a photo; Shown lets the customer see it too.
	Look  restoration.Look
	Shown bool
}

// Tell makes up the shop's history up to now, in the shop's settings and on its
// route. The same arguments give the same tale.
func Tell(now time.Time, settings restoration.Settings, route restoration.Route) Tale {
	w := newWorld(now, settings, route)
	w.run()
	w.acts = append(w.acts, w.album()...)
	tale := Tale{Begins: w.begins(), Acts: w.acts, Paints: w.paints, Air: air(w.now, w.loc), Places: w.places(), Fits: w.holdWell()}
	for _, c := range w.cars {
		tale.Cars = append(tale.Cars, c.told)
	}
	slices.SortStableFunc(tale.Acts, func(a, b Act) int { return a.At.Compare(b.At) })
	return tale
}

// seed makes every start of the demo tell the same kind of tale.
const seed = 0x5c0bb1e

// world is the shop while its days are played.
type world struct {
	now      time.Time
	loc      *time.Location
	settings restoration.Settings
	route    restoration.Route
	rnd      *rand.Rand
	cars     []*carPlay
	hands    []*hand
	agenda   []appointment
	acts     []Act

	paints    []restoration.Material
	tins      []restoration.Lot // by number, less one
	inUse     map[shelf]int64   // the tin that is open
	scraps    int64             // the tin of clear that is all but empty
	forgotten int64             // the hardener that is past its date
	spared    spared

	refusedOnce restoration.ID // the refused entry that the owner settles

	lastWeek time.Time // from here on nothing goes wrong but what the tale is known for
	lastDays time.Time // from here on everybody has something to do
	// From each of restFrom on a piece of the late car is cleared that, once cut, waits
	// for its fitting now; resting are those pieces. One alone may miss by a holiday.
	restFrom  [3]time.Time
	resting   []int
	closing   bool      // the tale is at its end
	goesHome  time.Time // from here on the forgetful one leaves with her clock running
	lastHours time.Time // from here on the car that has just come is only stripped
}

// carPlay is a car in the play.
type carPlay struct {
	spec
	told    Car
	index   int
	ids     []restoration.ID // of the pieces, in their order
	wave    []int            // in which a piece is begun
	down    []time.Time      // until when a piece is being put away
	book    *restoration.Book
	film    map[restoration.ID][]restoration.Deed // by piece
	planned restoration.Minutes
	arrival time.Time
	begins  time.Time
	botched bool // the cut-through has happened
	gone    bool // delivered
	tally   *tally
}

// tally is what is added up over a car's pieces; it holds until the next entry.
type tally struct {
	earned restoration.Minutes // of the plan
	bare   int                 // pieces that wait for primer
}

func newWorld(now time.Time, settings restoration.Settings, route restoration.Route) *world {
	loc := settings.Location()
	w := &world{now: now.In(loc).Truncate(time.Second), loc: loc, settings: settings, route: route,
		rnd: rand.New(rand.NewPCG(seed, uint64(now.Unix()))), paints: paints(), inUse: map[shelf]int64{}}
	w.lastWeek, w.lastDays, w.lastHours = w.workdaysAgo(5, 0), w.workdaysAgo(2, 0), w.before(8*60)
	w.restFrom = [3]time.Time{w.workdaysAgo(5, 0), w.workdaysAgo(4, 0), w.workdaysAgo(3, 0)}
	yesterday := w.workdaysAgo(1, 0)
	w.goesHome = w.wall(yesterday, w.settings.Calendar.Days[yesterday.Weekday()].Close)
	w.newSpared()
	for i, s := range specs() {
		c := w.newCar(i, s)
		w.cars = append(w.cars, c)
		w.newTin(shelf{paint: s.finish.ground, car: i + 1}, w.wall(c.arrival, w.settings.Calendar.Days[c.arrival.Weekday()].Open))
		c.told.Schemes = w.schemes(c)
	}
	w.oddTins()
	for i, p := range Cast() {
		if p.PIN != "" {
			w.hands = append(w.hands, newHand(int64(i)+1, w.cars[0].arrival))
		}
	}
	w.fillAgenda()
	return w
}

// begins is when the shop's people and tablet are set up, the day before the first car.
func (w *world) begins() time.Time { return w.cars[0].arrival.AddDate(0, 0, -3) }

// newCar takes a car in on the morning of its day.
func (w *world) newCar(index int, s spec) *carPlay {
	c := &carPlay{spec: s, index: index, film: map[restoration.ID][]restoration.Deed{}}
	c.arrival = w.morning(s.arrived, 95)
	c.begins = w.morning(s.begun, 0)
	car := s.car
	car.ID, car.State = int64(index)+1, restoration.CarSurvey
	// The shop takes in a car every nine days or so; five of them are told of.
	car.WorkOrder = fmt.Sprintf("%s-%03d", c.arrival.Format("06"), 1+c.arrival.YearDay()/9)
	car.ArrivedOn, car.PromisedOn = day(c.arrival), day(w.now.AddDate(0, 0, -s.promised))
	c.told = Car{Car: car, Pieces: survey(s, w.rnd), Words: s.words}
	if s.expect[1] > 0 {
		c.told.ExpectFrom, c.told.ExpectTo = day(w.now.AddDate(0, 0, s.expect[0])), day(w.now.AddDate(0, 0, s.expect[1]))
	}
	c.book = restoration.NewBook(car, map[int64]restoration.Route{w.route.ID: w.route})
	waves := map[string]int{}
	for _, p := range c.told.Pieces {
		if _, ok := waves[p.Set]; !ok {
			waves[p.Set] = len(waves) % 4
		}
		c.wave = append(c.wave, waves[p.Set])
		w.open(c, p)
	}
	w.acts = append(w.acts, Act{Kind: ActTakeIn, At: c.arrival, Car: index})
	c.down = make([]time.Time, len(c.ids))
	return c
}

// open puts a piece on the car's list, as the office does.
func (w *world) open(c *carPlay, p restoration.NewPiece) {
	e := restoration.Event{ID: w.newID(c.arrival), Kind: restoration.KindOpen, CarID: c.told.Car.ID, PieceID: w.newID(c.arrival),
		PersonID: owner, At: c.arrival, Arrived: c.arrival}
	e.RouteID, e.Size, e.Place, e.Reason = w.route.ID, p.Size, p.LiesAt, restoration.OpeningHold(p.Details)
	e.Plan = restoration.Planned(p.Details, c.told.Car.Quality, w.route, w.settings.Factors)
	c.book.Expect(restoration.Piece{ID: e.PieceID, CarID: e.CarID, RouteID: w.route.ID, Details: p.Details})
	c.book.Enter(e)
	c.ids = append(c.ids, e.PieceID)
	c.told.Opened = append(c.told.Opened, e)
	for _, plan := range e.Plan {
		c.planned += plan.Hours.Likely
	}
}

// piece gives a piece as it stands.
func (c *carPlay) piece(i int) restoration.Piece {
	p, _ := c.book.Piece(c.ids[i])
	return p
}

// sums adds up the car's pieces, once for as long as nothing is entered.
func (c *carPlay) sums() tally {
	if c.tally != nil {
		return *c.tally
	}
	c.tally = &tally{}
	for i := range c.ids {
		p := c.piece(i)
		for _, s := range p.Steps {
			c.tally.earned += s.Earned
		}
		if !p.Sum.LateFrom.IsZero() {
			c.tally.bare++
		}
	}
	return *c.tally
}

// lag is how far the car is behind where the tale wants it at t; negative is ahead.
func (c *carPlay) lag(t, now time.Time) restoration.Minutes {
	end := now.AddDate(0, 0, -c.until)
	done := float64(t.Sub(c.begins)) / float64(end.Sub(c.begins))
	return restoration.Minutes(min(max(done, 0), 1)*c.share*float64(c.planned)) - c.sums().earned
}

// enter puts an entry in the book and in the tale, and gives what became of it.
func (w *world) enter(c *carPlay, e restoration.Event) restoration.Outcome {
	if e.At.After(w.now) {
		e.At = w.now
	}
	e.ID, e.CarID, e.Arrived = w.newID(e.At), c.told.Car.ID, e.At
	e.Facts = w.judged(c, e)
	beside := w.judgedBeside(c, e)
	out := c.book.Enter(e)
	c.tally = nil
	if out.Result == restoration.Applied {
		w.film(c, e)
	}
	w.acts = append(w.acts, Act{Kind: ActEnter, At: e.At, Car: c.index, Event: e, Refuse: out.Result == restoration.Refused, Beside: beside})
	return out
}

// judgedBeside tells whether the rules look at the car's other pieces.
func (w *world) judgedBeside(c *carPlay, e restoration.Event) bool {
	p, _ := c.book.Piece(e.PieceID)
	coats, colours := restoration.FilmOthers(p, w.route, e)
	return coats || colours
}

// newID makes a UUIDv7 of the hour and the tale's own chance.
func (w *world) newID(at time.Time) (id restoration.ID) {
	binary.BigEndian.PutUint64(id[:8], uint64(at.UnixMilli())<<16|uint64(w.rnd.Uint32N(1<<12)))
	binary.BigEndian.PutUint64(id[8:], w.rnd.Uint64())
	id[6] = id[6]&0x0f | 0x70
	id[8] = id[8]&0x3f | 0x80
	return id
}

// run plays the days until now: who is free first acts first.
func (w *world) run() {
	for {
		h := slices.MinFunc(w.hands, func(a, b *hand) int { return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.person, b.person)) })
		if len(w.agenda) > 0 && !w.agenda[0].at.After(h.at) {
			if w.agenda[0].at.After(w.now) {
				break
			}
			w.keep()
			continue
		}
		if h.at.After(w.now) {
			break
		}
		w.turn(h)
	}
	w.lastWait()
	w.lastGrip()
}

// day is the date of t as cars keep it.
func day(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

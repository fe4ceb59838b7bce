package demo

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"sync/atomic"
	"time"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/internal/store"
)

// Link is the token of the progress link that the customer of one car got, the same
// in every demo; nothing that it opens is anybody's.
const Link = "ZGVtby1saW5rLW9mLWFuLWludmVudGVkLXNob3AtMDE"

// clock is the clock of a shop whose months pass in seconds.
type clock struct{ unix atomic.Int64 }

func (c *clock) set(t time.Time) { c.unix.Store(t.UnixMicro()) }
func (c *clock) now() time.Time  { return time.UnixMicro(c.unix.Load()) }

// loader enters a tale into a database.
type loader struct {
	story  *Story
	store  *store.Store
	clock  *clock
	tale   Tale
	people []int64                           // by their number in the tale, less one
	tablet int64                             // of the shop
	token  []byte                            // hash of the tablet's token
	cars   []restoration.Car                 // as the store gave them
	ids    map[restoration.ID]restoration.ID // of pieces and steps: the tale's to the store's
	paints []int64                           // by their number in the tale, less one
	tins   map[int64]int64                   // by their number in the tale
}

// load enters the story into the migrated, empty database at address. It takes some
// seconds.
func load(ctx context.Context, address string, story *Story) error {
	address, err := hurried(address)
	if err != nil {
		return err
	}
	story.Begin()
	l, err := newLoader(ctx, address, story)
	if err != nil {
		return err
	}
	defer l.store.Close()
	l.tale = story.tale()
	l.clock.set(l.tale.Begins)
	if err := l.takeOn(ctx); err != nil {
		return err
	}
	// What is entered is judged by the shop's figures and told in its units.
	settings := story.settings()
	unnamed := settings
	unnamed.ShopName = restoration.StockSettings().ShopName
	if err := errors.Join(l.store.SaveSettings(ctx, l.actor(owner), unnamed), l.stock(ctx)); err != nil {
		return err
	}
	l.cars = make([]restoration.Car, len(l.tale.Cars))
	if err := l.play(ctx, address); err != nil {
		return err
	}
	l.clock.set(story.now)
	_, seen := l.store.FindDevice(ctx, l.token) // which marks it so: it entered yesterday
	if err := errors.Join(l.sense(ctx), l.certify(ctx, story.now), l.furnish(ctx), seen); err != nil {
		return err
	}
	// The name comes last: until it stands, the demo counts as cut off.
	return l.store.SaveSettings(ctx, l.actor(owner), settings)
}

// newLoader makes a loader with a store whose clock stands at the story's now.
func newLoader(ctx context.Context, address string, story *Story) (*loader, error) {
	l := &loader{story: story, ids: map[restoration.ID]restoration.ID{}, tins: map[int64]int64{}}
	return l, l.sit(ctx, address)
}

// sit gives l a store and a clock of its own.
func (l *loader) sit(ctx context.Context, address string) (err error) {
	l.clock = &clock{}
	l.clock.set(l.story.now)
	l.store, err = store.Open(ctx, address, store.Options{Now: l.clock.now, MaxConns: 1})
	return err
}

// hurried has the database not wait for the disk, as a demo that is cut off while it
// loads is loaded anew; nor plan anew what it is asked a thousand times. An address in
// another form is left as it is.
func hurried(address string) (string, error) {
	if !strings.HasPrefix(address, "postgres") {
		return address, nil
	}
	u, err := url.Parse(address)
	if err != nil {
		return "", fmt.Errorf("read the database address: %w", err)
	}
	q := u.Query()
	q.Set("synchronous_commit", "off")
	q.Set("plan_cache_mode", "force_generic_plan")
	u.RawQuery = q.Encode()
	return u.String(), nil
}

// takeOn brings in the people and the shop's first tablet.
func (l *loader) takeOn(ctx context.Context) error {
	s, err := l.story.secrets()
	if err != nil {
		return err
	}
	for i, p := range Cast() {
		var person restoration.Person
		var err error
		if i == 0 {
			person, err = l.store.CreateOwner(ctx, p.Name, s.passwords[i])
		} else {
			person, err = l.store.AddPerson(ctx, l.actor(owner), p.Name, p.Role, s.passwords[i], s.pins[i])
		}
		if err != nil {
			return err
		}
		l.people = append(l.people, person.ID)
	}
	_, code, err := access.NewCode()
	if err != nil {
		return err
	}
	if _, err := l.store.AddDevice(ctx, l.actor(owner), "Bench by the window", code, l.tale.Begins.Add(time.Hour)); err != nil {
		return err
	}
	if _, l.token, err = access.NewToken(); err != nil {
		return err
	}
	device, err := l.store.EnrolDevice(ctx, code, l.token)
	l.tablet = device.ID
	return err
}

// actor is a person of the tale at the office.
func (l *loader) actor(person int64) restoration.Actor {
	return restoration.Actor{PersonID: l.person(person)}
}

// person gives the store's number of a person of the tale; 0 is nobody.
func (l *loader) person(number int64) int64 {
	if number == 0 {
		return 0
	}
	return l.people[number-1]
}

func (l *loader) act(ctx context.Context, a Act) error {
	switch a.Kind {
	case ActTakeIn:
		return l.takeIn(ctx, a.Car)
	case ActTell:
		return l.tell(ctx, a.Car)
	case ActLink:
		link := restoration.Link{CarID: l.cars[a.Car].ID, ExpiresAt: a.At.AddDate(2, 0, 0), ShowHours: true, ShowName: true}
		_, err := l.store.AddLink(ctx, l.actor(owner), link, access.HashToken(Link))
		return err
	case ActTin:
		return l.tin(ctx, a.Lot)
	case ActPhoto:
		return l.photograph(ctx, a)
	}
	return l.enter(ctx, a)
}

// takeIn puts a car on the books and learns the ids of its pieces and steps.
func (l *loader) takeIn(ctx context.Context, number int) error {
	told := l.tale.Cars[number]
	car, err := l.store.NewCar(ctx, l.actor(owner), told.Car, nil)
	if err != nil {
		return err
	}
	l.cars[number] = car
	for _, s := range told.Schemes {
		if err := l.agree(ctx, car.ID, s); err != nil {
			return err
		}
	}
	pieces, err := l.store.AddPieces(ctx, l.actor(owner), car.ID, told.Pieces)
	if err != nil {
		return err
	}
	for i, p := range pieces {
		opened := told.Opened[i]
		l.ids[opened.PieceID] = p.ID
		for _, s := range p.Steps {
			l.ids[opened.ID.Derive(s.Stage)] = s.ID
		}
	}
	return nil
}

// tell writes to the customer how the car stands.
func (l *loader) tell(ctx context.Context, number int) error {
	car, told := l.cars[number], l.tale.Cars[number]
	car.Words, car.ExpectFrom, car.ExpectTo = told.Words, told.ExpectFrom, told.ExpectTo
	return l.store.EditCar(ctx, l.actor(owner), car)
}

// enter enters an event of the tale. The rules answered it in the tale already; the
// store must say the same.
func (l *loader) enter(ctx context.Context, a Act) error {
	e := a.Event
	e.CarID, e.PieceID, e.StepID = l.cars[a.Car].ID, l.id(e.PieceID), l.id(e.StepID)
	e.PersonID = l.person(e.PersonID)
	if e.DeviceID != 0 {
		e.DeviceID = l.tablet
	}
	e.Facts = nil // the store finds its own
	if e.Kind == restoration.KindCorrect {
		return l.store.CorrectTime(ctx, l.actor(owner), restoration.TimeCorrection{ID: e.ID, Ref: e.Ref, Was: *e.Was, Hours: *e.Hours, Reason: e.Reason})
	}
	if e.Coat != nil {
		e.Coat = l.coat(*e.Coat)
	}
	out, err := l.store.Enter(ctx, []restoration.Event{e})
	if err != nil {
		return err
	}
	if refused := out[0].Result == restoration.Refused; refused != a.Refuse {
		return fmt.Errorf("the %s of %v was %s: %s", e.Kind, e.At, out[0].Result, out[0].Reason)
	}
	return nil
}

// id gives the store's id for one of the tale's. A step that a send-back opened has
// the same in both.
func (l *loader) id(id restoration.ID) restoration.ID {
	if known, ok := l.ids[id]; ok {
		return known
	}
	return id
}

package bench

import (
	"cmp"
	"context"
	"net/http"
	"slices"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

func (b *Bench) listRoutes(r chi.Router) {
	r.Get("/", b.handle(b.showList("ready")))
	r.Get("/waiting", b.handle(b.showList("waiting")))
	r.Get("/hand", b.handle(b.showList("hand")))
}

// How many tiles a part of a list draws: what comes first in the shop, all that one
// car is likely to have.
const (
	drawnOfShop = 40
	drawnOfCar  = 120
)

// listInput is what a list is arranged from.
type listInput struct {
	Which  string // "ready", "waiting" or "hand"
	Keys   []restoration.WorkKey
	Car    string // work order to show; "" all
	Stage  string // key of the next stage to show; "" all
	Person int64
	Timed  restoration.ID            // piece that the person's clock runs on; zero: none
	Coats  map[restoration.ID]string // what a piece in hand with a coat on waits for; "" nothing
	Now    time.Time
	Loc    *time.Location
}

// listPart is one part of a list before its pieces are loaded: those to be drawn.
type listPart struct {
	Title string
	Aside string // what its pieces are, which are no part of the list's own count; "" they are
	Items []restoration.ListItem
	More  int // how many come after
}

var listPaths = map[string]string{"ready": "/bench", "waiting": "/bench/waiting", "hand": "/bench/hand"}

// parts sorts out what stands in a list. The rules see all work: what frees most is
// judged over the whole shop.
func (in listInput) parts() []listPart {
	switch in.Which {
	case "waiting":
		return []listPart{{Title: "Waiting", Items: restoration.WaitingFor(in.Keys, in.Now)}, {Title: "On hold", Aside: "held", Items: restoration.OnHold(in.Keys, in.Now)}}
	case "hand":
		mine, others := in.inHand()
		return []listPart{{Items: mine}, {Title: "With others", Items: others}}
	}
	mine, _ := in.inHand()
	ready := listPart{Items: restoration.ReadyNow(in.Keys, in.Now)}
	if len(mine) == 0 {
		return []listPart{ready}
	}
	ready.Title = "What next"
	return []listPart{{Title: "In hand", Aside: "in hand", Items: mine}, ready}
}

// inHand is what the person has in hand, and what others have.
func (in listInput) inHand() (mine, others []restoration.ListItem) {
	hand := restoration.InHand(in.Keys, in.Person)
	n := 0
	for n < len(hand) && hand[n].HandBy == in.Person {
		n++
	}
	mine, others = hand[:n], hand[n:]
	slices.SortStableFunc(mine, func(a, b restoration.ListItem) int {
		return cmp.Compare(in.untimed(a), in.untimed(b))
	})
	return mine, others
}

// untimed is 0 for what the person's clock runs on, which stands first; 1 for the rest.
func (in listInput) untimed(i restoration.ListItem) int {
	if i.PieceID == in.Timed {
		return 0
	}
	return 1
}

// drawn leaves of the parts what is to be drawn: of the one car and the one stage, if
// they are chosen, and of each part as much as a page should hold.
func (in listInput) drawn(parts []listPart) []listPart {
	limit := drawnOfShop
	if in.oneCar() {
		limit = drawnOfCar
	}
	var out []listPart
	for _, p := range parts {
		if in.Car != "" || in.Stage != "" {
			p.Items = slices.DeleteFunc(slices.Clone(p.Items), func(i restoration.ListItem) bool { return !in.chosen(i) })
		}
		if len(p.Items) == 0 {
			continue
		}
		if in.Which == "waiting" {
			p.Title += " " + strconv.Itoa(len(p.Items))
		}
		p.More = max(len(p.Items)-limit, 0)
		p.Items = p.Items[:len(p.Items)-p.More]
		out = append(out, p)
	}
	return out
}

// chosen tells whether the item is of the car and at the stage that are shown.
func (in listInput) chosen(i restoration.ListItem) bool {
	return (in.Car == "" || i.Car.WorkOrder == in.Car) && (in.Stage == "" || i.Stage == in.Stage)
}

// oneCar tells whether the list is of one car, by choice or because there is no other.
func (in listInput) oneCar() bool {
	return in.Car != "" || !slices.ContainsFunc(in.Keys, func(k restoration.WorkKey) bool { return k.Car.ID != in.Keys[0].Car.ID })
}

// navItems are the lists with how many pieces stand in each, held ones apart; in hand
// counts the person's own only.
func navItems(keys []restoration.WorkKey, now time.Time, person int64) []ui.NavItem {
	count, held := map[string]int{}, 0
	for i := range keys {
		k := &keys[i]
		if k.HandBy == person {
			count["hand"]++
		}
		if k.Ready(now) {
			count["ready"]++
		}
		if k.Waiting(now) {
			count["waiting"]++
		}
		if k.Footing(now) == restoration.FootHeld {
			held++
		}
	}
	items := append(ui.BenchNav(), ui.NavItem{Key: "together", Word: "Together", Href: togetherPath})
	for i := range items {
		if n := count[items[i].Key]; n > 0 {
			items[i].Word += " " + strconv.Itoa(n)
		}
		if items[i].Key == "waiting" && held > 0 {
			items[i].Word += ", " + strconv.Itoa(held) + " held"
		}
	}
	return items
}

var listTitles = map[string]string{"ready": "Ready now", "waiting": "Waiting", "hand": "In hand"}

func (b *Bench) showList(which string) web.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) error {
		v := visitOf(r)
		in := listInput{Which: which, Car: r.URL.Query().Get("car"), Person: v.person.ID, Timed: v.timed(), Now: b.now(), Loc: v.shop.Location()}
		if which != "hand" {
			in.Stage = r.URL.Query().Get("stage")
		}
		view, err := b.arrange(r.Context(), in)
		if err != nil {
			return err
		}
		view.Page = b.frame(r, listTitles[which])
		view.Page.Nav, view.Page.NavItems = which, view.Nav
		view.Page.Flash, view.Undo = b.heard(r)
		b.seen(r, listSeen{Which: which, Href: in.href(in.Car, in.Stage)})
		if view.Undo != nil {
			view.Undo.Fields["page"] = "list"
		}
		return web.Render(w, r, http.StatusOK, listPage(view))
	}
}

// listsAtOnce bounds how many requests sort the whole shop at the same time. More are
// no quicker with the two processors of a small server, and each has some megabytes
// in hand.
const listsAtOnce = 4

// arrange orders the keys of the whole shop, and loads the pieces that are drawn.
func (b *Bench) arrange(ctx context.Context, in listInput) (listView, error) {
	if err := b.sorting.Acquire(ctx, 1); err != nil {
		return listView{}, err
	}
	defer b.sorting.Release(1)
	var err error
	if in.Keys, err = b.shop.WorkKeys(ctx); err != nil {
		return listView{}, err
	}
	parts := in.parts()
	drawn := in.drawn(parts)
	work, err := b.shop.WorkOf(ctx, idsOf(drawn))
	if err != nil {
		return listView{}, err
	}
	if in.Coats, err = b.coatsInHand(ctx, in, work); err != nil {
		return listView{}, err
	}
	view := buildList(in, drawn, work)
	view.Chips = chips(in, parts)
	view.Nav = navItems(in.Keys, in.Now, in.Person)
	for i := range view.Nav {
		if listPaths[view.Nav[i].Key] == "" {
			continue
		}
		view.Nav[i].Href = listInput{Which: view.Nav[i].Key}.href(in.Car, in.Stage)
	}
	return view, nil
}

func idsOf(parts []listPart) []restoration.ID {
	var ids []restoration.ID
	for _, p := range parts {
		for _, item := range p.Items {
			ids = append(ids, item.PieceID)
		}
	}
	return ids
}

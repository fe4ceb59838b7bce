package bench

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"maps"
	"slices"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/static"
)

// pieceTags sums up what the pages of a piece show, so that a tablet fetches again what
// shows something else and nothing besides. Left out is what changes all day and asks for no
// other step: the air that the sensors read, how much is left in a tin, and how full a place is.
type pieceTags struct {
	now     time.Time
	timers  []restoration.Timer
	every   string                                    // what the pages of all pieces show
	paint   string                                    // what those of pieces show besides that are sprayed next
	sprayed map[restoration.ID]bool                   // these pieces
	schemes map[int64]string                          // by car
	read    map[string]time.Time                      // what cautions the person has read today, by subject
	changes map[restoration.ID]restoration.LastChange // of each piece
	grained map[int64]int                             // how many pieces of a car have their grain
	cars    map[int64]string                          // of each car once: its pieces share it
}

// tagsOfPieces sums up what the pages of many pieces share.
func (b *Bench) tagsOfPieces(ctx context.Context, v visit, spray restoration.SprayShop, places []restoration.PlaceUse) (pieceTags, error) {
	t := pieceTags{now: b.now(), timers: v.timers, cars: map[int64]string{}, schemes: map[int64]string{}, sprayed: map[restoration.ID]bool{}}
	papers, err := b.shop.Certificates(ctx)
	if err != nil {
		return t, err
	}
	if t.read, err = b.shop.CautionsSeen(ctx, v.person.ID, t.now.Add(-seenToday)); err != nil {
		return t, err
	}
	loc := v.shop.Location()
	maps.DeleteFunc(t.read, func(_ string, at time.Time) bool { return restoration.CautionDue(at, t.now, loc) })
	var names []restoration.Place
	for _, p := range places {
		if p.RetiredAt.IsZero() {
			names = append(names, p.Place)
		}
	}
	slices.SortFunc(names, func(a, b restoration.Place) int { return cmp.Compare(a.ID, b.ID) })
	t.every = sumUp(b.release, static.Version(), v.shop, names)
	lots := slices.Clone(spray.Lots)
	for i := range lots {
		lots[i].LeftML = 0
	}
	t.paint = sumUp(spray.Materials, lots, papers)
	for _, k := range spray.Keys {
		t.sprayed[k.PieceID] = true
	}
	for _, key := range slices.SortedFunc(maps.Keys(spray.Schemes), func(a, b restoration.SchemeKey) int { return strings.Compare(a.Name, b.Name) }) {
		t.schemes[key.CarID] = sumUp(t.schemes[key.CarID], spray.Schemes[key])
	}
	return t, nil
}

// changesOf looks what was said of pieces last.
func (b *Bench) changesOf(ctx context.Context, ids []restoration.ID) (map[restoration.ID]restoration.LastChange, error) {
	list, err := b.shop.LastChanges(ctx, ids)
	changes := make(map[restoration.ID]restoration.LastChange, len(list))
	for i, c := range list {
		changes[ids[i]] = c
	}
	return changes, err
}

// grainedOf counts the pieces of each car that have their grain: before it is grained, a
// piece's page tells of those that are.
func grainedOf(lists ...[]restoration.WorkKey) map[int64]int {
	n := map[int64]int{}
	for _, keys := range lists {
		for i := range keys {
			switch keys[i].Look {
			case restoration.LookGrained, restoration.LookCleared, restoration.LookCut, restoration.LookFitted:
				n[keys[i].Car.ID]++
			}
		}
	}
	return n
}

// onList sums up what the lists show of a piece.
func (t pieceTags) onList(k *restoration.WorkKey) string {
	sum := fnv.New64a()
	key := *k
	key.Car = nil
	_, _ = fmt.Fprintf(sum, "%+v %s %v", key, t.car(k.Car), k.Ready(t.now)) // a hash takes all
	for _, timer := range t.timers {
		if timer.PieceID == k.PieceID {
			_, _ = fmt.Fprint(sum, timer.StepID, timer.Running, timer.Spans)
		}
	}
	return sumOf(sum)
}

// of sums up what the pages of a piece show, of which listed is what the lists do.
func (t pieceTags) of(k *restoration.WorkKey, listed string) string {
	sum := fnv.New64a()
	_, _ = fmt.Fprint(sum, listed, t.every, t.changes[k.PieceID], t.schemes[k.Car.ID]) // a hash takes all
	if t.sprayed[k.PieceID] {
		_, _ = fmt.Fprint(sum, t.paint)
	}
	if k.Look == restoration.LookGrounded {
		_, _ = fmt.Fprint(sum, t.grained[k.Car.ID])
	}
	for _, subject := range slices.Sorted(maps.Keys(t.read)) {
		if k.StageName != "" && strings.HasPrefix(subject, k.StageName) {
			_, _ = fmt.Fprint(sum, subject)
		}
	}
	return sumOf(sum)
}

func (t pieceTags) car(c *restoration.Car) string {
	tag, ok := t.cars[c.ID]
	if !ok {
		sum := fnv.New64a()
		_, _ = fmt.Fprintf(sum, "%+v", *c)
		tag = sumOf(sum)
		t.cars[c.ID] = tag
	}
	return tag
}

// sumUp sums up values that have no cycle, what their pointers lead to as well.
func sumUp(values ...any) string {
	sum := fnv.New64a()
	if err := json.NewEncoder(sum).Encode(values); err != nil {
		panic(fmt.Sprintf("bench: a value that can't be written: %v", err))
	}
	return sumOf(sum)
}

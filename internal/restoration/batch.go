package restoration

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"scumble/internal/coating"
)

// SprayKey is what batches need of a piece whose next step may be sprayed.
type SprayKey struct {
	Car       *Car // shared by the keys of its pieces; never nil
	PieceID   ID
	StepID    ID // the next step
	RouteID   int64
	Label     string
	Title     string
	Set       string
	Scheme    string // "" is the car's own
	Size      Size
	AreaM2    float64   // visible face
	BothM2    float64   // both faces
	Stage     string    // key of the next stage
	Coats     int       // logged on the step
	CoatedAt  time.Time // of the last of them; zero: none
	MaxRecoat Minutes   // after that coat its recoat window shuts; 0: never
	Sand      Minutes   // after that coat it may be flatted; 0: not said
	SessionUM float64   // dry clear of the session that ended with that coat, likely: see [LastSession]
	KeptUM    float64   // clear of earlier passes that is still on, likely; 0: none
	KeptAt    time.Time // where clear was kept: when its last coat was sprayed
	SandedAt  time.Time // of the piece's last sanding or cutting pass; zero: none
	Grade     string    // of that pass, where clear comes next
	Look      Look      // of the piece as it is
	HeldSince time.Time // zero: the piece is not held, though its car may be
	GateFrom  time.Time // as in [Sum]
	LateFrom  time.Time // as in [Sum]
	LiesAt    string
}

// SchemeKey names a scheme of a car; Name is in lower case, "" the car's own.
type SchemeKey struct {
	CarID int64
	Name  string
}

// KeyOf is the key of a scheme.
func KeyOf(s Scheme) SchemeKey { return SchemeKey{s.CarID, strings.ToLower(s.Name)} }

// SprayShop is what [Batches] looks at.
type SprayShop struct {
	Keys      []SprayKey
	Routes    map[int64]Route
	Schemes   map[SchemeKey]Scheme // the stock one holds where a car has none
	Materials []Material
	Lots      []Lot
	Film      FilmSettings
	Units     Units   // in which amounts are poured and said
	TempC     float64 // of the air, for flash times and pot life
}

// SpraysAt tells whether a shop may spray anything in air of so many °C; common practice,
// no source.
func SpraysAt(tempC float64) bool { return tempC >= 0 && tempC <= 45 }

// Batch is a group of pieces that one mix can be sprayed on together: of one stage and
// one material. Ground and grain are grouped car by car, since one lot serves a car.
type Batch struct {
	Key       string // of the group, the same each time it is worked out
	Stage     string // name of the stage
	Look      Look
	Layer     coating.Layer
	Material  *Material // nil: none is chosen
	Car       *Car      // nil: the pieces may be of several cars
	Pieces    []BatchPiece
	Ready     int           // pieces that may be sprayed now
	Shut      int           // pieces that need work first
	Taken     int           // pieces that the figures below are for: all but the shut ones, or those picked by hand
	From      time.Time     // all others may be sprayed from here
	Shuts     time.Time     // the first recoat window that is still open shuts here; zero: none does
	AreaM2    float64       // both faces for primer and ground, the visible one for grain and clear
	Coats     int           // the most that any piece is to get now
	WetUM     coating.Range // per coat, as the sheet says
	NeedML    float64       // ready to spray for all coats, the loss of every mix in it; 0: can't be told
	Mix       coating.MixPlan
	Parts     []coating.PartML // of one mix, to pour
	PotLife   Minutes          // at the shop's temperature; 0: it keeps
	Estimated bool             // pot life goes beyond the sheet's temperatures
	Saved     Minutes          // set-up that spraying together saves
	Missing   []string         // what stands in the way, a sentence each
}

// BatchPiece is a piece of a batch.
type BatchPiece struct {
	*SprayKey
	FaceM2 float64   // the area that is sprayed
	Coats  int       // to spray now
	ML     float64   // of the mix for each coat on it, ready to spray
	From   time.Time // it may be sprayed from here, or has cured to be flatted
	Shuts  time.Time // its recoat window shuts here; zero: never
	First  First     // what must be done before
	Full   bool      // its session of clear holds no more: cure and flat
	Waits  bool      // its session is full and flatted: From is when the next begins
	Smooth bool      // it keeps clear that was not flatted, or was polished since
	Taken  bool      // the batch's figures count it
	keyed  time.Time // when it was last roughened so that clear holds on it; zero: it is smooth
}

// turn sorts the pieces of a batch: those that can be sprayed now, those that can later,
// those that need work first.
func (p *BatchPiece) turn(now time.Time) int {
	switch {
	case p.First != FirstNothing:
		return 2
	case p.From.After(now):
		return 1
	}
	return 0
}

// Batches groups the pieces that can be sprayed at now or within the horizon, what
// saves most set-up first. Pieces on hold, of cars on hold or delivered, and with all
// their coats on are left out.
func Batches(shop SprayShop, now time.Time, horizon time.Duration) []Batch {
	return batches(shop, now, horizon, nil)
}

// BatchOf works a group out for the pieces that were picked by hand, by their steps: a
// shut one that was picked counts, for it is flatted by now; what was not picked takes
// nothing. false: the shop has no such group any more.
func BatchOf(shop SprayShop, key string, picked map[ID]bool, now time.Time, horizon time.Duration) (Batch, bool) {
	if picked == nil {
		picked = map[ID]bool{}
	}
	list := batches(shop, now, horizon, picked)
	i := slices.IndexFunc(list, func(b Batch) bool { return b.Key == key })
	if i < 0 {
		return Batch{}, false
	}
	return list[i], true
}

// batches groups by the pieces that were picked; nil: by the rules alone.
func batches(shop SprayShop, now time.Time, horizon time.Duration, picked map[ID]bool) []Batch {
	g := newGrouping(shop, now, horizon, picked)
	for i := range shop.Keys {
		g.add(&shop.Keys[i])
	}
	batches := make([]Batch, 0, len(g.groups))
	for _, gr := range g.groups {
		batches = append(batches, g.finish(gr))
	}
	slices.SortFunc(batches, func(a, b Batch) int {
		return cmp.Or(cmp.Compare(b.Saved, a.Saved), a.From.Compare(b.From), cmp.Compare(a.Key, b.Key))
	})
	return batches
}

// groupKey is what the pieces of a group have in common. car is 0 where the pieces of
// several cars go together.
type groupKey struct {
	stage    string
	look     Look
	material int64
	car      int64
}

func (k groupKey) String() string {
	return strings.Join([]string{k.stage, string(k.look), strconv.FormatInt(k.material, 10), strconv.FormatInt(k.car, 10)}, ".")
}

// group is a batch while it is gathered.
type group struct {
	Batch
	key    groupKey
	pieces []*BatchPiece // of the grouping
	setUp  Minutes
	lot    int64   // that the car's ground comes from; 0 not said
	coatM2 float64 // area × coats
	noArea int
}

// grouping sorts the candidates into groups.
type grouping struct {
	shop      SprayShop
	now       time.Time
	until     time.Time
	picked    map[ID]bool // by step; nil: the rules alone say which pieces count
	materials map[int64]*Material
	only      map[coating.Layer]*Material // the one material in use of a layer
	flash     map[int64]time.Duration     // by material
	dryUM     map[int64]float64           // of a coat of a material, likely; 0: can't be told
	keys      map[string]bool             // whether clear holds on what was worked with a grade
	pieces    []BatchPiece                // of all groups, with room for every key, so that none moves
	stock     stock
	groups    map[groupKey]*group
}

func newGrouping(shop SprayShop, now time.Time, horizon time.Duration, picked map[ID]bool) *grouping {
	g := &grouping{shop: shop, now: now, until: now.Add(horizon), picked: picked, pieces: make([]BatchPiece, 0, len(shop.Keys)),
		keys: map[string]bool{}, groups: map[groupKey]*group{}, stock: stockOf(shop.Lots, now)}
	g.chooseDefaults()
	return g
}

// chooseDefaults finds the materials by their ids, and those that are chosen where no
// scheme says which: the only one in use of its layer that is no example.
func (g *grouping) chooseDefaults() {
	g.materials, g.only = map[int64]*Material{}, map[coating.Layer]*Material{}
	g.flash, g.dryUM = map[int64]time.Duration{}, map[int64]float64{}
	seen := map[coating.Layer]int{}
	for i := range g.shop.Materials {
		m := &g.shop.Materials[i]
		if !m.Retired.IsZero() {
			continue
		}
		g.materials[m.ID] = m
		at, _ := m.WaitsAt(g.shop.TempC, g.shop.Film.Per10C)
		g.flash[m.ID] = time.Duration(at.Flash) * time.Minute
		if dry, err := m.DryUM(); err == nil {
			g.dryUM[m.ID] = dry.Likely
		}
		if m.Example {
			continue
		}
		seen[m.Layer]++
		g.only[m.Layer] = m
	}
	for layer, n := range seen {
		if n > 1 {
			delete(g.only, layer)
		}
	}
}

// add puts a candidate into its group, if it can be sprayed in time.
func (g *grouping) add(k *SprayKey) {
	if !k.HeldSince.IsZero() || k.Car.State == CarOnHold || k.Car.State == CarDelivered || k.GateFrom.After(g.until) {
		return
	}
	route := g.shop.Routes[k.RouteID]
	at := route.Position(k.Stage)
	if at < 0 || LayerOf(route.Stages[at].Look) == "" {
		return
	}
	stage := &route.Stages[at]
	scheme, agreed := g.shop.Schemes[SchemeKey{k.Car.ID, strings.ToLower(k.Scheme)}]
	if !agreed {
		scheme.ClearCoats = StockClearCoats
	}
	layer := LayerOf(stage.Look)
	m := g.choose(stage.Look, scheme)
	p := BatchPiece{SprayKey: k, FaceM2: faceOf(k, layer), From: k.GateFrom, keyed: g.keyedAt(k)}
	p.Shuts = p.shuts()
	if m != nil && !k.CoatedAt.IsZero() {
		p.From = latest(p.From, k.CoatedAt.Add(g.flash[m.ID]))
	}
	if p.Coats = g.coatsLeft(layer, m, scheme, k); p.Coats == 0 {
		return
	}
	if layer == coating.Clear && m != nil {
		g.fitSession(&p, m, *stage)
	}
	if p.From.After(g.until) {
		return
	}
	if p.First == FirstNothing {
		p.First = p.first(g.now)
	}
	if p.First == FirstNothing && p.unkeyed() {
		p.First, p.Smooth = FirstFlat, true
	}
	p.Taken = p.First == FirstNothing
	if g.picked != nil {
		p.Taken = g.picked[k.StepID]
	}
	g.pieces = append(g.pieces, p)
	g.group(stage, layer, m, k).add(&g.pieces[len(g.pieces)-1], scheme, g.now)
}

// choose finds the material that a stage is sprayed with by its scheme, else the only one
// in use; nil: it must be chosen first.
func (g *grouping) choose(look Look, s Scheme) *Material {
	layers := LayersOf(look)
	for _, l := range layers {
		if m := g.materials[s.Materials[l]]; m != nil {
			return m
		}
	}
	for _, l := range layers {
		if m := g.only[l]; m != nil {
			return m
		}
	}
	return nil
}

// group finds the group of a piece, or begins it.
func (g *grouping) group(stage *Stage, layer coating.Layer, m *Material, k *SprayKey) *group {
	key := groupKey{stage: stage.Key, look: stage.Look}
	oneLot := layer == coating.Ground || layer == coating.Grain
	if oneLot {
		key.car = k.Car.ID
	}
	if m != nil {
		key.material, layer = m.ID, m.Layer
	}
	gr := g.groups[key]
	if gr == nil {
		gr = &group{key: key, setUp: stage.SetUp, Batch: Batch{Stage: stage.Name, Look: stage.Look, Layer: layer, Material: m, From: g.now}}
		if oneLot {
			gr.Car = k.Car
		}
		g.groups[key] = gr
	}
	return gr
}

func (gr *group) add(p *BatchPiece, s Scheme, now time.Time) {
	gr.pieces = append(gr.pieces, p)
	switch {
	case p.First != FirstNothing:
		gr.Shut++
	case !p.From.After(now):
		gr.Ready++
	}
	if !p.Taken {
		return
	}
	gr.Taken++
	if p.FaceM2 == 0 {
		gr.noArea++
	}
	gr.From = latest(gr.From, p.From)
	if p.Shuts.After(now) && (gr.Shuts.IsZero() || p.Shuts.Before(gr.Shuts)) {
		gr.Shuts = p.Shuts
	}
	if gr.Layer == coating.Ground {
		gr.lot = cmp.Or(gr.lot, s.GroundLot)
	}
	gr.AreaM2 += p.FaceM2
	gr.coatM2 += p.FaceM2 * float64(p.Coats)
	gr.Coats = max(gr.Coats, p.Coats)
}

func latest(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// faceOf is the area that is sprayed: the reverse is primed and grounded as well.
func faceOf(k *SprayKey, layer coating.Layer) float64 {
	if layer == coating.Primer || layer == coating.Ground { // of the stage: filler counts as primer
		return cmp.Or(k.BothM2, k.AreaM2)
	}
	return k.AreaM2
}

// usualCoats are the coats of a material that make a layer; common practice, no source.
func usualCoats(kind coating.Kind) int {
	switch kind {
	case coating.HighBuild, coating.Ground1K:
		return 3
	case coating.GrainOil:
		return 1
	}
	return 2
}

// coatsLeft are the coats that a piece still wants of a layer: up to what makes it; of
// clear, up to the scheme's. 0: all are on. A piece that keeps clear of an earlier pass
// wants what builds that up, one coat at the least.
func (g *grouping) coatsLeft(layer coating.Layer, m *Material, s Scheme, k *SprayKey) int {
	if m == nil {
		return 1
	}
	if layer != coating.Clear || s.ClearCoats == 0 {
		return max(0, usualCoats(m.Kind)-k.Coats)
	}
	want := s.ClearCoats
	if dry := g.dryUM[m.ID]; dry > 0 && k.KeptUM > 0 {
		want = min(want, max(1, int(math.Ceil((s.BuildUM-k.KeptUM)/dry-hair))))
	}
	return max(0, want-k.Coats)
}

package store_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"scumble/internal/restoration"
)

// shortRoute has two stages and no id, key or version yet.
func shortRoute(name string) restoration.Route {
	stage := func(name string, look restoration.Look) restoration.Stage {
		hours := restoration.Hours3(.5, 1, 2)
		return restoration.Stage{Name: name, Look: look, Need: restoration.NeedNothing, Small: hours, Medium: hours, Large: hours,
			Checks: []restoration.Check{{Text: "Dry?"}}, Cautions: []string{"Gloves."}}
	}
	return restoration.Route{Name: name, Stages: []restoration.Stage{stage("Primed", restoration.LookPrimed), stage("Painted", restoration.LookOther)}}
}

func (h house) route(t testing.TB, name string) restoration.Route {
	t.Helper()
	r, err := h.SaveRoute(t.Context(), h.by, shortRoute(name))
	require.NoError(t, err)
	return r
}

// start takes in a car with one piece on the route.
func (h house) start(t testing.TB, workOrder, route string) restoration.Piece {
	t.Helper()
	c, err := h.NewCar(t.Context(), h.by, restoration.Car{WorkOrder: workOrder, Name: "1936 Brennick Eight",
		Quality: restoration.QualityShow, Ground: "#9a6a3c", Grain: "#3b2413"},
		[]restoration.NewPiece{{Route: route, Details: restoration.Details{Name: "Ash tray", Zone: restoration.ZoneFront, AreaM2: .1, BothM2: .2,
			Size: restoration.SizeMedium, Mounting: restoration.MountBench, Metal: "steel"}}})
	require.NoError(t, err)
	pieces, err := h.CarPieces(t.Context(), c.ID)
	require.NoError(t, err)
	require.Len(t, pieces, 1)
	return pieces[0]
}

func (h house) names(t testing.TB) (names []string) {
	t.Helper()
	routes, err := h.Routes(t.Context())
	require.NoError(t, err)
	for _, r := range routes {
		names = append(names, r.Name)
	}
	return names
}

func TestAddARoute(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	made := h.route(t, "  Plain   paint ")
	require.Equal(t, "Plain paint", made.Name)
	require.Equal(t, "plain-paint", made.Key)
	require.Equal(t, 1, made.Version)
	require.Equal(t, "primed", made.Stages[0].Key)
	require.Equal(t, []restoration.Check{{Key: "dry", Text: "Dry?"}}, made.Stages[0].Checks)
	got, err := h.FindRoute(ctx, made.ID)
	require.NoError(t, err)
	require.Equal(t, made, got)
	require.Equal(t, []string{"Wood-grained steel", "Plain paint"}, h.names(t))
	require.Equal(t, 1, h.count(t, "add route"))

	require.NoError(t, h.RetireRoute(ctx, h.by, made.ID))
	again := h.route(t, "Plain paint")
	require.Equal(t, "plain-paint-2", again.Key, "a retired route frees its name but keeps its key")
}

func TestAnUnusedRouteIsChangedInPlace(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	made := h.route(t, "Plain")
	made.Name = "Fancy"
	made.Stages = append(made.Stages, restoration.Stage{Name: "Waxed", Look: restoration.LookOther, Need: restoration.NeedPolish})
	made.Stages[0].Name = "Primer"
	saved, err := h.SaveRoute(ctx, h.by, made)
	require.NoError(t, err)
	require.Equal(t, made.ID, saved.ID)
	require.Equal(t, 1, saved.Version)
	require.Equal(t, "plain", saved.Key, "the key outlives the name")
	require.Equal(t, "primed", saved.Stages[0].Key, "of a stage too")
	require.Equal(t, "waxed", saved.Stages[2].Key)
	got, err := h.FindRoute(ctx, saved.ID)
	require.NoError(t, err)
	require.Equal(t, saved, got)
	require.Len(t, h.names(t), 2)
	rows, err := h.Audit(ctx, restoration.AuditFilter{Limit: 1})
	require.NoError(t, err)
	require.Equal(t, restoration.ActChangeRoute, rows[0].Act)
	require.Contains(t, rows[0].Before, `"Plain"`)
	require.Contains(t, rows[0].After, `"Fancy"`)
}

func TestAUsedRouteGetsANewVersion(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	first := h.route(t, "Plain")
	piece := h.start(t, "26-014", "plain")
	require.Equal(t, first.ID, piece.RouteID)

	change := first
	change.Stages = first.Stages[:1]
	second, err := h.SaveRoute(ctx, h.by, change)
	require.NoError(t, err)
	require.NotEqual(t, first.ID, second.ID)
	require.Equal(t, 2, second.Version)
	require.Equal(t, first.Key, second.Key)

	kept, err := h.FindRoute(ctx, first.ID)
	require.NoError(t, err)
	require.Equal(t, first, kept, "the piece keeps the route that it was started with")
	byName, err := h.FindRouteByName(ctx, "Plain")
	require.NoError(t, err)
	require.Equal(t, second, byName)
	require.Equal(t, []string{"Wood-grained steel", "Plain"}, h.names(t), "in its old place")

	_, err = h.SaveRoute(ctx, h.by, first)
	requireTrouble(t, err, restoration.TroubleConflict, "", "changed or retired meanwhile")

	third, err := h.SaveRoute(ctx, h.by, second)
	require.NoError(t, err)
	require.Equal(t, second.ID, third.ID, "nobody uses the second version yet")
}

func TestARouteThatPiecesHaveLeftKeepsItsStages(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	first := h.route(t, "Plain")
	piece := h.start(t, "26-014", "Plain")
	stock, err := h.FindRouteByName(ctx, "")
	require.NoError(t, err)
	require.NoError(t, h.EditPiece(ctx, h.by, piece.ID, piece.Details, stock.ID))
	moved, err := h.FindPiece(ctx, piece.ID)
	require.NoError(t, err)
	require.Equal(t, stock.ID, moved.RouteID)

	change := first
	change.Stages = first.Stages[:1]
	second, err := h.SaveRoute(ctx, h.by, change)
	require.NoError(t, err)
	require.NotEqual(t, first.ID, second.ID, "the ledger still opens the piece on it")
}

func TestSaveRouteRefuses(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	plain := h.route(t, "Plain")
	retired := h.route(t, "Gone")
	require.NoError(t, h.RetireRoute(ctx, h.by, retired.ID))
	for name, c := range map[string]struct {
		route   restoration.Route
		trouble restoration.Trouble
		field   string
		words   string
	}{
		"no stage":       {restoration.Route{Name: "Empty"}, restoration.TroubleInvalid, "stages", "needs a stage"},
		"no name":        {shortRoute(" "), restoration.TroubleInvalid, "name", "needs a name"},
		"a taken name":   {shortRoute("PLAIN"), restoration.TroubleConflict, "name", "of that name already"},
		"a taken key":    {shortRoute("Grained-Steel"), restoration.TroubleConflict, "name", "of that name already"},
		"an unknown id":  {restoration.Route{ID: 999, Name: "X", Stages: plain.Stages}, restoration.TroubleNotFound, "", "no such route"},
		"a retired one":  {retired, restoration.TroubleConflict, "", "changed or retired meanwhile"},
		"a change to it": {restoration.Route{ID: plain.ID, Name: strings.Repeat("x", 61), Stages: plain.Stages}, restoration.TroubleInvalid, "name", "at most 60"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := h.SaveRoute(t.Context(), h.by, c.route)
			requireTrouble(t, err, c.trouble, c.field, c.words)
		})
	}
	got, err := h.FindRoute(ctx, plain.ID)
	require.NoError(t, err)
	require.Equal(t, plain, got)
}

func TestCopyRoute(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	long := h.route(t, strings.Repeat("ü", 60))
	stock, err := h.FindRouteByName(ctx, "")
	require.NoError(t, err)
	for _, want := range []string{"Copy of Wood-grained steel", "Copy of Wood-grained steel 2", "Copy of Wood-grained steel 3"} {
		made, err := h.CopyRoute(ctx, h.by, stock.ID)
		require.NoError(t, err)
		require.Equal(t, want, made.Name)
		require.Equal(t, stock.Stages, made.Stages)
		require.NotEqual(t, stock.Key, made.Key)
	}
	for _, want := range []string{"Copy of " + strings.Repeat("ü", 52), "Copy of " + strings.Repeat("ü", 50) + " 2"} {
		made, err := h.CopyRoute(ctx, h.by, long.ID)
		require.NoError(t, err)
		require.Equal(t, want, made.Name)
	}
	_, err = h.CopyRoute(ctx, h.by, 999)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such route")
}

func TestOrderRoutes(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	stock, err := h.FindRouteByName(ctx, "")
	require.NoError(t, err)
	a, b := h.route(t, "A"), h.route(t, "B")
	require.NoError(t, h.OrderRoutes(ctx, h.by, []int64{b.ID, stock.ID, a.ID}))
	require.Equal(t, []string{"B", "Wood-grained steel", "A"}, h.names(t))
	require.NoError(t, h.OrderRoutes(ctx, h.by, []int64{a.ID}))
	require.Equal(t, []string{"A", "B", "Wood-grained steel"}, h.names(t), "those that aren't named come after, in their order")
	rows, err := h.Audit(ctx, restoration.AuditFilter{Limit: 1})
	require.NoError(t, err)
	require.JSONEq(t, `["B", "Wood-grained steel", "A"]`, rows[0].Before)
	require.JSONEq(t, `["A", "B", "Wood-grained steel"]`, rows[0].After)
	requireTrouble(t, h.OrderRoutes(ctx, h.by, []int64{b.ID, 999}), restoration.TroubleNotFound, "", "no such route")
	require.Equal(t, []string{"A", "B", "Wood-grained steel"}, h.names(t))
}

func TestRetireRoute(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	stock, err := h.FindRouteByName(ctx, "")
	require.NoError(t, err)
	requireTrouble(t, h.RetireRoute(ctx, h.by, stock.ID), restoration.TroubleConflict, "", "the only route")
	plain := h.route(t, "Plain")
	piece := h.start(t, "26-014", "")
	require.NoError(t, h.RetireRoute(ctx, h.by, stock.ID))
	require.Equal(t, []string{"Plain"}, h.names(t))
	kept, err := h.FindRoute(ctx, piece.RouteID)
	require.NoError(t, err)
	require.Equal(t, stock, kept, "pieces that have it keep it")
	first, err := h.FindRouteByName(ctx, " ")
	require.NoError(t, err)
	require.Equal(t, plain, first, "without the stock route, the first is what pieces start with")
	_, err = h.FindRouteByName(ctx, "wood-grained steel")
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no route")
	requireTrouble(t, h.RetireRoute(ctx, h.by, stock.ID), restoration.TroubleConflict, "", "retired meanwhile")
	requireTrouble(t, h.RetireRoute(ctx, h.by, 999), restoration.TroubleNotFound, "", "no such route")
	require.Equal(t, 1, h.count(t, "retire route"))
}

func TestOfTwoChangesAtOnceToAUsedRouteOneIsTold(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	first := h.route(t, "Plain")
	h.start(t, "26-014", "Plain")
	errs := make([]error, 2)
	var both errgroup.Group
	for i := range errs {
		both.Go(func() error {
			_, errs[i] = h.SaveRoute(ctx, h.by, first)
			return nil
		})
	}
	require.NoError(t, both.Wait())
	lost := errs[0]
	if lost == nil {
		lost = errs[1]
	}
	require.True(t, errs[0] == nil || errs[1] == nil, "%v", errs)
	requireTrouble(t, lost, restoration.TroubleConflict, "", "changed or retired meanwhile")
}

// TestARouteChangedWhilePiecesStartWithIt states that each piece has the steps of the
// route that it names, whoever was faster.
func TestARouteChangedWhilePiecesStartWithIt(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	long := h.route(t, "Plain")
	var all errgroup.Group
	all.Go(func() error {
		current := long
		for i := range 6 {
			current.Stages = long.Stages[:1+i%2]
			saved, err := h.SaveRoute(ctx, h.by, current)
			if err != nil {
				return err
			}
			current = saved
		}
		return nil
	})
	cars := make([]restoration.Car, 6)
	for i := range cars {
		all.Go(func() (err error) {
			cars[i], err = h.NewCar(ctx, h.by, restoration.Car{WorkOrder: fmt.Sprintf("26-1%02d", i), Name: "1936 Brennick Eight",
				Quality: restoration.QualityShow, Ground: "#9a6a3c", Grain: "#3b2413"},
				[]restoration.NewPiece{{Route: "Plain", Details: restoration.Details{Name: "Ash tray", Zone: restoration.ZoneFront, AreaM2: .1, BothM2: .2,
					Size: restoration.SizeMedium, Mounting: restoration.MountBench, Metal: "steel"}}})
			return err
		})
	}
	require.NoError(t, all.Wait())
	for _, c := range cars {
		pieces, err := h.CarPieces(ctx, c.ID)
		require.NoError(t, err)
		route, err := h.FindRoute(ctx, pieces[0].RouteID)
		require.NoError(t, err)
		var want, got []string
		for _, s := range route.Stages {
			want = append(want, s.Key)
		}
		for _, s := range pieces[0].Steps {
			got = append(got, s.Stage)
		}
		require.Equal(t, want, got)
	}
}

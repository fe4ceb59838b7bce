package restoration

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

// sprayShop has a clear and a ground of its own, 2:1 and in one part, and tins of them.
func sprayShop() SprayShop {
	clear := Material{ID: theClear, Material: coating.Material{Name: "Clear A", Kind: coating.Clear2K, Layer: coating.Clear,
		Parts: []coating.PartSheet{{Name: "clear", Share: 2, VolumeSolids: .5}, {Name: "hardener", Share: 1, VolumeSolids: .5}},
		WetUM: coating.Range{Low: 55, Likely: 60, High: 65}, Waits: []coating.WaitAt{{TempC: 20, Flash: 10}},
		PotLife: []coating.PotLifeAt{{TempC: 20, Minutes: 120}}}}
	ground := Material{ID: theGround, Material: coating.Material{Name: "Ground B", Kind: coating.Ground2K, Layer: coating.Ground,
		Parts: []coating.PartSheet{{Name: "ground", Share: 1, VolumeSolids: .5}}, WetUM: coating.Range{Low: 40, Likely: 50, High: 60}}}
	film := StockFilm()
	film.FixedML = 50
	return SprayShop{Routes: map[int64]Route{1: StockRoute()}, Schemes: map[SchemeKey]Scheme{}, Materials: []Material{clear, ground},
		Lots: []Lot{{ID: 11, Material: theClear, LeftML: 5000}, {ID: 12, Material: theClear, Part: 1, LeftML: 5000},
			{ID: 21, Material: theGround, LeftML: 5000}},
		Film: film, TempC: 20}
}

func (shop *SprayShop) add(car *Car, stage string, area float64) *SprayKey {
	n := len(shop.Keys) + 1
	shop.Keys = append(shop.Keys, SprayKey{Car: car, PieceID: testID('p', n), StepID: testID('s', n), RouteID: 1,
		Title: fmt.Sprintf("piece %02d", n), AreaM2: area, BothM2: 2 * area, Stage: stage})
	return &shop.Keys[n-1]
}

func twoCars() (*Car, *Car) {
	return &Car{ID: 1, WorkOrder: "26-001", State: CarInWork}, &Car{ID: 2, WorkOrder: "26-002", State: CarInWork}
}

// 1.3 m² of clear, 2 coats of 60 µm (a third would be over 75 µm in the session),
// 30 % lands, 10 % waste, 50 mL lost: 1.3 × 60 × 2 ÷ 0.3 × 1.1 + 50 = 622 mL, which the
// gun lays down in 10.4 min and 10 min of flash: within the pot life of 120 min. At 2:1
// in steps of 10 mL: 420 and 210.
func TestBatchOfClearAcrossCars(t *testing.T) {
	t.Parallel()
	shop := sprayShop()
	one, two := twoCars()
	shop.add(one, "cleared", .8)
	shop.add(two, "cleared", .5).GateFrom = monday.Add(3 * time.Hour)
	shop.Keys[0].LateFrom = monday.Add(10 * time.Hour)
	batches := Batches(shop, monday, 4*time.Hour)
	require.Len(t, batches, 1)
	b := batches[0]
	require.Empty(t, b.Missing)
	require.Nil(t, b.Car)
	require.Equal(t, "Clear A", b.Material.Name)
	require.Equal(t, 1, b.Ready)
	require.Equal(t, monday.Add(3*time.Hour), b.From)
	require.Equal(t, monday.Add(10*time.Hour), b.Shuts)
	require.Equal(t, Minutes(42), b.Saved, "(2 − 1) × 42")
	require.InDelta(t, 1.3, b.AreaM2, 1e-9)
	require.Equal(t, 2, b.Coats)
	require.InDelta(t, 630, b.NeedML, 1e-6, "622 are needed; 420 and 210 are poured")
	require.Equal(t, 1, b.Mix.Count)
	require.Equal(t, []float64{420, 210}, []float64{b.Parts[0].ML, b.Parts[1].ML})
	require.InDelta(t, 630*.8/2.6, b.Pieces[0].ML, 1e-6, "a coat's share by area")
	require.InDelta(t, b.NeedML, 2*(b.Pieces[0].ML+b.Pieces[1].ML), 1e-6)
	require.Equal(t, Minutes(120), b.PotLife)
	require.False(t, b.Estimated)

	require.Equal(t, 1, len(Batches(shop, monday, time.Hour)[0].Pieces), "what is not free within the horizon waits")
}

// 20 m² take 20 × 60 × 2 ÷ 0.3 × 1.1 + 50 = 8850 mL: 147.5 min of spraying and 10 of
// flash, over the pot life of 120, so 2 mixes, with 50 mL lost once more. At 30 °C the
// pot life is half, an estimate, and flash 5 min: 152.5 ÷ 60 are 3 mixes.
func TestBatchInMixesOfThePotLife(t *testing.T) {
	t.Parallel()
	shop := sprayShop()
	one, _ := twoCars()
	shop.add(one, "cleared", 20)
	b := Batches(shop, monday, 0)[0]
	require.Equal(t, 2, b.Mix.Count)
	require.InDelta(t, 8940, b.NeedML, 1e-6, "twice 2980 and 1490")
	require.Equal(t, []string{
		"Only 5 L of Clear A, clear are left, 5.96 L are needed.",
	}, b.Missing, "4450 mL each are poured as 2980 and 1490, in steps of 10 mL")
	shop.TempC = 30
	b = Batches(shop, monday, 0)[0]
	require.Equal(t, 3, b.Mix.Count)
	require.True(t, b.Estimated)
}

// The same pieces in a shop that pours fluid ounces: 4450 mL are 150.5 fl oz, and 51 times
// 3 of it 153, so 102 and 51 of them.
func TestBatchIsPouredInTheShopsUnit(t *testing.T) {
	t.Parallel()
	shop := sprayShop()
	shop.Units = US
	one, _ := twoCars()
	shop.add(one, "cleared", 20)
	b := Batches(shop, monday, 0)[0]
	require.Equal(t, 2, b.Mix.Count)
	require.Len(t, b.Parts, 2)
	require.InDelta(t, 102, b.Parts[0].ML/coating.MLPerFlOz, 1e-9)
	require.InDelta(t, 51, b.Parts[1].ML/coating.MLPerFlOz, 1e-9)
	require.InDelta(t, 306*coating.MLPerFlOz, b.NeedML, 1e-6, "what is kept stays in mL")
	require.Equal(t, []string{"Only 1.32 US gal of Clear A, clear are left, 1.59 US gal are needed."}, b.Missing)
}

// One lot of ground serves a car: cars are apart, and both faces are sprayed.
func TestBatchOfGroundCarByCar(t *testing.T) {
	t.Parallel()
	shop := sprayShop()
	one, two := twoCars()
	for range 3 {
		shop.add(one, "grounded", .1)
	}
	shop.add(two, "grounded", .1)
	batches := Batches(shop, monday, 0)
	require.Len(t, batches, 2)
	require.Equal(t, one, batches[0].Car)
	require.Equal(t, Minutes(84), batches[0].Saved, "what saves most comes first: 2 × 42")
	require.InDelta(t, .6, batches[0].AreaM2, 1e-9)
	// .6 × 50 × 2 ÷ .3 × 1.1 + 50 = 270 mL, poured as 270.
	require.InDelta(t, 270, batches[0].NeedML, 1e-6)

	shop.Lots = []Lot{{ID: 21, Material: theGround, LeftML: 200}, {ID: 22, Material: theGround, LeftML: 200}}
	require.Equal(t, []string{"No single lot of Ground B holds the 270 mL that are needed. Intermix before you start."}, Batches(shop, monday, 0)[0].Missing)
	scheme := Scheme{CarID: 1, GroundLot: 23}
	shop.Schemes[KeyOf(scheme)] = scheme
	require.Equal(t, []string{"No tin of the car's lot of Ground B is at hand that may be used."}, Batches(shop, monday, 0)[0].Missing)
}

func TestBatchChoosesTheMaterial(t *testing.T) {
	t.Parallel()
	one, _ := twoCars()
	second := Material{ID: 3, Material: coating.Material{Name: "Clear C", Layer: coating.Clear, Kind: coating.ClearLacquer}}
	example := Material{ID: 4, Material: coating.Material{Name: "Example clear", Layer: coating.Clear, Example: true}}
	retired := second
	retired.Retired = monday
	for name, c := range map[string]struct {
		change func(*SprayShop)
		chosen int64
		says   string
	}{
		"the only one in use": {func(s *SprayShop) { s.Materials = append(s.Materials, retired, example) }, theClear, ""},
		"two to choose from": {func(s *SprayShop) { s.Materials = append(s.Materials, second) }, 0,
			"The shop has 2 materials for clear. Choose one in the car's scheme."},
		"by the scheme": {func(s *SprayShop) {
			s.Materials = append(s.Materials, second)
			s.Schemes[SchemeKey{1, ""}] = Scheme{CarID: 1, ClearCoats: 4, Materials: map[coating.Layer]int64{coating.Clear: theClear}}
		}, theClear, ""},
		"examples alone": {func(s *SprayShop) { s.Materials = []Material{example} }, 0,
			"The shop's list has no clear of its own. Enter its data sheet among the materials."},
		"a sheet without a wet film": {func(s *SprayShop) { s.Materials = []Material{second} }, 3,
			"The sheet of Clear C says no wet film for a coat, so no amount is known."},
	} {
		shop := sprayShop()
		shop.add(one, "cleared", .2)
		c.change(&shop)
		b := Batches(shop, monday, 0)[0]
		if c.chosen == 0 {
			require.Nil(t, b.Material, name)
		} else {
			require.Equal(t, c.chosen, b.Material.ID, name)
		}
		if c.says == "" {
			require.Empty(t, b.Missing, name)
		} else {
			require.Contains(t, b.Missing, c.says, name)
		}
	}
}

// A primed step may be filled; the filler's name then stands for the layer.
func TestBatchOfFiller(t *testing.T) {
	t.Parallel()
	shop := sprayShop()
	one, _ := twoCars()
	shop.add(one, "primed", .2)
	shop.Materials = append(shop.Materials, Material{ID: 5, Material: coating.Material{Name: "Filler D", Layer: coating.Filler, Kind: coating.HighBuild,
		Parts: []coating.PartSheet{{Name: "filler", Share: 1, VolumeSolids: .5}}, WetUM: coating.Range{Low: 90, Likely: 100, High: 110}}})
	b := Batches(shop, monday, 0)[0]
	require.Equal(t, coating.Filler, b.Layer)
	require.Equal(t, 3, b.Coats)
	require.InDelta(t, .4, b.AreaM2, 1e-9)
	require.Equal(t, []string{"No tin of Filler D is at hand that may be used."}, b.Missing)
}

func TestBatchLeavesOut(t *testing.T) {
	t.Parallel()
	one, two := twoCars()
	two.State = CarOnHold
	for name, change := range map[string]func(*SprayKey){
		"a held piece":           func(k *SprayKey) { k.HeldSince = monday },
		"of a held car":          func(k *SprayKey) { k.Car = two },
		"that isn't sprayed":     func(k *SprayKey) { k.Stage = "cut" },
		"of an unknown stage":    func(k *SprayKey) { k.Stage = "gilded" },
		"with all its coats on":  func(k *SprayKey) { k.Coats = StockClearCoats },
		"that has yet to flash":  func(k *SprayKey) { k.CoatedAt = monday.Add(-9 * time.Minute) },
		"that has yet to harden": func(k *SprayKey) { k.GateFrom = monday.Add(time.Minute) },
	} {
		shop := sprayShop()
		change(shop.add(one, "cleared", .2))
		require.Empty(t, Batches(shop, monday, 0), name)
	}
	shop := sprayShop()
	k := shop.add(one, "cleared", 0)
	k.Coats, k.CoatedAt, k.LateFrom = 3, monday.Add(-10*time.Minute), monday.Add(-time.Hour) // the coats came in time
	b := Batches(shop, monday, 0)[0]
	require.Equal(t, 1, b.Coats, "one of four is left")
	require.Equal(t, 1, b.Ready)
	require.True(t, b.Shuts.IsZero())
	require.Equal(t, []string{"1 piece has no area, so the amount leaves it out."}, b.Missing)
}

// bigSprayShop has n candidates of 200 cars at the four sprayed stages.
func bigSprayShop(n int) SprayShop {
	shop := sprayShop()
	stages := []string{"primed", "grounded", "grained", "cleared"}
	cars := make([]Car, 200)
	for i := range cars {
		cars[i] = Car{ID: int64(i + 1), WorkOrder: fmt.Sprintf("26-%03d", i+1), State: CarInWork}
		scheme := Scheme{CarID: cars[i].ID, ClearCoats: 4, Materials: map[coating.Layer]int64{coating.Clear: theClear, coating.Ground: theGround}}
		shop.Schemes[KeyOf(scheme)] = scheme
	}
	for i := range n {
		shop.add(&cars[i%200], stages[i/200%4], .1)
	}
	for i := range 1000 {
		shop.Lots = append(shop.Lots, Lot{ID: int64(100 + i), Material: theGround, LeftML: 100})
	}
	return shop
}

func TestBatchesOfALargeShop(t *testing.T) {
	t.Parallel()
	batches := Batches(bigSprayShop(12_000), monday, 0)
	pieces := 0
	for _, b := range batches {
		pieces += len(b.Pieces)
	}
	require.Equal(t, 12_000, pieces, "each stands in one batch")
	require.Len(t, batches, 2+2*200, "primed and cleared together, ground and grain by car")
}

func BenchmarkBatches(b *testing.B) {
	shop := bigSprayShop(12_000)
	for b.Loop() {
		Batches(shop, monday, 0)
	}
}

package restoration

import (
	"math"
	"time"

	"scumble/internal/coating"
)

// AnyWait is a horizon beyond every wait of a coat.
const AnyWait = 365 * 24 * time.Hour

// BatchAlone is a piece as the only one that is mixed for, with a material whatever the
// scheme names. false: it wants no coat.
func BatchAlone(key SprayKey, r Route, m Material, sc FilmScene, now time.Time) (BatchPiece, bool) {
	stage, _ := r.Stage(key.Stage)
	own := sc.Scheme
	own.Materials = map[coating.Layer]int64{LayerOf(stage.Look): m.ID}
	key.Scheme, m.Retired = "", time.Time{}
	list := Batches(SprayShop{Keys: []SprayKey{key}, Routes: map[int64]Route{key.RouteID: r}, Schemes: map[SchemeKey]Scheme{{CarID: key.Car.ID}: own},
		Materials: []Material{m}, Film: sc.Film, Units: sc.Units, TempC: sc.TempC()}, now, AnyWait)
	if len(list) == 0 || len(list[0].Pieces) == 0 {
		return BatchPiece{}, false
	}
	return list[0].Pieces[0], true
}

// SheetML is the ready-to-spray amount of one coat of a step as the material's sheet says,
// in whole mL, by the rule that batches are mixed by, whatever is on the piece by now; 0: it
// can't be told, as of a piece without an area.
func SheetML(p Piece, r Route, step ID, m Material, sc FilmScene) float64 {
	key := SprayKey{Car: &Car{ID: p.CarID}, PieceID: p.ID, StepID: step, RouteID: r.ID, Size: p.Size, AreaM2: p.AreaM2, BothM2: p.BothM2,
		Stage: stageOf(p, r, step).Key}
	alone, _ := BatchAlone(key, r, m, sc, time.Time{})
	return math.Round(alone.ML)
}

// TempC is the temperature of the shop's air by its sensor, else that of a room, in °C.
func (sc FilmScene) TempC() float64 {
	if sc.Air == nil || sc.Air.AirC == nil {
		return roomC
	}
	return *sc.Air.AirC
}

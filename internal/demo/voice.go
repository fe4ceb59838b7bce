package demo

import (
	"math/rand/v2"

	"scumble/internal/restoration"
)

// said are notes as technicians write them, by the look of the stage.
func said(look restoration.Look) []string {
	switch look {
	case restoration.LookStripped:
		return []string{"Three coats of old paint, red oxide right at the bottom.", "Old figure still clear under the clip, photographed with the chart.",
			"Hem opened a little to get the stripper out.", "Bright all over, seam blown dry twice.", "Pencilled number on the back: kept."}
	case restoration.LookRepaired:
		return []string{"Let in a piece of 0.9 mm, dressed flat.", "Tried on the car, gap even.", "Solder wiped, flux rinsed off hot.", "Thread run through again, screw holds."}
	case restoration.LookPrimed:
		return []string{"Two coats of epoxy, then the filler coat on top.", "Hung on the long rack, both faces in one go.", "Lip done with the small gun."}
	case restoration.LookBlocked:
		return []string{"Low spot by the lock, filled and blocked again.", "P320 then P500, wet. Dried on the lamp rack.", "Edge taped, went through there the last time.", "Flat in raking light."}
	case restoration.LookGrounded:
		return []string{"Same tin as the doors.", "Third coat on the edges.", "Booth warm and dry."}
	case restoration.LookGrained:
		return []string{"Figure runs on from the panel beside it.", "Wiped off once and done again: knot sat too near the corner.", "Sample panel next to it, looks right in both lights.", "Band matched at the mitre."}
	case restoration.LookCleared:
		return []string{"Two sessions, flatted between with P800.", "Dust coat first, then wet.", "Build looks even on the crest."}
	case restoration.LookCut:
		return []string{"P1500, P2000, P3000, then compound by hand at the edge.", "Stopped early at the crest, left it.", "Hole for the winder taped."}
	case restoration.LookFitted:
		return []string{"Felt under the clips.", "Screws waxed.", "Grain meets across the pillar."}
	}
	return nil
}

// remark draws a note for a tick now and then.
func remark(look restoration.Look, rnd *rand.Rand) string {
	all := said(look)
	if len(all) == 0 || rnd.IntN(9) != 0 {
		return ""
	}
	return all[rnd.IntN(len(all))]
}

// restingPlace says where a piece is put after a stage; "" leaves it where it is.
func restingPlace(look restoration.Look, rnd *rand.Rand) string {
	switch look {
	case restoration.LookStripped:
		return []string{hooks, benchShelf, ""}[rnd.IntN(3)]
	case restoration.LookPrimed, restoration.LookGrounded:
		if rnd.IntN(3) > 0 {
			return ""
		}
		return []string{rackA, rackB}[rnd.IntN(2)]
	case restoration.LookCleared:
		return drying
	case restoration.LookFitted:
		return inCar
	}
	return ""
}

// mishap is a defect that turns up while a stage is being finished.
type mishap struct {
	defect string
	back   restoration.Look
	note   string
	ticked bool // found after the stage was done, not while it was being done
}

// mishapAt draws a defect for a stage; false most of the time.
func mishapAt(look restoration.Look, rnd *rand.Rand) (mishap, bool) {
	odds := rnd.IntN(100)
	switch {
	case look == restoration.LookBlocked && odds < 4:
		return mishap{"sand-through", restoration.LookPrimed, "Through on the lip. Spot of primer, then again.", false}, true
	case look == restoration.LookGrounded && odds < 2:
		return mishap{"pinholes", restoration.LookPrimed, "Pinholes in the weld, came up with the second coat.", true}, true
	case look == restoration.LookCleared && odds < 4:
		return mishap{"run", restoration.LookCut, "Run at the lower edge, goes when we cut.", true}, true
	}
	return mishap{}, false
}

// cutThrough is the mishap that the late car is known for.
var cutThrough = mishap{"cut-through", restoration.LookGrained,
	"Went through at the crest by the lock, size of a thumbnail. Ground still stands, so back to the grain.", false}

package restoration

// StockRouteKey is the key of the route that the shop starts with.
const StockRouteKey = "grained-steel"

const hour = Minutes(60)

// StockRoute is the route for steel trim painted to look like wood, with standard
// hours of bench work on a piece in fair condition to show quality. Hours and waits
// are common practice, no source; waits hold at 20–25 °C, and a product's data
// sheet beats every one of them.
func StockRoute() Route {
	return Route{Key: StockRouteKey, Version: 1, Name: "Wood-grained steel", Stages: []Stage{
		strippedStage(), repairedStage(), primedStage(), blockedStage(), groundedStage(),
		grainedStage(), clearedStage(), cutStage(), fittedStage(),
	}}
}

func strippedStage() Stage {
	return Stage{
		Key: "stripped", Name: "Stripped", Look: LookStripped, Need: NeedNothing,
		// Bare steel flash-rusts: primed within 4–8 h in damp air, 24 h in dry.
		After: Waits{MaxRecoat: 24 * hour},
		Small: Hours3(.25, .5, 1), Medium: Hours3(.5, 1, 2), Large: Hours3(1.5, 2.5, 5),
		SetUp: 18, ByGrade: true, Purpose: "Sound, bare metal",
		Checks: []Check{
			{"photographed", "Reverse photographed, old finish kept as a sample"},
			{"clean", "No rust in seams, no stripper left"},
			{"graded-again", "Condition graded again on bare steel"},
		},
		Cautions: []string{cautionStrip, cautionLead, cautionNoise},
	}
}

func repairedStage() Stage {
	return Stage{
		Key: "repaired", Name: "Repaired", Look: LookRepaired, Need: NeedNothing, Repair: true,
		After:   Waits{MaxRecoat: 24 * hour},
		Purpose: "Holes, dents and threads made good",
		Checks: []Check{
			{"fits", "Tried on the car or its neighbour"},
			{"flux-off", "Flux neutralised and rinsed"},
		},
		Cautions: []string{cautionLead, cautionNoHeat, cautionNoise},
	}
}

func primedStage() Stage {
	return Stage{
		Key: "primed", Name: "Primed", Look: LookPrimed, Need: NeedRecoat, Booth: true,
		After: Waits{Recoat: hour, Sand: 16 * hour, MaxRecoat: 24 * hour},
		Small: Hours3(.2, .4, .8), Medium: Hours3(.4, .7, 1.2), Large: Hours3(.7, 1.2, 2),
		SetUp: 42, ByGrade: true, Purpose: "Adhesion and fill",
		Checks:   []Check{{"both-faces", "Both faces coated, no bare edge"}},
		Cautions: []string{cautionMist, cautionUnsure, cautionBooth},
	}
}

func blockedStage() Stage {
	return Stage{
		Key: "blocked", Name: "Blocked", Look: LookBlocked, Need: NeedSand,
		// Water from wet blocking must be gone before the ground goes on.
		After: Waits{Recoat: 12 * hour},
		Small: Hours3(.4, .8, 2), Medium: Hours3(1, 2, 4.5), Large: Hours3(3, 5, 10),
		ByGrade: true, Purpose: "Flat",
		Checks: []Check{
			{"guide-coat", "Guide coat all gone, no low spots in raking light"},
			{"no-steel", "No steel showing; broken through is spot-primed"},
		},
		Cautions: []string{cautionDust, cautionNoise},
	}
}

func groundedStage() Stage {
	return Stage{
		Key: "grounded", Name: "Grounded", Look: LookGrounded, Need: NeedRecoat, Booth: true,
		After: Waits{Recoat: 12 * hour, Sand: 12 * hour},
		Small: Hours3(.15, .3, .6), Medium: Hours3(.25, .5, .9), Large: Hours3(.4, .8, 1.5),
		SetUp: 42, Purpose: "The colour under the grain",
		Checks: []Check{
			{"hiding", "Hides evenly, edges and reverse lip too"},
			{"one-lot", "Same lot of ground as the rest of the car"},
		},
		Cautions: []string{cautionMist, cautionUnsure, cautionBooth},
	}
}

func grainedStage() Stage {
	return Stage{
		Key: "grained", Name: "Grained", Look: LookGrained, Need: NeedRecoat,
		// Bone dry before clear: 12–48 h for an oil-based grain coat.
		After: Waits{Recoat: 24 * hour},
		Small: Hours3(.3, .6, 1.5), Medium: Hours3(.6, 1.2, 3), Large: Hours3(1.5, 3, 7),
		SetUp: 42, Purpose: "The figure; the cheap place to stop and do it again",
		Checks: []Check{
			{"neighbours", "Direction, scale and mitres agree with the neighbours"},
			{"approved", "Approved against the sample, before any clear"},
		},
		Cautions: []string{cautionRags},
	}
}

func clearedStage() Stage {
	return Stage{
		Key: "cleared", Name: "Cleared", Look: LookCleared, Need: NeedRecoat, Booth: true,
		After: Waits{Recoat: 12 * hour, Sand: 24 * hour, Polish: 48 * hour, Fit: 7 * 24 * hour, MaxRecoat: 24 * hour},
		Small: Hours3(.4, .8, 1.5), Medium: Hours3(.8, 1.5, 3), Large: Hours3(1.5, 3, 5),
		SetUp: 42, Purpose: "Depth and protection; all sessions, flatted between",
		Checks:   []Check{{"build", "Build reached at every spot, no dry edge"}},
		Cautions: []string{cautionMist, cautionUnsure, cautionBooth},
	}
}

func cutStage() Stage {
	return Stage{
		Key: "cut", Name: "Cut", Look: LookCut, Need: NeedPolish,
		Small: Hours3(.5, 1, 2.5), Medium: Hours3(1, 2, 4.5), Large: Hours3(3, 5, 9),
		Purpose: "The reflection; look again after 2–4 weeks",
		Checks: []Check{
			{"above-floor", "Above the floor at every spot, edges taped"},
			{"two-lights", "No haze in two lights"},
		},
		Cautions: []string{cautionDust, cautionNoise},
	}
}

func fittedStage() Stage {
	return Stage{
		Key: "fitted", Name: "Fitted", Look: LookFitted, Need: NeedFit,
		Small: Hours3(.2, .4, 1), Medium: Hours3(.3, .6, 1.5), Large: Hours3(.8, 1.5, 4),
		Purpose: "Back in its place in the car, gaps and joints as they were",
		Checks: []Check{
			{"runs-on", "Grain runs on across the joints, pair matches"},
			{"no-marks", "Threads chased, no mark of a tool"},
		},
	}
}

package coating

// exampleSheet stands where a data sheet is named. Cautions that go with the stage or the
// kind of material are not repeated by the examples: the rules show them anyway.
const exampleSheet = "Example: typical figures, no product's"

const (
	hour = 60
	day  = 24 * hour
)

// Examples gives a few generic materials, clearly marked: typical figures from memory,
// of no maker's product, to be replaced by those of the shop's own data sheets. Only
// times and pot life of the epoxy are a printed sheet's.
func Examples() []Material {
	return []Material{exampleEpoxy(), exampleHighBuild(), exampleGround1K(), exampleGround2K(),
		exampleGrain(), exampleClear2K(), exampleLacquer()}
}

func exampleEpoxy() Material {
	return Material{
		Name: "Example epoxy primer", Kind: EpoxyPrimer, Layer: Primer, Sheet: exampleSheet, Example: true,
		Parts: []PartSheet{{"base", 3, .40}, {"hardener", 1, .28}},
		WetUM: Range{50, 60, 75},
		Waits: []WaitAt{
			{TempC: 7, Recoat: 6 * hour, MaxRecoat: 30 * day},
			{TempC: 20, Flash: 20, Recoat: 4 * hour, MaxRecoat: 30 * day, Sand: 18 * hour},
			{TempC: 30, Recoat: 3 * hour, MaxRecoat: 30 * day},
		},
		PotLife: []PotLifeAt{{7, 48 * hour}, {20, 24 * hour}, {30, 8 * hour}},
		Limits:  Limits{AirMinC: 5, AirMaxC: 35, SurfaceMinC: 5, RHMax: 85}, VOCGramsPerL: 480,
		Cautions: []string{"No epoxy over traces of acid: it may not cure."},
	}
}

func exampleHighBuild() Material {
	return Material{
		Name: "Example high-build filler", Kind: HighBuild, Layer: Filler, Sheet: exampleSheet, Example: true,
		Parts:   []PartSheet{{"base", 4, .55}, {"hardener", 1, .50}},
		Thinner: Thinner{"thinner", .10, OfParts},
		WetUM:   Range{90, 120, 150},
		Waits:   []WaitAt{{TempC: 20, Flash: 10, Recoat: hour, MaxRecoat: 18 * hour, Sand: 12 * hour}},
		PotLife: []PotLifeAt{{20, hour}},
		Limits:  Limits{AirMinC: 15, AirMaxC: 30, SurfaceMinC: 15, RHMax: 75}, VOCGramsPerL: 480, Isocyanate: true,
	}
}

func exampleGround1K() Material {
	return Material{
		Name: "Example ground, one-part", Kind: Ground1K, Layer: Ground, Sheet: exampleSheet, Example: true,
		Parts:   []PartSheet{{"colour", 1, .24}},
		Thinner: Thinner{"thinner", .50, OfA},
		WetUM:   Range{40, 50, 60},
		Waits:   []WaitAt{{TempC: 20, Flash: 10, Recoat: 45, MaxRecoat: day, Sand: 12 * hour}},
		Limits:  Limits{AirMinC: 15, AirMaxC: 30, SurfaceMinC: 15, RHMax: 80}, VOCGramsPerL: 700,
	}
}

func exampleGround2K() Material {
	return Material{
		Name: "Example ground, two-part", Kind: Ground2K, Layer: Ground, Sheet: exampleSheet, Example: true,
		Parts:   []PartSheet{{"colour", 2, .52}, {"hardener", 1, .50}},
		WetUM:   Range{45, 50, 55},
		Waits:   []WaitAt{{TempC: 20, Flash: 12, Recoat: 12 * hour, Sand: 14 * hour}},
		PotLife: []PotLifeAt{{20, 2 * hour}},
		Limits:  Limits{AirMinC: 15, AirMaxC: 30, SurfaceMinC: 15, RHMax: 70}, VOCGramsPerL: 420, Isocyanate: true,
		Cautions: []string{"Scuff before the grain."},
	}
}

func exampleGrain() Material {
	return Material{
		Name: "Example grain, oil-based", Kind: GrainOil, Layer: Grain, Sheet: exampleSheet, Example: true,
		Parts:  []PartSheet{{"grain", 1, .40}},
		WetUM:  Range{3, 8, 12},
		Waits:  []WaitAt{{TempC: 20, Recoat: day}},
		Limits: Limits{AirMinC: 15, AirMaxC: 30, SurfaceMinC: 15, RHMax: 80}, VOCGramsPerL: 400,
		Cautions: []string{"Never sanded; the first clear goes on as dust coats."},
	}
}

func exampleClear2K() Material {
	return Material{
		Name: "Example clear, two-part", Kind: Clear2K, Layer: Clear, Sheet: exampleSheet, Example: true,
		Parts:   []PartSheet{{"clear", 2, .56}, {"hardener", 1, .58}},
		Thinner: Thinner{"thinner", .05, OfParts},
		WetUM:   Range{55, 60, 68},
		Waits:   []WaitAt{{TempC: 20, Flash: 10, Recoat: 10, MaxRecoat: 18 * hour, Sand: 20 * hour, Polish: 2 * day, Fit: 7 * day}},
		PotLife: []PotLifeAt{{20, 2 * hour}},
		Limits:  Limits{AirMinC: 15, AirMaxC: 30, SurfaceMinC: 15, RHMax: 70, SessionMaxUM: 75}, VOCGramsPerL: 420, Isocyanate: true,
	}
}

func exampleLacquer() Material {
	return Material{
		Name: "Example clear lacquer", Kind: ClearLacquer, Layer: Clear, Sheet: exampleSheet, Example: true,
		Parts:   []PartSheet{{"lacquer", 1, .20}},
		Thinner: Thinner{"thinner", 1, OfA},
		WetUM:   Range{40, 50, 60},
		Waits:   []WaitAt{{TempC: 20, Flash: 10, Recoat: 30, Sand: day, Polish: 14 * day, Fit: 7 * day}},
		Limits:  Limits{AirMinC: 15, AirMaxC: 30, SurfaceMinC: 15, RHMax: 70, SessionMaxUM: 75}, VOCGramsPerL: 750,
		Cautions: []string{"Shrinks back for weeks: polish late."},
	}
}

package demo

import "scumble/internal/restoration"

// role is the part that a car plays.
type role int

const (
	partDelivered role = iota
	partLate
	partThick // in the thick of the work
	partHeld
	partFresh // just past its survey
)

// spec is a car as the tale begins with it. Days are counted back from now.
type spec struct {
	part       role
	car        restoration.Car
	body       string
	arrived    int // days ago
	begun      int // days ago, from when it is worked on
	until      int // days ago at which it has come as far as share
	share      float64
	promised   int    // days ago; negative is ahead
	expect     [2]int // days ahead; zero is not said
	words      string // what the shop tells the customer by now
	grainer    int64  // who grains it: one hand for the whole car
	unlucky    string // a piece on the right that is cut through in the last week
	missing    string // a piece that did not come with the car
	odd        string // a piece in another scheme that nobody has explained
	explained  string // a piece in another scheme, with the reason
	oddScheme  string
	oddBecause string
	finish     finish
}

// oddScheme is the finish of a piece that nobody has explained.
const oddScheme = "Straight walnut"

// finish is what was agreed for a car's film; paints are numbers of the tale.
type finish struct {
	ground, clear int64
	coats         int // of clear
	visit         int // coats of clear in one session
	build, floor  float64
	gloss         float64 // at 20°
	gauged        bool    // the film of every piece is measured
	sparse        bool    // done before the shop logged primer, cuts and colours
}

// specs lists the cars in the order in which they came.
func specs() []spec {
	return []spec{
		{part: partDelivered, body: "coupe", arrived: 152, begun: 148, until: 46, share: 1, promised: 12, grainer: 3,
			finish: finish{ground: paintGround2K, clear: paintClear, coats: 3, visit: 2, build: 80, floor: 40, gloss: 84, sparse: true},
			car: restoration.Car{Name: "1937 Lorrimer Ten Coupé", Body: "coupé", Customer: "Ignaz Börne", Contact: "boerne@example.org, evenings",
				Quality: restoration.QualityDriver, Ground: "#c08a4a", Grain: "#5b3314", Scheme: "Straight walnut",
				Words: "The old finish is lifting along the window sills. We begin with the doors."},
			words: "Your trim is back in the car. Keep the sun off it for the first month, and wash it with water only."},
		{part: partLate, body: "estate", arrived: 139, begun: 134, until: 0, share: .83, promised: 11, expect: [2]int{12, 21}, grainer: 3, unlucky: "Glove-box door",
			finish: finish{ground: paintGround2K, clear: paintClear, coats: 4, visit: 2, build: 110, floor: 50, gloss: 86, gauged: true},
			car: restoration.Car{Name: "1949 Ostrand Fourteen Estate", Body: "estate", Customer: "Henrike Toussaint", Contact: "+00 555 0117, not on Fridays",
				Quality: restoration.QualityShow, Ground: "#b5793a", Grain: "#42240f", Scheme: "Quartered ash, dark", RateCents: 82_00,
				Note: "She wants it for a wedding. Say early when it slips."},
			words: "We are late, and we are sorry. One door piece was sanded too far at the last step, and the clear needs its rest before we fit it. Most of the interior is back in the car."},
		{part: partThick, body: "saloon", arrived: 104, begun: 97, until: 0, share: .52, promised: -38, expect: [2]int{36, 50}, grainer: 2,
			finish: finish{ground: paintGround1K, clear: paintClear, coats: 4, visit: 2, build: 110, floor: 50, gloss: 88, gauged: true},
			car: restoration.Car{Name: "1936 Brennick Eight Saloon", Body: "saloon", Customer: "Leopold Achterberg", Contact: "achterberg@example.net",
				Quality: restoration.QualityConcours, Ground: "#d0a467", Grain: "#70421c", Scheme: "Burr walnut with band",
				Note: "Judged in the summer. The figure follows the photographs of the sister car."},
			words:     "The figure is settled and the front is well along. Doors and quarters follow this month.",
			odd:       "Rear sill rail",
			explained: "Mirror base plate", oddScheme: "Body colour", oddBecause: "The photograph from the factory shows it painted, not grained"},
		{part: partHeld, body: "drophead", arrived: 83, begun: 76, until: 12, share: .33, promised: -64, expect: [2]int{70, 100}, grainer: 3,
			finish: finish{ground: paintGround2K, clear: paintLacquer, coats: 30, visit: 10, build: 120, floor: 50, gloss: 82},
			car: restoration.Car{Name: "1939 Quillane Six Drophead", Body: "drophead", Customer: "Sigrún Vandermolen", Contact: "By post only",
				Quality: restoration.QualityShow, Ground: "#9a5a2b", Grain: "#2f160a", Scheme: "Rosewood, not settled"},
			words:   "Two sample panels are on their way to you. We go on as soon as you have chosen.",
			missing: "Radio bezel"},
		{part: partFresh, body: "saloon", arrived: 15, begun: 5, until: 0, share: .06, promised: -120, grainer: 2,
			finish: finish{ground: paintGround2K, clear: paintClear, coats: 4, visit: 2, build: 110, floor: 50, gloss: 86},
			car: restoration.Car{Name: "1951 Ardwyn Town Saloon", Body: "saloon", Customer: "Béla Szondi", Contact: "szondi@example.com",
				Quality: restoration.QualityShow, Ground: "#a8763f", Grain: "#4a2c15", Scheme: "Plain walnut",
				Words: "The survey is done: sound on the whole, with rust under both rear windows."},
			words: "The survey is done and the first pieces are down to bare steel."},
	}
}

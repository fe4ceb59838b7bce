package restoration

// WorkFilter chooses open work and says in which order and how much of it is wanted.
// Zero fields do not choose.
type WorkFilter struct {
	Footing  Footing // where the piece's next step stands
	InHand   bool    // somebody has the next step in hand
	Rework   bool    // the piece has rework left
	CarID    int64
	PersonID int64 // who has the next step in hand
	By       WorkSort
	Falling  bool // the order turned round
	Limit    int  // 0 is all of it
	Offset   int
}

// WorkSort is what open work is sorted by; ties stand by car and in the order of the
// interior plan, and so does all where it is "".
type WorkSort string

// The orders of open work.
const (
	WorkByPiece WorkSort = "piece"
	WorkByLeft  WorkSort = "left"
	WorkByHand  WorkSort = "who" // who has it in hand
)

// WorkPart is a part of the open work that a filter chooses, and what all that it
// chooses adds up to, whatever the part holds.
type WorkPart struct {
	Work       []Work
	Pieces     int
	Left       Minutes
	NextLeft   Minutes // of the next steps alone
	ReworkLeft Minutes
}

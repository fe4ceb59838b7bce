package restoration

import (
	"encoding/binary"
	"time"
)

// Monday 09:00 of a plain working week.
var monday = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

func testID(kind byte, n int) ID {
	var id ID
	id[0], id[6], id[8] = kind, 0x70, 0x80
	binary.BigEndian.PutUint32(id[12:], uint32(n))
	return id
}

// shop is a car in memory with a running number for event ids, what is on its pieces,
// and what it knows of materials and tins.
type shop struct {
	*Book
	route     Route
	n         int
	log       []Event // as entered
	film      map[ID][]Deed
	scene     FilmScene // what the scene of every entry begins with
	materials map[int64]Material
	lots      []Lot
}

func newShop(pieces ...Details) *shop {
	r := StockRoute()
	r.ID = 1
	s := &shop{Book: NewBook(Car{ID: 1, WorkOrder: "26-014", Name: "1936 Brennick Eight", State: CarInWork}, map[int64]Route{1: r}),
		route: r, film: map[ID][]Deed{}}
	for i, d := range pieces {
		s.add(i+1, d)
	}
	return s
}

func (s *shop) add(n int, d Details) Outcome {
	if d.Size == "" {
		d.Size = SizeMedium
	}
	if d.Mounting == "" {
		d.Mounting = MountBench
	}
	id := testID('p', n)
	s.Expect(Piece{ID: id, CarID: 1, RouteID: 1, Details: d})
	plan := Planned(d, QualityShow, s.route, StockSettings().Factors)
	return s.Enter(s.event(KindOpen, n, "", monday.Add(-time.Hour),
		Payload{RouteID: 1, Plan: plan, Reason: OpeningHold(d)}))
}

// event makes an entry about piece n, and about its current step of a stage.
func (s *shop) event(k Kind, n int, stage string, at time.Time, p Payload) Event {
	s.n++
	e := Event{ID: testID('e', s.n), Kind: k, CarID: 1, PersonID: 7, At: at, Arrived: at, Payload: p}
	if n > 0 {
		e.PieceID = testID('p', n)
	}
	if stage != "" && k.AboutStep() {
		e.StepID = s.step(n, stage).ID
	}
	if k == KindSendBack {
		e.Stage = stage
	}
	return e
}

func (s *shop) do(k Kind, n int, stage string, at time.Time, p Payload) Outcome {
	return s.Enter(s.judged(s.event(k, n, stage, at, p)))
}

// tick ticks a stage with every check answered; 0 hours log no time.
func (s *shop) tick(n int, stage string, at time.Time, hours float64) Outcome {
	p := Payload{Checks: s.checks(stage)}
	if hours > 0 {
		p.Hours = mins(hours)
	}
	return s.do(KindTick, n, stage, at, p)
}

func (s *shop) checks(stage string) []string {
	var keys []string
	st, _ := s.route.Stage(stage)
	for _, c := range st.Checks {
		keys = append(keys, c.Key)
	}
	return keys
}

func (s *shop) piece(n int) Piece {
	p, _ := s.Piece(testID('p', n))
	return p
}

// step finds the current step of a stage; the zero step when there is none.
func (s *shop) step(n int, stage string) Step {
	for _, st := range s.piece(n).Steps {
		if st.Stage == stage && st.Current() {
			return st
		}
	}
	return Step{}
}

func (s *shop) roll(now time.Time) Roll {
	return SumUp(s.Car.State, s.Pieces(), map[int64]Route{1: s.route}, now)
}

func mins(hours float64) *Minutes {
	m, err := FromHours(hours)
	if err != nil {
		panic(err)
	}
	return &m
}

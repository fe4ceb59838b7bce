package store

import (
	"cmp"
	"context"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// rollRow is one car in the roll-up. What is said by stage stands in slices of the
// same length and order, and so does what is said by step of rework. They are plain
// numbers, which pgx reads several times as fast as types of our own.
type rollRow struct {
	carRow
	Pieces   int
	Finished int
	Held     restoration.Minutes
	Waiting  restoration.Minutes
	NextFrom *time.Time
	Routes   []int64

	Stages    []string
	Positions []int32
	Planned   []int64
	Earned    []int64
	Logged    []int64
	Remaining []int64
	AtStage   []int64

	ReworkStages  []string
	ReworkPlanned []int32
	ReworkLogged  []int32
	ReworkLeft    []int32
}

// rollSelect is the one query that every sum of hours comes from; it goes on with a
// WHERE. Each car is looked up by index, so that delivered cars cost nothing. A step
// with something left is one that is to be done: the rules see to it that an open
// step always has, and no other.
const rollSelect = `
	SELECT ` + carColumns + `, p.pieces, p.finished, p.held, p.waiting, p.next_from, p.routes,
		g.stages, g.positions, g.planned, g.earned, g.logged, g.remaining, g.at_stage,
		r.rework_stages, r.rework_planned, r.rework_logged, r.rework_left
	FROM cars c
	CROSS JOIN LATERAL (
		SELECT count(*) FILTER (WHERE removed_at IS NULL) AS pieces,
			count(*) FILTER (WHERE removed_at IS NULL AND next_step IS NULL) AS finished,
			coalesce(sum(left_min) FILTER (WHERE c.state = 'on hold' OR held_since IS NOT NULL), 0) AS held,
			coalesce(sum(left_min) FILTER (WHERE c.state <> 'on hold' AND held_since IS NULL AND gate_from > @now), 0) AS waiting,
			min(gate_from) FILTER (WHERE c.state <> 'on hold' AND held_since IS NULL AND gate_from > @now) AS next_from,
			array_agg(DISTINCT route_id) AS routes
		FROM components WHERE car_id = c.id) p
	CROSS JOIN LATERAL (
		SELECT array_agg(s.stage) AS stages, array_agg(s.position) AS positions, array_agg(s.planned) AS planned,
			array_agg(s.earned) AS earned, array_agg(s.logged) AS logged, array_agg(s.remaining) AS remaining,
			array_agg(s.at_stage) AS at_stage
		FROM (
			SELECT stage, min(position) AS position, sum(counted_min) AS planned, sum(earned_min) AS earned,
				sum(logged_min) AS logged, sum(left_min) AS remaining, count(*) FILTER (WHERE left_min > 0) AS at_stage
			FROM finish_steps WHERE car_id = c.id GROUP BY stage) s) g
	CROSS JOIN LATERAL (
		SELECT array_agg(stage) AS rework_stages,
			array_agg(CASE WHEN state = 'superseded' AND done_at IS NULL THEN 0 ELSE planned_min END) AS rework_planned,
			array_agg(logged_min) AS rework_logged, array_agg(left_min) AS rework_left
		FROM finish_steps WHERE car_id = c.id AND rework) r `

// Roll gives the hours of every car that is not delivered, of delivered ones too
// when asked for, and of the shop as a whole, in the order of their work orders.
func (s *Store) Roll(ctx context.Context, delivered bool) (shop restoration.ShopRoll, err error) {
	defer wrap(&err, "roll up the shop")
	err = s.look(ctx, func(t tx) error {
		shop.At = t.now
		shop.Cars, err = s.roll(ctx, t, `WHERE @delivered OR c.state <> 'delivered' ORDER BY c.work_order`,
			pgx.StrictNamedArgs{"now": t.now, "delivered": delivered})
		return err
	})
	for _, c := range shop.Cars {
		shop.Total = shop.Total.Plus(c.Roll)
	}
	return shop, err
}

// CarRoll gives the hours of one car, delivered or not; NotFound when there is none.
func (s *Store) CarRoll(ctx context.Context, carID int64) (roll restoration.CarRoll, err error) {
	defer wrap(&err, "roll up car %d", carID)
	err = s.look(ctx, func(t tx) error {
		cars, err := s.roll(ctx, t, `WHERE c.id = @car`, pgx.StrictNamedArgs{"now": t.now, "car": carID})
		if err == nil && len(cars) == 0 {
			err = noCar(pgx.ErrNoRows)
		}
		if err == nil {
			roll = cars[0]
		}
		return err
	})
	return roll, err
}

func (s *Store) roll(ctx context.Context, t tx, where string, args pgx.StrictNamedArgs) ([]restoration.CarRoll, error) {
	rows, err := t.Query(ctx, rollSelect+where, args)
	if err != nil {
		return nil, err
	}
	found, err := pgx.CollectRows(rows, pgx.RowToStructByName[rollRow])
	if err != nil {
		return nil, err
	}
	cars := make([]restoration.CarRoll, len(found))
	for i, r := range found {
		routes := make([]restoration.Route, len(r.Routes))
		for j, id := range r.Routes {
			if routes[j], err = s.startedRoute(ctx, t, id); err != nil {
				return nil, err
			}
		}
		cars[i] = restoration.CarRoll{Car: r.car(), Roll: r.roll(routes)}
	}
	return cars, nil
}

func (r rollRow) roll(routes []restoration.Route) restoration.Roll {
	sum := restoration.Roll{Pieces: r.Pieces, Finished: r.Finished, Held: r.Held, Waiting: r.Waiting, NextFrom: orZero(r.NextFrom)}
	reworkLeft := map[string]restoration.Minutes{}
	for i, key := range r.ReworkStages {
		reworkLeft[key] += restoration.Minutes(r.ReworkLeft[i])
		sum.ReworkPlanned += restoration.Minutes(r.ReworkPlanned[i])
		sum.ReworkLogged += restoration.Minutes(r.ReworkLogged[i])
		sum.ReworkLeft += restoration.Minutes(r.ReworkLeft[i])
	}
	for i, key := range r.Stages {
		stage := restoration.StageRoll{
			Stage: key, Name: key, Look: restoration.LookOther, Order: int(r.Positions[i]), Pieces: int(r.AtStage[i]),
			Planned: restoration.Minutes(r.Planned[i]), Logged: restoration.Minutes(r.Logged[i]),
			Left: restoration.Minutes(r.Remaining[i]), ReworkLeft: reworkLeft[key],
		}
		for _, route := range routes {
			if s, ok := route.Stage(key); ok {
				stage.Name, stage.Look = s.Name, s.Look
				break
			}
		}
		sum.Stages = append(sum.Stages, stage)
		sum.Planned += stage.Planned
		sum.Earned += restoration.Minutes(r.Earned[i])
		sum.Logged += stage.Logged
		sum.Left += stage.Left
	}
	sum.Workable = sum.Left - sum.Held - sum.Waiting
	slices.SortFunc(sum.Stages, func(a, b restoration.StageRoll) int {
		return cmp.Or(cmp.Compare(a.Order, b.Order), cmp.Compare(a.Stage, b.Stage))
	})
	return sum
}

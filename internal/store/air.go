package store

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// RecordAir keeps what a sensor sent, all or nothing, and tells how many readings were
// new: the first of a sensor for a moment stands, so that sending again is harmless.
// What [restoration.AirReading.Check] finds is refused, the first fault as a Problem.
// NotFound when there is no such sensor, or it was shut out.
func (s *Store) RecordAir(ctx context.Context, sensorID int64, list []restoration.AirReading) (n int, err error) {
	defer wrap(&err, "record %d air readings of sensor %d", len(list), sensorID)
	err = s.change(ctx, func(t tx) error {
		for i, a := range list {
			if found := a.Check(t.now); len(found) > 0 {
				return restoration.Problemf(found[0].Trouble, found[0].Field, "Reading %d: %s", i+1, found[0].Message)
			}
		}
		err := t.QueryRow(ctx, `UPDATE sensors SET last_seen = $2 WHERE id = $1 AND revoked_at IS NULL RETURNING id`, sensorID, t.now).Scan(&sensorID)
		if err != nil {
			return notFound(err, "This sensor isn't known here. Ask an owner for a token.")
		}
		if n, err = insertAir(ctx, t, sensorID, list); err != nil || n == 0 {
			return err
		}
		return notify(ctx, t, 0)
	})
	if err != nil {
		return 0, err
	}
	return n, nil
}

func insertAir(ctx context.Context, t tx, sensorID int64, list []restoration.AirReading) (n int, err error) {
	var at []time.Time
	var air, humidity []float64
	var surface []*float64
	for _, a := range list {
		at, air = append(at, a.At.UTC().Truncate(time.Microsecond)), append(air, a.AirC)
		humidity, surface = append(humidity, a.Humidity), append(surface, a.SurfaceC)
	}
	tag, err := t.Exec(ctx, `
		INSERT INTO air (sensor_id, at, air_c, humidity, surface_c)
		SELECT $1, * FROM unnest($2::timestamptz[], $3::float8[], $4::float8[], $5::float8[])
		ON CONFLICT (sensor_id, at) DO NOTHING`, sensorID, at, air, humidity, surface)
	if err != nil {
		return 0, fmt.Errorf("write the air: %w", err)
	}
	return int(tag.RowsAffected()), nil
}

// LatestAir gives the last reading of each sensor in use, by the sensor's name. One
// that has sent nothing yet is left out; an old reading is given with its hour.
func (s *Store) LatestAir(ctx context.Context) (_ []restoration.AirReading, err error) {
	defer wrap(&err, "list the latest air")
	rows, err := s.pool.Query(ctx, latestAir)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toAirReading)
}

const latestAir = `
	SELECT n.id, n.name, a.at, a.air_c, a.humidity, a.surface_c
	FROM sensors n CROSS JOIN LATERAL (
		SELECT at, air_c, humidity, surface_c FROM air WHERE sensor_id = n.id ORDER BY at DESC LIMIT 1) a
	WHERE n.revoked_at IS NULL ORDER BY lower(n.name), n.id`

func toAirReading(row pgx.CollectableRow) (a restoration.AirReading, err error) {
	err = row.Scan(&a.SensorID, &a.Sensor, &a.At, &a.AirC, &a.Humidity, &a.SurfaceC)
	a.At = a.At.UTC()
	return a, err
}

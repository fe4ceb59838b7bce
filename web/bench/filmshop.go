package bench

import (
	"context"
	"time"

	"scumble/internal/restoration"
)

// Film is what the bench asks about the finish itself.
type Film interface {
	// FilmScene gives what the rules would judge an entry about a piece's film by, were
	// it made now; material and tins are left out of it.
	FilmScene(ctx context.Context, piece restoration.ID) (restoration.FilmScene, error)
	// FilmScenes gives the same of many pieces at once, and the pieces; one that is gone is
	// left out.
	FilmScenes(ctx context.Context, pieces []restoration.ID) ([]restoration.PieceScene, error)
	Materials(ctx context.Context) ([]restoration.Material, error)
	Lots(ctx context.Context) ([]restoration.Lot, error)
	// SprayKeys gives what [restoration.Batches] looks at.
	SprayKeys(ctx context.Context, only ...restoration.ID) (restoration.SprayShop, error)
	LatestAir(ctx context.Context) ([]restoration.AirReading, error)

	// FindSensor finds a sensor by the hash of its token; one that was shut out is not found.
	FindSensor(ctx context.Context, tokenHash []byte) (restoration.Sensor, error)
	// RecordAir keeps what a sensor sent, and tells how many readings were new.
	RecordAir(ctx context.Context, sensorID int64, list []restoration.AirReading) (int, error)

	// Certificates lists the trainings and fit tests of everybody who works here.
	Certificates(ctx context.Context) ([]restoration.Certificate, error)

	// CautionsSeen tells when a person last read which cautions, by [restoration.CautionSubject].
	CautionsSeen(ctx context.Context, personID int64, since time.Time) (map[string]time.Time, error)
	// SeeCautions notes that the person has read them, at an hour that may be past; zero: now.
	SeeCautions(ctx context.Context, by restoration.Actor, subject string, at time.Time) error
}

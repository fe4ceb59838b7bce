package office

import (
	"context"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// paint is what the shop sprays with, on what, and in which air.
type paint interface {
	Materials(ctx context.Context) ([]restoration.Material, error)
	SaveMaterial(ctx context.Context, actor restoration.Actor, m restoration.Material) (restoration.Material, error)
	RetireMaterial(ctx context.Context, actor restoration.Actor, id int64, retired bool) error

	Lots(ctx context.Context) ([]restoration.Lot, error)
	FindLot(ctx context.Context, id int64) (restoration.Lot, error)
	SaveLot(ctx context.Context, actor restoration.Actor, l restoration.Lot) (restoration.Lot, error)
	LotFilm(ctx context.Context, id int64) ([]restoration.Deed, error)

	Schemes(ctx context.Context, carID int64) ([]restoration.Scheme, error)
	SaveScheme(ctx context.Context, actor restoration.Actor, s restoration.Scheme) (restoration.Scheme, error)
	DropScheme(ctx context.Context, actor restoration.Actor, id int64) error
	RestoreScheme(ctx context.Context, actor restoration.Actor, carID int64, name string) (restoration.Scheme, error)
	DroppedSchemes(ctx context.Context, carID int64) ([]restoration.DroppedScheme, error)

	SprayKeys(ctx context.Context, only ...restoration.ID) (restoration.SprayShop, error)

	Sensors(ctx context.Context) ([]restoration.Sensor, error)
	AddSensor(ctx context.Context, actor restoration.Actor, name string, tokenHash []byte) (restoration.Sensor, error)
	RevokeSensor(ctx context.Context, actor restoration.Actor, id int64) error
	ReadmitSensor(ctx context.Context, actor restoration.Actor, id int64) error
	LatestAir(ctx context.Context) ([]restoration.AirReading, error)
}

// navPaint is the key of the paint's pages in the navigation.
const navPaint = "paint"

// paintRoutes are the pages about what is sprayed.
func (o *Office) paintRoutes(r chi.Router) {
	o.batchRoutes(r)
	o.materialRoutes(r)
	o.lotRoutes(r)
	o.schemeRoutes(r)
	o.sensorRoutes(r)
}

// paintTabs are the pages about what is sprayed, in the order of their tabs.
func paintTabs() []ui.NavItem {
	return []ui.NavItem{
		{Key: "batches", Word: "Batches", Href: batchesPath},
		{Key: "materials", Word: "Materials", Href: materialsPath},
		{Key: "lots", Word: "Tins", Href: lotsPath},
		{Key: "air", Word: "Air", Href: sensorsPath},
	}
}

// orDash puts a dash where nothing is known.
func orDash(s string) string {
	if s == "" {
		return ui.None
	}
	return s
}

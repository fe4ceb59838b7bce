package office

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
)

// house is the shop's people, tablets, links, routes and settings, and the taking in
// of cars.
type house interface {
	people
	doors
	rules
	intake
	memory
	paint
	shelves
}

// people are those who work in the shop.
type people interface {
	OwnerExists(ctx context.Context) (bool, error)
	CreateOwner(ctx context.Context, name, passwordHash string) (restoration.Person, error)
	People(ctx context.Context) ([]restoration.Person, error)
	FindPerson(ctx context.Context, id int64) (restoration.Person, error)
	FindLogin(ctx context.Context, name string) (p restoration.Person, passwordHash string, err error)
	RecordMiss(ctx context.Context, id int64) (restoration.Person, error)
	RecordSignIn(ctx context.Context, id, deviceID int64) error
	AddPerson(ctx context.Context, actor restoration.Actor, name string, role restoration.Role, passwordHash, pinHash string) (restoration.Person, error)
	RenamePerson(ctx context.Context, actor restoration.Actor, id int64, name string) error
	SetPIN(ctx context.Context, actor restoration.Actor, id int64, hash string) error
	SetPassword(ctx context.Context, actor restoration.Actor, id int64, hash string) error
	UnlockPerson(ctx context.Context, actor restoration.Actor, id int64) error
	ChangeRole(ctx context.Context, actor restoration.Actor, id int64, role restoration.Role, passwordHash, pinHash string) error
	PersonLeft(ctx context.Context, actor restoration.Actor, id int64) error
	PersonBack(ctx context.Context, actor restoration.Actor, id int64) error
}

// doors are the tablets and the customers' links: what opens without a name.
type doors interface {
	Devices(ctx context.Context) ([]restoration.Device, error)
	AddDevice(ctx context.Context, actor restoration.Actor, name string, codeHash []byte, until time.Time) (restoration.Device, error)
	FindDeviceByID(ctx context.Context, id int64) (restoration.Device, error)
	RevokeDevice(ctx context.Context, actor restoration.Actor, id int64) error
	ReadmitDevice(ctx context.Context, actor restoration.Actor, id int64) error

	Links(ctx context.Context, carID int64) ([]restoration.Link, error)
	AddLink(ctx context.Context, actor restoration.Actor, l restoration.Link, tokenHash []byte) (restoration.Link, error)
	ChangeLink(ctx context.Context, actor restoration.Actor, l restoration.Link) error
	RevokeLink(ctx context.Context, actor restoration.Actor, id int64) error
}

// rules are the shop's own routes and settings.
type rules interface {
	Settings(ctx context.Context) (restoration.Settings, error)
	SaveSettings(ctx context.Context, actor restoration.Actor, s restoration.Settings) error
	Routes(ctx context.Context) ([]restoration.Route, error)
	FindRoute(ctx context.Context, id int64) (restoration.Route, error)
	SaveRoute(ctx context.Context, actor restoration.Actor, r restoration.Route) (restoration.Route, error)
	CopyRoute(ctx context.Context, actor restoration.Actor, id int64) (restoration.Route, error)
	OrderRoutes(ctx context.Context, actor restoration.Actor, ids []int64) error
	RetireRoute(ctx context.Context, actor restoration.Actor, id int64) error
	RetiredRoutes(ctx context.Context) ([]restoration.RetiredRoute, error)
	RestoreRoute(ctx context.Context, actor restoration.Actor, id int64) error
}

// memory is what people changed.
type memory interface {
	Audit(ctx context.Context, f restoration.AuditFilter) ([]restoration.AuditRow, error)
}

// intake takes in cars and their trim lists.
type intake interface {
	ListCars(ctx context.Context) ([]restoration.Car, error)
	NewCar(ctx context.Context, actor restoration.Actor, c restoration.Car, pieces []restoration.NewPiece) (restoration.Car, error)
	EditCar(ctx context.Context, actor restoration.Actor, c restoration.Car) error
	CopyPieces(ctx context.Context, carID int64) ([]restoration.NewPiece, error)
}

// houseRoutes are the pages of the house.
func (o *Office) houseRoutes(r chi.Router) {
	o.carRoutes(r)
	o.peopleRoutes(r)
	o.tabletRoutes(r)
	o.linkRoutes(r)
	o.routeRoutes(r)
	o.auditRoutes(r)
	o.paintRoutes(r)
	o.placeRoutes(r)
	h := o.adapter.Handle
	r.Get("/settings", h(o.showSettings))
	r.Post("/settings", h(o.saveSettings))
}

// numberIn reads the number of a thing from the address.
func numberIn(r *http.Request, name string) (int64, error) {
	id, err := strconv.ParseInt(chi.URLParam(r, name), 10, 64)
	if err != nil || id < 1 {
		return 0, restoration.Problemf(restoration.TroubleNotFound, "", "There is nothing at this address. Go back and use the links.")
	}
	return id, nil
}

// findIn gives the one of a list whose id, as numberIn reads it, is wanted; NotFound, with
// the given sentence, when there is none.
func findIn[T any](list []T, id int64, of func(T) int64, none string) (found T, err error) {
	i := slices.IndexFunc(list, func(one T) bool { return of(one) == id })
	if i < 0 {
		return found, restoration.Problemf(restoration.TroubleNotFound, "", "%s", none)
	}
	return list[i], nil
}

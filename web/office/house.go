package office

import (
	"context"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
)

// house is the shop's people, tablets, links, routes and settings.
type house interface {
	FindPerson(ctx context.Context, id int64) (restoration.Person, error)
	People(ctx context.Context) ([]restoration.Person, error)
	Settings(ctx context.Context) (restoration.Settings, error)
	Routes(ctx context.Context) ([]restoration.Route, error)
	FindRoute(ctx context.Context, id int64) (restoration.Route, error)
}

// publicRoutes are the pages that need no session.
func (o *Office) publicRoutes(r chi.Router) {}

// houseRoutes are the pages of the house.
func (o *Office) houseRoutes(r chi.Router) {}

package demo

import (
	"sync"
	"time"

	"scumble/internal/access"
	"scumble/internal/photos"
	"scumble/internal/restoration"
)

// Story is all of the demo that needs no database: the tale, its photos, and the hashes of
// what its people sign in by. Each is made when it is first asked for.
type Story struct {
	now   time.Time
	units restoration.Units

	tale    func() Tale
	album   func() (map[restoration.ID]photos.Photo, error) // by the id of their entry
	secrets func() (secrets, error)
}

// NewStory makes the story of a shop up to now, that measures in these units.
func NewStory(now time.Time, units restoration.Units) *Story {
	s := &Story{now: now, units: units}
	s.tale = sync.OnceValue(func() Tale {
		route := restoration.StockRoute()
		route.ID = 1 // any: the store finds its own by the name
		return Tell(now, s.settings(), route)
	})
	s.album = sync.OnceValues(func() (map[restoration.ID]photos.Photo, error) { return develop(s.tale()) })
	s.secrets = sync.OnceValues(func() (secrets, error) { return hashAll(Cast()) })
	return s
}

// Begin has the story made up while other things are done, as it takes a second or two.
func (s *Story) Begin() {
	go func() { _, _ = s.album() }()
	go func() { _, _ = s.secrets() }()
}

func (s *Story) settings() restoration.Settings { return Settings(s.now, s.units) }

// secrets are hashed passwords and PINs, by person.
type secrets struct{ passwords, pins []string }

// hashAll hashes what people sign in by. It takes a while, on purpose.
func hashAll(cast []Person) (secrets, error) {
	s := secrets{passwords: make([]string, len(cast)), pins: make([]string, len(cast))}
	for i, p := range cast {
		var err error
		if p.Password != "" {
			s.passwords[i], err = access.HashSecret(p.Password)
		}
		if p.PIN != "" && err == nil {
			s.pins[i], err = access.HashSecret(p.PIN)
		}
		if err != nil {
			return s, err
		}
	}
	return s, nil
}

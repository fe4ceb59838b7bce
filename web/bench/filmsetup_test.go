package bench

import (
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/coating"
	"scumble/internal/colour"
	"scumble/internal/restoration"
)

// paint gives the shop its materials, one of each layer of a car's finish, two tins of
// each, and the car a scheme: four coats of clear, 120 µm wanted, a floor of 50.
func (s *testShop) paint() map[coating.Layer]restoration.Material {
	s.t.Helper()
	ctx := s.t.Context()
	list := map[coating.Layer]restoration.Material{}
	scheme := restoration.StockScheme(s.car.ID, "")
	scheme.Gloss, scheme.Materials = &colour.Gloss{GU: 85, Angle: 20}, map[coating.Layer]int64{}
	for _, m := range coating.Examples() {
		if m.Kind == coating.Ground2K || m.Kind == coating.ClearLacquer || m.Layer == coating.Filler {
			continue
		}
		m.Example, m.Name, m.Revision = false, strings.Replace(m.Name, "Example", "Our", 1), "2026-01"
		saved, err := s.store.SaveMaterial(ctx, s.owner, restoration.Material{Material: m})
		require.NoError(s.t, err)
		list[m.Layer], scheme.Materials[m.Layer] = saved, saved.ID
		for part := range m.Parts {
			s.tin(saved, part, "4711")
		}
	}
	_, err := s.store.SaveScheme(ctx, s.owner, scheme)
	require.NoError(s.t, err)
	return list
}

// clearNext gives the shop its [testShop.paint] and brings a piece up to its clear, which may
// go on by now.
func (s *testShop) clearNext(name string) map[coating.Layer]restoration.Material {
	s.t.Helper()
	paint := s.paint()
	s.advance(name, s.ada, 5)
	s.pass(48 * time.Hour)
	return paint
}

func (s *testShop) tin(m restoration.Material, part int, number string) restoration.Lot {
	s.t.Helper()
	lot, err := s.store.SaveLot(s.t.Context(), s.owner, restoration.Lot{Material: m.ID, Part: part, Number: number, AmountML: 1000})
	require.NoError(s.t, err)
	return lot
}

// read has a person read the cautions of every stage but one of the stock route, with
// whatever material.
func (s *testShop) read(p restoration.Person, but restoration.Look) {
	s.t.Helper()
	for _, stage := range restoration.StockRoute().Stages {
		if stage.Look == but {
			continue
		}
		subjects := []string{stage.Name}
		for _, m := range coating.Examples() {
			subjects = append(subjects, restoration.CautionSubject(stage, &restoration.Material{Material: m}))
		}
		slices.Sort(subjects)
		for _, subject := range slices.Compact(subjects) {
			require.NoError(s.t, s.store.SeeCautions(s.t.Context(), restoration.Actor{PersonID: p.ID, DeviceID: s.device.ID}, subject, time.Time{}))
		}
	}
}

// sensor gives the shop a sensor, and its token.
func (s *testShop) sensor(name string) (token string) {
	s.t.Helper()
	token, hash, err := access.NewToken()
	require.NoError(s.t, err)
	_, err = s.store.AddSensor(s.t.Context(), s.owner, name, hash)
	require.NoError(s.t, err)
	return token
}

// spray logs a coat on the piece's next step, some time ago.
func (s *testShop) spray(name string, m restoration.Material, number int, ago time.Duration) restoration.ID {
	s.t.Helper()
	p := s.piece(name)
	return s.log(restoration.Event{Kind: restoration.KindCoat, PieceID: p.ID, StepID: p.Sum.NextStep, PersonID: s.ada.ID, DeviceID: s.device.ID,
		At: s.clock().Add(-ago), Payload: restoration.Payload{Coat: &restoration.Coat{Number: number, Material: m.ID}, Checks: []string{restoration.CheckScuffed}}})
}

func (s *testShop) log(e restoration.Event) restoration.ID {
	s.t.Helper()
	var err error
	e.ID, err = restoration.ParseID(newID())
	require.NoError(s.t, err)
	out, err := s.store.Enter(s.t.Context(), []restoration.Event{e})
	require.NoError(s.t, err)
	require.Equal(s.t, restoration.Applied, out[0].Result, out[0].Reason)
	return e.ID
}

// cutReady brings a piece to its cut: four coats of clear in two sessions, hard by now.
func (s *testShop) cutReady(name string, clear restoration.Material) {
	s.t.Helper()
	s.advance(name, s.ada, 5)
	s.pass(48 * time.Hour)
	for i := range 4 {
		if i == 2 {
			s.pass(16 * time.Hour)
		}
		s.spray(name, clear, i+1, time.Duration(2-i%2)*15*time.Minute)
	}
	s.advance(name, s.ada, 1)
	s.pass(8 * 24 * time.Hour)
}

// filmForm takes every field of a form as it is drawn, as a browser would send it.
func filmForm(t *testing.T, body, action string, more url.Values) url.Values {
	t.Helper()
	_, form, ok := strings.Cut(body, `action="`+action+`"`)
	require.True(t, ok, "no form posts to %s", action)
	form, _, _ = strings.Cut(form, "</form>")
	v := url.Values{}
	attr := func(tag, name string) string {
		m := regexp.MustCompile(` ` + name + `="([^"]*)"`).FindStringSubmatch(tag)
		if m == nil {
			return ""
		}
		return m[1]
	}
	for _, tag := range regexp.MustCompile(`<input[^>]*>`).FindAllString(form, -1) {
		kind := attr(tag, "type")
		if (kind == "checkbox" || kind == "radio") && !strings.Contains(tag, " checked") {
			continue
		}
		v.Add(attr(tag, "name"), attr(tag, "value"))
	}
	for k, list := range more {
		v[k] = list
	}
	return v
}

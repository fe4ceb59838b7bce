package store_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/internal/store"
)

// useCase is a method of the store that changes something. Who did it and when must be
// found afterwards: in the audit under acts, or in the ledger where it has none.
type useCase struct {
	acts []restoration.Act
	do   func(t *testing.T, h house)
}

func changing() map[string]useCase {
	acts := func(a ...restoration.Act) []restoration.Act { return a }
	return map[string]useCase{
		"CreateOwner": {acts(restoration.ActCreateOwner), func(t *testing.T, h house) { t.Helper() }}, // every house begins with it
		"AddPerson":   {acts(restoration.ActAddPerson), func(t *testing.T, h house) { h.technician(t, "Tom") }},
		"RenamePerson": {acts(restoration.ActRenamePerson), func(t *testing.T, h house) {
			require.NoError(t, h.RenamePerson(t.Context(), h.by, h.technician(t, "Tom").ID, "Tom R."))
		}},
		"ChangeRole": {acts(restoration.ActChangeRole), func(t *testing.T, h house) {
			require.NoError(t, h.ChangeRole(t.Context(), h.by, h.technician(t, "Tom").ID, restoration.RoleOwner, "a hash", ""))
		}},
		"SetPIN": {acts(restoration.ActSetPIN), func(t *testing.T, h house) {
			require.NoError(t, h.SetPIN(t.Context(), h.by, h.technician(t, "Tom").ID, "another"))
		}},
		"SetPassword": {acts(restoration.ActSetPassword), func(t *testing.T, h house) {
			require.NoError(t, h.SetPassword(t.Context(), h.by, h.owner.ID, "another"))
		}},
		"RecordMiss": {acts(restoration.ActLockPerson), func(t *testing.T, h house) { h.lock(t, "Tom") }},
		"UnlockPerson": {acts(restoration.ActUnlockPerson), func(t *testing.T, h house) {
			require.NoError(t, h.UnlockPerson(t.Context(), h.by, h.lock(t, "Tom").ID))
		}},
		"RecordSignIn": {acts(restoration.ActSignIn), func(t *testing.T, h house) { require.NoError(t, h.RecordSignIn(t.Context(), h.owner.ID, 0)) }},
		"PersonLeft": {acts(restoration.ActPersonLeft), func(t *testing.T, h house) {
			require.NoError(t, h.PersonLeft(t.Context(), h.by, h.technician(t, "Tom").ID))
		}},
		"PersonBack": {acts(restoration.ActPersonLeft, restoration.ActPersonBack), func(t *testing.T, h house) {
			tom := h.technician(t, "Tom")
			require.NoError(t, h.PersonLeft(t.Context(), h.by, tom.ID))
			require.NoError(t, h.PersonBack(t.Context(), h.by, tom.ID))
		}},
		"AddDevice":   {acts(restoration.ActAddTablet), func(t *testing.T, h house) { h.tablet(t, "Booth") }},
		"EnrolDevice": {acts(restoration.ActEnrolTablet), func(t *testing.T, h house) { h.tablet(t, "Booth") }},
		"RevokeDevice": {acts(restoration.ActRevokeTablet), func(t *testing.T, h house) {
			require.NoError(t, h.RevokeDevice(t.Context(), h.by, h.tablet(t, "Booth").ID))
		}},
		"ReadmitDevice": {acts(restoration.ActReadmitTablet), func(t *testing.T, h house) {
			booth := h.tablet(t, "Booth")
			require.NoError(t, h.RevokeDevice(t.Context(), h.by, booth.ID))
			require.NoError(t, h.ReadmitDevice(t.Context(), h.by, booth.ID))
		}},
		"AddLink": {acts(restoration.ActAddLink), func(t *testing.T, h house) { h.link(t) }},
		"ChangeLink": {acts(restoration.ActChangeLink), func(t *testing.T, h house) {
			l := h.link(t)
			l.ShowHours = true
			require.NoError(t, h.ChangeLink(t.Context(), h.by, l))
		}},
		"RevokeLink": {acts(restoration.ActRevokeLink), func(t *testing.T, h house) { require.NoError(t, h.RevokeLink(t.Context(), h.by, h.link(t).ID)) }},
		"NewCar":     {acts(restoration.ActTakeInCar), func(t *testing.T, h house) { h.start(t, "26-014", "") }},
		"ImportCars": {acts(restoration.ActTakeInCar), func(t *testing.T, h house) {
			_, err := h.ImportCars(t.Context(), h.by, []restoration.Car{{Name: "1936 Brennick Eight"}})
			require.NoError(t, err)
		}},
		"EditCar": {acts(restoration.ActEditCar), func(t *testing.T, h house) {
			car, err := h.FindCarByID(t.Context(), h.start(t, "26-014", "").CarID)
			require.NoError(t, err)
			car.Customer = "Pell"
			require.NoError(t, h.EditCar(t.Context(), h.by, car))
		}},
		"EditPiece": {acts(restoration.ActEditPiece), func(t *testing.T, h house) {
			p := h.start(t, "26-014", "")
			p.Note = "Look at the lower edge."
			require.NoError(t, h.EditPiece(t.Context(), h.by, p.ID, p.Details, p.RouteID))
		}},
		"ChangePieces": {acts(restoration.ActEditPiece), func(t *testing.T, h house) {
			set := "dash"
			_, err := h.ChangePieces(t.Context(), h.by, []restoration.ID{h.start(t, "26-014", "").ID}, restoration.PieceChange{Set: &set})
			require.NoError(t, err)
		}},
		"GradeSteel": {acts(restoration.ActEditPiece), func(t *testing.T, h house) {
			require.NoError(t, h.GradeSteel(t.Context(), h.by, newID(), h.start(t, "26-014", "").ID, 5))
		}},
		"AddPieces": {nil, func(t *testing.T, h house) {
			car := h.car(t, "26-014", "1936 Brennick Eight", "")
			_, err := h.AddPieces(t.Context(), h.by, car.ID, []restoration.NewPiece{{Details: restoration.Details{Name: "Ash tray", Zone: restoration.ZoneFront,
				AreaM2: .1, BothM2: .2, Size: restoration.SizeMedium, Mounting: restoration.MountBench, Metal: "steel"}}})
			require.NoError(t, err)
		}},
		"OvertypePlan": {nil, func(t *testing.T, h house) {
			require.NoError(t, h.OvertypePlan(t.Context(), h.by, h.start(t, "26-014", "").Sum.NextStep, restoration.Hours3(1, 2, 3)))
		}},
		"CorrectTime": {nil, func(t *testing.T, h house) {
			e := h.tick(h.start(t, "26-014", "").Steps[0], 45)
			h.mustEnter(t, e)
			require.NoError(t, h.CorrectTime(t.Context(), h.by, restoration.TimeCorrection{ID: newID(), Ref: e.ID, Was: 45, Hours: 30, Reason: "lunch"}))
		}},
		"Enter": {nil, func(t *testing.T, h house) {
			p := h.start(t, "26-014", "")
			out, err := h.Enter(t.Context(), []restoration.Event{{ID: newID(), Kind: restoration.KindHold, PieceID: p.ID, PersonID: h.owner.ID,
				At: h.clock.Now(), Payload: restoration.Payload{Reason: "hinge pin to be found"}}})
			require.NoError(t, err)
			require.Equal(t, restoration.Applied, out[0].Result)
		}},
		"EnterReadings": {nil, func(t *testing.T, h house) {
			p := h.start(t, "26-014", "")
			out, err := h.EnterReadings(t.Context(), []restoration.Event{{ID: newID(), Kind: restoration.KindReading, PieceID: p.ID, PersonID: h.owner.ID,
				At: h.clock.Now(), Payload: restoration.Payload{Reading: &restoration.Reading{Kind: restoration.ReadFilm, FilmUM: []float64{120, 121, 122}}}}})
			require.NoError(t, err)
			require.Equal(t, restoration.Applied, out[0].Result)
		}},
		"SaveRoute": {acts(restoration.ActAddRoute, restoration.ActChangeRoute), func(t *testing.T, h house) {
			r := h.route(t, "Plain")
			r.Name = "Plainer"
			_, err := h.SaveRoute(t.Context(), h.by, r)
			require.NoError(t, err)
		}},
		"CopyRoute": {acts(restoration.ActAddRoute), func(t *testing.T, h house) {
			_, err := h.CopyRoute(t.Context(), h.by, h.stockRoute(t).ID)
			require.NoError(t, err)
		}},
		"OrderRoutes": {acts(restoration.ActOrderRoutes), func(t *testing.T, h house) {
			require.NoError(t, h.OrderRoutes(t.Context(), h.by, []int64{h.route(t, "Plain").ID, h.stockRoute(t).ID}))
		}},
		"RetireRoute": {acts(restoration.ActRetireRoute), func(t *testing.T, h house) {
			require.NoError(t, h.RetireRoute(t.Context(), h.by, h.route(t, "Plain").ID))
		}},
		"RestoreRoute": {acts(restoration.ActRestoreRoute), func(t *testing.T, h house) {
			r := h.route(t, "Plain")
			require.NoError(t, h.RetireRoute(t.Context(), h.by, r.ID))
			require.NoError(t, h.RestoreRoute(t.Context(), h.by, r.ID))
		}},
		"SaveSettings": {acts(restoration.ActChangeSettings), func(t *testing.T, h house) {
			s := restoration.StockSettings()
			s.ShopName = "Quill & Daughters"
			require.NoError(t, h.SaveSettings(t.Context(), h.by, s))
		}},
		"SaveMaterial": {acts(restoration.ActAddMaterial, restoration.ActChangeMaterial), func(t *testing.T, h house) {
			m := h.material(t, "Example clear, two-part")
			m.ID, m.Name, m.Revision = 0, "Clear of the shop", "2025"
			m, err := h.SaveMaterial(t.Context(), h.by, m)
			require.NoError(t, err)
			m.Revision = "2026"
			_, err = h.SaveMaterial(t.Context(), h.by, m)
			require.NoError(t, err)
		}},
		"RetireMaterial": {acts(restoration.ActRetireMaterial, restoration.ActRestoreMaterial), func(t *testing.T, h house) {
			m := h.material(t, "Example clear, two-part")
			require.NoError(t, h.RetireMaterial(t.Context(), h.by, m.ID, true))
			require.NoError(t, h.RetireMaterial(t.Context(), h.by, m.ID, false))
		}},
		"SaveLot": {acts(restoration.ActAddLot, restoration.ActChangeLot), func(t *testing.T, h house) {
			l := h.lot(t, h.material(t, "Example clear, two-part"), "C-1")
			l.Note = "half full when it came"
			_, err := h.SaveLot(t.Context(), h.by, l)
			require.NoError(t, err)
		}},
		"SaveScheme": {acts(restoration.ActSaveScheme), func(t *testing.T, h house) {
			_, err := h.SaveScheme(t.Context(), h.by, restoration.StockScheme(h.start(t, "26-014", "").CarID, ""))
			require.NoError(t, err)
		}},
		"DropScheme": {acts(restoration.ActDropScheme), func(t *testing.T, h house) { h.dropped(t) }},
		"RestoreScheme": {acts(restoration.ActRestoreScheme), func(t *testing.T, h house) {
			v := h.dropped(t)
			_, err := h.RestoreScheme(t.Context(), h.by, v.CarID, v.Name)
			require.NoError(t, err)
		}},
		"SeeCautions": {acts(restoration.ActReadCautions), func(t *testing.T, h house) {
			require.NoError(t, h.SeeCautions(t.Context(), h.by, "Cleared", time.Time{}))
		}},
		"LetGo": {acts(restoration.ActLetGo), func(t *testing.T, h house) {
			id := restoration.ID(uuid.Must(uuid.NewV7()))
			require.NoError(t, h.LetGo(t.Context(), h.by, id, "Ash tray: Done"))
		}},
		"AddSensor": {acts(restoration.ActAddSensor), func(t *testing.T, h house) { h.sensor(t, "Booth") }},
		"RevokeSensor": {acts(restoration.ActRevokeSensor), func(t *testing.T, h house) {
			require.NoError(t, h.RevokeSensor(t.Context(), h.by, h.sensor(t, "Booth").ID))
		}},
		"ReadmitSensor": {acts(restoration.ActReadmitSensor), func(t *testing.T, h house) {
			booth := h.sensor(t, "Booth")
			require.NoError(t, h.RevokeSensor(t.Context(), h.by, booth.ID))
			require.NoError(t, h.ReadmitSensor(t.Context(), h.by, booth.ID))
		}},
		"AddPlace": {acts(restoration.ActAddPlace), func(t *testing.T, h house) { h.place(t, "Rack A", 2) }},
		"EditPlace": {acts(restoration.ActChangePlace), func(t *testing.T, h house) {
			p := h.place(t, "Rack A", 2)
			p.Holds = 4
			require.NoError(t, h.EditPlace(t.Context(), h.by, p))
		}},
		"RetirePlace": {acts(restoration.ActRetirePlace), func(t *testing.T, h house) {
			require.NoError(t, h.RetirePlace(t.Context(), h.by, h.place(t, "Rack A", 2).ID))
		}},
		"RestorePlace": {acts(restoration.ActRestorePlace), func(t *testing.T, h house) {
			p := h.place(t, "Rack A", 2)
			require.NoError(t, h.RetirePlace(t.Context(), h.by, p.ID))
			require.NoError(t, h.RestorePlace(t.Context(), h.by, p.ID))
		}},
		"SayFit":         {acts(restoration.ActSayFit), func(t *testing.T, h house) { h.fit(t, h.place(t, "Rack A", 2), true) }},
		"AddCertificate": {acts(restoration.ActAddCertificate), func(t *testing.T, h house) { h.certificate(t) }},
		"DropCertificate": {acts(restoration.ActDropCertificate), func(t *testing.T, h house) {
			require.NoError(t, h.DropCertificate(t.Context(), h.by, h.certificate(t).ID))
		}},
		"EnterPhoto": {nil, func(t *testing.T, h house) { h.photo(t, h.start(t, "26-014", "").ID) }},
		"ShowPhoto": {acts(restoration.ActShowPhoto, restoration.ActHidePhoto), func(t *testing.T, h house) {
			id := h.photo(t, h.start(t, "26-014", "").ID).ID
			require.NoError(t, h.ShowPhoto(t.Context(), h.by, id, true))
			require.NoError(t, h.ShowPhoto(t.Context(), h.by, id, false))
		}},
		"RemovePhoto": {acts(restoration.ActRemovePhoto), func(t *testing.T, h house) {
			require.NoError(t, h.RemovePhoto(t.Context(), h.by, h.photo(t, h.start(t, "26-014", "").ID).ID))
		}},
		"RestorePhoto": {acts(restoration.ActRemovePhoto, restoration.ActRestorePhoto), func(t *testing.T, h house) {
			id := h.photo(t, h.start(t, "26-014", "").ID).ID
			require.NoError(t, h.RemovePhoto(t.Context(), h.by, id))
			require.NoError(t, h.RestorePhoto(t.Context(), h.by, id))
		}},
	}
}

// notChanging are the methods that change nothing that a person answers for: they
// look, serve the program itself, count a view, or keep what a sensor sends. One that
// is called Find, or lists work or film, looks.
var notChanging = []string{"Audit", "Backup", "BenchPeople", "BothTicked", "CarPieces", "CarRoll", "CautionsSeen", "Certificates", "Changes", "Close", "CopyPieces",
	"DefectRows", "Devices", "DroppedSchemes", "Export", "FinishedKeys", "History", "LastChanges", "LatestAir", "Links", "ListCars", "LookAgain", "LotUsage", "Lots", "Lying", "LyingAt", "Materials", "MixedPieces",
	"OpenLink", "Overrides", "OwnerExists", "PINHash", "People", "Photos", "ReadingIDs", "PlaceFits", "PlaceUses", "Places", "Ready", "RecordAir", "RemovedPieces", "RetiredRoutes",
	"Roll", "Routes", "Schemes", "Search", "SeedHouse", "Sensors", "Sessions", "Settings", "SprayKeys", "TimeSheet", "Timers", "UsageRows", "Verify"}

func looks(method string) bool {
	return strings.HasPrefix(method, "Find") || strings.Contains(method, "Work") || strings.Contains(method, "Film") || slices.Contains(notChanging, method)
}

// Every method of the store is known here: one that changes something leaves behind
// who did it and when.
func TestEveryChangeSaysWhoAndWhen(t *testing.T) {
	t.Parallel()
	cases := changing()
	for method := range reflect.TypeFor[*store.Store]().Methods() {
		c, changes := cases[method.Name]
		if !changes {
			require.True(t, looks(method.Name), "does %s change something? Then say here where it is kept who did it", method.Name)
			continue
		}
		delete(cases, method.Name)
		t.Run(method.Name, func(t *testing.T) {
			t.Parallel()
			h := newHouse(t)
			c.do(t, h)
			for _, act := range c.acts {
				rows, err := h.Audit(t.Context(), restoration.AuditFilter{Acts: []restoration.Act{act}})
				require.NoError(t, err)
				require.NotEmpty(t, rows, act)
				require.Equal(t, h.clock.Now(), rows[0].At)
				if act != restoration.ActLockPerson { // the program does that
					require.NotEmpty(t, rows[0].Person+rows[0].Device, act)
				}
			}
			if c.acts == nil {
				entries, err := h.History(t.Context(), restoration.HistoryFilter{Limit: 1})
				require.NoError(t, err)
				require.Equal(t, h.owner.Name, entries[0].Person)
				require.Equal(t, h.clock.Now(), entries[0].Event.At)
			}
		})
	}
	require.Empty(t, cases, "no such method")
}

// Every act has words and a kind, and is found by that kind.
func TestEveryActIsFoundByItsKind(t *testing.T) {
	t.Parallel()
	var all []restoration.Act
	for _, k := range restoration.AuditKinds() {
		require.NotEmpty(t, k.Acts(), k)
		all = append(all, k.Acts()...)
	}
	for _, c := range changing() {
		for _, act := range c.acts {
			require.Contains(t, all, act)
			words, _ := act.Words()
			require.NotEqual(t, string(act), words, "an act is said in words, not by its key")
		}
	}
	require.Empty(t, restoration.AuditKind("witchcraft").Acts())
	require.NotContains(t, restoration.AuditKind("").Acts(), restoration.ActSignIn)
}

func TestAuditOfOnePersonAndKind(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	tom := h.technician(t, "Tom")
	require.NoError(t, h.RecordSignIn(t.Context(), tom.ID, h.tablet(t, "Booth").ID))
	subjects := func(f restoration.AuditFilter) (said []string) {
		rows, err := h.Audit(t.Context(), f)
		require.NoError(t, err)
		for _, r := range rows {
			said = append(said, string(r.Act)+" "+r.Subject)
		}
		return said
	}
	require.Equal(t, []string{"sign in Tom"}, subjects(restoration.AuditFilter{PersonID: tom.ID}))
	require.Equal(t, []string{"add person Tom", "create owner Olga Reuter"},
		subjects(restoration.AuditFilter{PersonID: h.owner.ID, Acts: restoration.AuditPeople.Acts()}))
	require.Equal(t, []string{"enrol tablet Booth", "add tablet Booth"}, subjects(restoration.AuditFilter{Acts: restoration.AuditTablets.Acts()}))
	require.Empty(t, subjects(restoration.AuditFilter{PersonID: tom.ID, Acts: restoration.AuditTablets.Acts()}))
}

// lock locks a new technician by wrong PINs.
func (h house) lock(t testing.TB, name string) restoration.Person {
	t.Helper()
	p := h.technician(t, name)
	for range restoration.MaxMisses {
		_, err := h.RecordMiss(t.Context(), p.ID)
		require.NoError(t, err)
	}
	return p
}

func (h house) link(t testing.TB) restoration.Link {
	t.Helper()
	car := h.car(t, "26-014", "1936 Brennick Eight", "")
	l, err := h.AddLink(t.Context(), h.by, restoration.Link{CarID: car.ID, ExpiresAt: h.clock.Now().Add(time.Hour)}, access.HashToken("a token"))
	require.NoError(t, err)
	return l
}

func (h house) stockRoute(t testing.TB) restoration.Route {
	t.Helper()
	r, err := h.FindRouteByName(t.Context(), "")
	require.NoError(t, err)
	return r
}

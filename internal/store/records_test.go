package store_test

import (
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/internal/store/storetest"
	"scumble/migrations"
)

func (h house) certificate(t testing.TB) restoration.Certificate {
	t.Helper()
	c, err := h.AddCertificate(t.Context(), h.by, restoration.Certificate{PersonID: h.technician(t, "Tom").ID, Kind: "Fit test",
		DoneOn: time.Date(2026, 1, 15, 0, 0, 0, 0, time.UTC)})
	require.NoError(t, err)
	return c
}

func TestACertificateFromFirstToLast(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	tom := h.technician(t, "Tom")
	day := func(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }
	want := restoration.Certificate{PersonID: tom.ID, Kind: "Respirator fit test", DoneOn: day(2026, 1, 15), ValidUntil: day(2027, 1, 15), Note: "full\x00 mask"}
	made, err := h.AddCertificate(ctx, h.by, want)
	require.NoError(t, err)
	want.ID, want.Person, want.Note = made.ID, "Tom", "full mask"
	require.Equal(t, want, made)
	lasting, err := h.AddCertificate(ctx, h.by, restoration.Certificate{PersonID: h.owner.ID, Kind: "Fire warden", DoneOn: day(2025, 5, 1)})
	require.NoError(t, err)
	list, err := h.Certificates(ctx)
	require.NoError(t, err)
	require.Equal(t, []restoration.Certificate{lasting, want}, list)

	_, err = h.AddCertificate(ctx, h.by, restoration.Certificate{PersonID: tom.ID, Kind: "Fit test", DoneOn: day(2026, 1, 15), ValidUntil: day(2026, 1, 14)})
	requireTrouble(t, err, restoration.TroubleInvalid, "until", "run out before")
	_, err = h.AddCertificate(ctx, h.by, restoration.Certificate{PersonID: 4711, Kind: "Fit test", DoneOn: day(2026, 1, 15)})
	requireTrouble(t, err, restoration.TroubleNotFound, "person", "no such person")

	require.NoError(t, h.DropCertificate(ctx, h.by, want.ID))
	requireTrouble(t, h.DropCertificate(ctx, h.by, want.ID), restoration.TroubleNotFound, "", "no such certificate")
	rows, err := h.Audit(ctx, restoration.AuditFilter{Acts: []restoration.Act{restoration.ActDropCertificate}})
	require.NoError(t, err)
	require.Contains(t, rows[0].Before, "Respirator fit test", "the audit still tells of it")
	require.NoError(t, h.PersonLeft(ctx, h.by, tom.ID))
	list, err = h.Certificates(ctx)
	require.NoError(t, err)
	require.Equal(t, []restoration.Certificate{lasting}, list)
}

// Coats of 63 mL of a 420 g/L clear: 26.46 g each. Of the 63 mL, 40 come from the tin.
func TestUsageIsKeptByCoatAndByTin(t *testing.T) {
	t.Parallel()
	s, ctx := newPaintShop(t), t.Context()
	from := s.clock.Now()
	struck := s.coat(3)
	struck.Reason = "one coat too many"
	s.mustEnter(t, s.coat(1), s.coat(2), struck)
	s.mustEnter(t, s.strike(struck.ID))
	until := s.clock.Now().Add(time.Second)

	rows, err := s.UsageRows(ctx, from, until)
	require.NoError(t, err)
	one := restoration.Sprayed{At: from, CarID: s.piece.CarID, WorkOrder: "26-001", Car: "1936 Brennick Eight", Material: s.clear.ID, Name: s.clear.Name, Kind: coating.Clear2K, ML: 63, VOCGramsPerL: 420}
	require.Equal(t, []restoration.Sprayed{one, one}, rows, "what was struck out was never sprayed")
	sum := restoration.UsageByMonth(rows, time.UTC)
	require.Len(t, sum, 1)
	require.InDelta(t, 2*26.46, sum[0].VOCGrams, 1e-9)

	sheet := s.clear
	sheet.VOCGramsPerL = 250
	_, err = s.SaveMaterial(ctx, s.by, sheet)
	require.NoError(t, err)
	again, err := s.UsageRows(ctx, from, until)
	require.NoError(t, err)
	require.Equal(t, rows, again, "a later sheet doesn't change what was sprayed before")

	tins, err := s.LotUsage(ctx, from, until)
	require.NoError(t, err)
	require.Len(t, tins, 1)
	require.InDelta(t, 80, tins[0].ML, 1e-9)
	tins[0].ML = 0
	month := time.Date(from.Year(), from.Month(), 1, 0, 0, 0, 0, time.UTC)
	require.Equal(t, restoration.TinUse{Month: month, Kind: coating.Clear2K, Material: s.clear.Name, Part: 0, PartName: "clear", Lot: s.tin.ID, Number: "C-1"}, tins[0])

	for _, empty := range [][2]time.Time{{from.Add(-time.Hour), from}, {until, until.Add(time.Hour)}} {
		rows, err = s.UsageRows(ctx, empty[0], empty[1])
		require.NoError(t, err)
		require.Empty(t, rows)
		tins, err = s.LotUsage(ctx, empty[0], empty[1])
		require.NoError(t, err)
		require.Empty(t, tins)
	}
}

func TestDefectsTellWhoAndWhat(t *testing.T) {
	t.Parallel()
	s, ctx := newPaintShop(t), t.Context()
	tom := s.technician(t, "Tom")
	from := s.clock.Now()
	s.mustEnter(t, s.coat(1))
	done := s.tick(s.step, 60)
	done.PersonID = tom.ID
	s.mustEnter(t, done)
	s.clock.advance(time.Hour)
	back := s.sendBack("cleared", "pop")
	back.Hours = new(restoration.Minutes(90))
	s.mustEnter(t, back)
	s.clock.advance(time.Hour)
	s.mustEnter(t, s.sendBack("grounded", "colour-off")) // made when it was grounded, not cleared
	s.clock.advance(time.Hour)
	rows, err := s.DefectRows(ctx, from, s.clock.Now())
	require.NoError(t, err)
	require.Len(t, rows, 2)
	require.Equal(t, restoration.DefectRow{At: from.Add(time.Hour), PieceID: s.piece.ID, Piece: s.piece.Title(), Car: "26-001", Defect: "pop", Found: "Cleared", Back: "Cleared", Material: s.clear.Name,
		PersonID: tom.ID, Person: "Tom", Hours: 90}, rows[0])
	require.Equal(t, []any{"colour-off", "Grounded", "", s.owner.ID}, []any{rows[1].Defect, rows[1].Back, rows[1].Material, rows[1].PersonID})
	require.Equal(t, s.rework(t, 3), rows[0].Hours+rows[1].Hours, "what the rework was planned to take; the clear waits from the first")
	rows, err = s.DefectRows(ctx, from, from.Add(time.Hour))
	require.NoError(t, err)
	require.Empty(t, rows)
	s.requireSound(t)
}

// A cut-through goes back to the grain, but it is the work of who was cutting, whose step
// is not done yet.
func TestADefectIsOfWhoMadeIt(t *testing.T) {
	t.Parallel()
	s, ctx := newPaintShop(t), t.Context()
	tom := s.technician(t, "Tom")
	from := s.clock.Now()
	s.mustEnter(t, s.coat(1))
	s.mustEnter(t, s.tick(s.step, 60))
	cut := s.house.piece(t, s.piece.ID).Sum.NextStep
	pass := s.entry(restoration.KindCutPass, cut)
	pass.PersonID, pass.Cut, pass.Reason = tom.ID, &restoration.CutPass{Grade: "P800", Wet: true}, "it felt dry"
	s.mustEnter(t, pass)
	s.mustEnter(t, s.sendBack("grained", "cut-through"))
	rows, err := s.DefectRows(ctx, from, s.clock.Now().Add(time.Minute))
	require.NoError(t, err)
	require.Len(t, rows, 1)
	require.Equal(t, []any{tom.ID, "Tom", "Grained"}, []any{rows[0].PersonID, rows[0].Person, rows[0].Back})
}

func TestADefectThatMakesTheNextStageDearerCostsToo(t *testing.T) {
	t.Parallel()
	s, ctx := newPaintShop(t), t.Context()
	from := s.clock.Now()
	s.mustEnter(t, s.coat(1))
	s.mustEnter(t, s.tick(s.step, 60))
	s.mustEnter(t, s.sendBack("cut", "run"))
	rows, err := s.DefectRows(ctx, from, s.clock.Now().Add(time.Minute))
	require.NoError(t, err)
	require.Len(t, rows, 1)
	d, _ := restoration.FindDefect("run")
	require.Equal(t, d.HoursFor(s.piece.Size).Likely, rows[0].Hours)
	require.True(t, rows[0].NoRework)
	entries := s.history(t, restoration.HistoryFilter{PieceID: s.piece.ID, Limit: 1})
	require.Equal(t, "Sent back to cut: run; the stage had not been done: no rework", restoration.Words(entries[0], restoration.Metric))
	s.requireSound(t)
}

// A stage that is still to be done again when the piece goes back is rework all the same:
// the second send-back makes it dearer by what its defect costs, and its mark is kept, also
// by the migration of a shop that had lost it.
func TestADefectFoundBeforeTheReworkIsDone(t *testing.T) {
	t.Parallel()
	url, ctx := storetest.URL(t), t.Context()
	s := paint(t, houseAt(t, url))
	from := s.clock.Now()
	s.mustEnter(t, s.coat(1))
	s.mustEnter(t, s.tick(s.step, 60))
	s.mustEnter(t, s.sendBack("cleared", "pop"))
	next := s.house.piece(t, s.piece.ID)
	s.mustEnter(t, s.entry(restoration.KindStart, next.Sum.NextStep))
	s.clock.advance(time.Minute)
	s.mustEnter(t, s.sendBack("cleared", "pop"))
	rows, err := s.DefectRows(ctx, from, s.clock.Now().Add(time.Minute))
	require.NoError(t, err)
	require.Len(t, rows, 2)
	require.Equal(t, []bool{false, false}, []bool{rows[0].NoRework, rows[1].NoRework})
	require.Equal(t, s.rework(t, 2), rows[0].Hours)
	require.Equal(t, s.rework(t, 3), rows[0].Hours+rows[1].Hours)
	s.requireSound(t)

	super := storetest.Superuser(t, url)
	_, err = super.Exec(ctx, `UPDATE finish_steps SET rework = false WHERE pass = 3`)
	require.NoError(t, err)
	differences, err := s.Verify(ctx)
	require.NoError(t, err)
	require.NotEmpty(t, differences)
	migrated(t, super, "000015_rework_carried.up.sql")
	s.requireSound(t)
}

// What a second defect costs are the steps that had been done again by then, not those
// that the first had made rework and that still wait.
func TestADefectCountsNoReworkThatWaits(t *testing.T) {
	t.Parallel()
	s, ctx := newPaintShop(t), t.Context()
	from := s.clock.Now()
	s.mustEnter(t, s.coat(1))
	s.mustEnter(t, s.tick(s.step, 60))
	s.mustEnter(t, s.sendBack("grained", "cut-through"))
	s.clock.advance(time.Minute)
	s.mustEnter(t, s.tick(stepOf(s.house.piece(t, s.piece.ID), "grained"), 60))
	s.clock.advance(time.Minute)
	s.mustEnter(t, s.sendBack("grained", "cut-through"))
	grained, cleared := stepOf(s.house.piece(t, s.piece.ID), "grained"), stepOf(s.house.piece(t, s.piece.ID), "cleared")
	require.True(t, grained.Rework && cleared.Rework)
	rows, err := s.DefectRows(ctx, from, s.clock.Now().Add(time.Minute))
	require.NoError(t, err)
	require.Len(t, rows, 2)
	require.Equal(t, []restoration.Minutes{s.rework(t, 2), grained.Planned.Likely}, []restoration.Minutes{rows[0].Hours, rows[1].Hours})
	require.Equal(t, []string{"Cleared", "Grained"}, []string{rows[0].Found, rows[1].Found}, "what had been reached then")
	s.requireSound(t)
}

// rework adds up what is planned to be done again in a pass.
func (s paintShop) rework(t testing.TB, pass int) (sum restoration.Minutes) {
	t.Helper()
	for _, step := range s.house.piece(t, s.piece.ID).Steps {
		if step.Pass == pass && step.Rework {
			sum += step.Planned.Likely
		}
	}
	require.NotZero(t, sum)
	return sum
}

// The pass that roughened a coat comes with the key, and the window that it answers.
func TestSprayKeysTellTheWindowAndTheSanding(t *testing.T) {
	t.Parallel()
	s := newPaintShop(t)
	key := func() restoration.SprayKey {
		shop, err := s.SprayKeys(t.Context())
		require.NoError(t, err)
		require.Len(t, shop.Keys, 1)
		return shop.Keys[0]
	}
	s.mustEnter(t, s.coat(1))
	coated := s.clock.Now()
	s.clock.advance(8 * 24 * time.Hour)
	k := key()
	require.NotZero(t, k.MaxRecoat)
	require.Equal(t, coated, k.CoatedAt)
	require.Zero(t, k.SandedAt)
	s.mustEnter(t, s.pass("P800"))
	sanded := s.clock.Now()
	s.clock.advance(time.Minute)
	require.Equal(t, sanded, key().SandedAt)
	require.Equal(t, "P800", key().Grade)
	s.requireKey(t, key())
}

// The session is what was sprayed since the last gap of over six hours; clear that a gauge
// finds under a later pass was kept.
func TestSprayKeysTellTheSessionAndTheClearThatWasKept(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	s := paint(t, houseAt(t, url))
	key := func() restoration.SprayKey {
		shop, err := s.SprayKeys(t.Context())
		require.NoError(t, err)
		require.Len(t, shop.Keys, 1)
		return shop.Keys[0]
	}
	dry, err := s.clear.DryUM()
	require.NoError(t, err)
	s.mustEnter(t, s.reading(restoration.Reading{Kind: restoration.ReadFilm, Spot: "A", Baseline: true, FilmUM: []float64{100, 100, 100}}))
	require.Zero(t, key().SessionUM)
	for n, ago := range []time.Duration{time.Hour, 20 * time.Hour, time.Hour} {
		s.clock.advance(ago)
		s.mustEnter(t, s.coat(n+1))
	}
	require.InDelta(t, 2*dry.Likely, key().SessionUM, 1e-9)
	s.mustEnter(t, s.reading(restoration.Reading{Kind: restoration.ReadFilm, Spot: "A", FilmUM: []float64{290, 290, 290}}))
	require.Zero(t, key().KeptUM, "all of it is of this pass")

	s.clock.advance(48 * time.Hour)
	s.mustEnter(t, s.tick(stepOf(s.house.piece(t, s.piece.ID), "cleared"), 60))
	s.requireSound(t)
	s.mustEnter(t, s.entry(restoration.KindUntick, stepOf(s.house.piece(t, s.piece.ID), "cleared").ID))
	require.Equal(t, 3, key().Coats, "undone, its coats are on it again")
	s.requireSound(t)
	s.mustEnter(t, s.tick(stepOf(s.house.piece(t, s.piece.ID), "cleared"), 60))
	s.mustEnter(t, s.sendBack("cleared", "pop"))
	s.mustEnter(t, s.reading(restoration.Reading{Kind: restoration.ReadFilm, Spot: "A", FilmUM: []float64{160, 160, 160}}))
	k := key()
	require.InDelta(t, 60, k.KeptUM, 1e-9)
	require.NotZero(t, k.KeptAt)
	s.requireKey(t, k)
	require.Zero(t, k.SessionUM, "of the step that was superseded")
	s.requireKeptAnew(t, url, k)
	coat := s.coat(1)
	coat.StepID, coat.Checks = k.StepID, []string{restoration.CheckScuffed}
	s.clock.advance(time.Hour)
	s.mustEnter(t, coat)
	require.InDelta(t, 60, key().KeptUM, 1e-9, "the new coat was not kept, it is new")
	require.InDelta(t, dry.Likely, key().SessionUM, 1e-9)
	s.requireKey(t, key())
	s.requireSound(t)
	pass := s.pass("P600")
	pass.StepID, pass.Reason = k.StepID, "flatted wet"
	s.mustEnter(t, pass)
	require.Equal(t, "P600", key().Grade)
	require.NotZero(t, key().CoatedAt)
	s.requireKeptAnew(t, url, key())
}

// migrated runs migrations over again, by name.
func migrated(t testing.TB, super *pgx.Conn, names ...string) {
	t.Helper()
	for _, name := range names {
		sql, err := migrations.FS.ReadFile(name)
		require.NoError(t, err)
		_, err = super.Exec(t.Context(), string(sql))
		require.NoError(t, err)
	}
}

// requireKeptAnew: what the migration works out of the rows of an older shop is what was kept.
func (s paintShop) requireKeptAnew(t *testing.T, url string, want restoration.SprayKey) {
	t.Helper()
	migrated(t, storetest.Superuser(t, url), "000013_tin_used.down.sql", "000011_film_kept.down.sql", "000011_film_kept.up.sql", "000013_tin_used.up.sql")
	s.requireSound(t)
	shop, err := s.SprayKeys(t.Context())
	require.NoError(t, err)
	require.Equal(t, want, shop.Keys[0])
}

// requireKey: what is read of a piece for the whole shop is what its own deeds tell.
func (s paintShop) requireKey(t *testing.T, k restoration.SprayKey) {
	t.Helper()
	scene, err := s.FilmScene(t.Context(), k.PieceID)
	require.NoError(t, err)
	p := s.house.piece(t, k.PieceID)
	require.Equal(t, restoration.SprayKeyOf(p, s.stockRoute(t), k.Car, scene.Deeds), k)
}

func TestSprayKeysAreThePiecesToSpray(t *testing.T) {
	t.Parallel()
	s, ctx := newPaintShop(t), t.Context()
	toStrip := s.onePiece(t, "")
	toPrime := s.upTo(t, s.onePiece(t, "").ID, restoration.LookPrimed)
	v := restoration.StockScheme(s.piece.CarID, "Burr")
	_, err := s.SaveScheme(ctx, s.by, v)
	require.NoError(t, err)
	s.mustEnter(t, s.coat(1), s.coat(2))
	s.air(t, s.sensor(t, "Booth").ID, s.clock.Now(), 24, 50)

	shop, err := s.SprayKeys(ctx)
	require.NoError(t, err)
	keys := map[restoration.ID]restoration.SprayKey{}
	for _, k := range shop.Keys {
		keys[k.PieceID] = k
	}
	require.NotContains(t, keys, toStrip.ID)
	some, err := s.SprayKeys(ctx, toPrime.ID, toStrip.ID)
	require.NoError(t, err)
	require.Equal(t, []restoration.SprayKey{keys[toPrime.ID]}, some.Keys)
	require.Len(t, keys, 2)
	require.Equal(t, "primed", keys[toPrime.ID].Stage)
	require.Zero(t, keys[toPrime.ID].Coats)
	key := keys[s.piece.ID]
	require.Equal(t, s.piece.CarID, key.Car.ID)
	key.Car = nil
	waits := stepOf(s.house.piece(t, s.piece.ID), "cleared").CoatWaits
	require.NotZero(t, waits.Sand)
	dry, err := s.clear.DryUM()
	require.NoError(t, err)
	require.Equal(t, restoration.SprayKey{PieceID: s.piece.ID, StepID: s.step.ID, RouteID: s.piece.RouteID, Label: s.piece.Label, Title: "Ash tray",
		Size: restoration.SizeMedium, AreaM2: .1, BothM2: .2, Stage: "cleared", Look: s.piece.Sum.Look, Coats: 2, CoatedAt: s.clock.Now(), MaxRecoat: waits.MaxRecoat, Sand: waits.Sand, SessionUM: 2 * dry.Likely, GateFrom: s.piece.Sum.GateFrom,
		LateFrom: s.piece.Sum.LateFrom}, key)
	require.Contains(t, shop.Routes, s.piece.RouteID)
	require.Equal(t, "Burr", shop.Schemes[restoration.SchemeKey{CarID: s.piece.CarID, Name: "burr"}].Name)
	require.Len(t, shop.Materials, len(coating.Examples()))
	require.Len(t, shop.Lots, 1)
	require.InDelta(t, 24, shop.TempC, 0)
	require.Equal(t, restoration.StockFilm(), shop.Film)
}

package store_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

// searchedShop is a shop of three cars, one of them delivered, and the label of the
// ash tray of the first.
func searchedShop(t *testing.T) (h house, label string) {
	t.Helper()
	h, ctx := newHouse(t), t.Context()
	eight := h.car(t, "26-014", "1936 Brennick Eight", "Zoë Šimůnková", "Ash tray", "Door cap left", "Door cap right", "Glove box door", "A dashboard")
	h.car(t, "25-140", "1938 Ostrava Coupé", "Ira 100%", "Door cap", "Under_dash rail")
	old := h.car(t, "24-014", "1934 Brennick Six", "", "Door cap of old")
	for _, k := range []restoration.Kind{restoration.KindCarStart, restoration.KindCarDeliver} {
		_, err := h.Enter(ctx, []restoration.Event{{ID: restoration.ID{1}.Derive(string(k)), Kind: k, CarID: old.ID, At: h.clock.Now(), PersonID: h.owner.ID, Payload: restoration.Payload{Reason: "Given back as it is."}}})
		require.NoError(t, err)
	}
	delivered, err := h.FindCarByID(ctx, old.ID)
	require.NoError(t, err)
	require.Equal(t, restoration.CarDelivered, delivered.State)
	pieces, err := h.CarPieces(ctx, eight.ID)
	require.NoError(t, err)
	for _, p := range pieces {
		if p.Name == "Ash tray" {
			label = p.Label
		}
	}
	return h, label
}

func TestSearch(t *testing.T) {
	t.Parallel()
	h, label := searchedShop(t)
	ctx := t.Context()
	for name, c := range map[string]struct {
		q    string
		want []string
	}{
		"nothing":                      {" \t", nil},
		"a whole work order":           {"26-014", []string{"26-014"}},
		"a part of one, open first":    {"014", []string{"26-014", "24-014"}},
		"a year":                       {"25-", []string{"25-140"}},
		"a car":                        {"brenn", []string{"26-014", "24-014"}},
		"two words of a car":           {"eight 1936", []string{"26-014"}},
		"accents":                      {"coupe", []string{"25-140"}},
		"more accents":                 {"COUPÉ", []string{"25-140"}},
		"a combining accent":           {"coupe\u0301", []string{"25-140"}},
		"a customer":                   {"simunkova", []string{"26-014"}},
		"a percent sign is a sign":     {"%", []string{"25-140"}},
		"an underline is a sign":       {"r_d", []string{"25-140 Under_dash rail"}},
		"a backslash is a sign":        {`\`, nil},
		"pieces, delivered last":       {"door", []string{"26-014 Door cap left", "26-014 Door cap right", "26-014 Glove box door", "25-140 Door cap", "24-014 Door cap of old"}},
		"beginnings of words first":    {"ash", []string{"26-014 Ash tray", "26-014 A dashboard", "25-140 Under_dash rail"}},
		"a piece of one car":           {"door brennick eight", []string{"26-014 Door cap left", "26-014 Door cap right", "26-014 Glove box door"}},
		"middles of words":             {"ray", []string{"26-014 Ash tray"}},
		"a label":                      {label, []string{"26-014 Ash tray"}},
		"a label as a person types it": {strings.ToLower(label[:2] + " " + label[2:]), []string{"26-014 Ash tray"}},
		"SQL":                          {`' OR 1=1 --`, nil},
	} {
		t.Run(name, func(t *testing.T) {
			hits, err := h.Search(ctx, c.q, 0)
			require.NoError(t, err)
			require.Equal(t, c.want, found(hits))
		})
	}

	hits, err := h.Search(ctx, "door", 2)
	require.NoError(t, err)
	require.Len(t, hits, 2)
	hits, err = h.Search(ctx, label, 1)
	require.NoError(t, err)
	require.Equal(t, restoration.Hit{WorkOrder: "26-014", Car: "1936 Brennick Eight", Customer: "Zoë Šimůnková", PieceID: hits[0].PieceID,
		Piece: "Ash tray", Label: label, Zone: restoration.ZoneFront}, hits[0])
}

func found(hits []restoration.Hit) (out []string) {
	for _, h := range hits {
		out = append(out, strings.TrimSpace(h.WorkOrder+" "+h.Piece))
	}
	return out
}

func TestAWholeWorkOrderGoesBeforeAnOpenCarThatHoldsIt(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	h.car(t, "26-014", "1936 Brennick Eight", "")
	h.car(t, "26-0145", "1938 Ostrava Six", "")
	hits, err := h.Search(t.Context(), "26-014", 0)
	require.NoError(t, err)
	require.Equal(t, []string{"26-014", "26-0145"}, found(hits), "though the higher work order comes first elsewhere")
}

func TestASideIsAWordOfItsPiece(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	car := h.car(t, "26-014", "1936 Brennick Eight", "")
	left, right := aPiece("Door capping"), aPiece("Door capping")
	right.Side, right.Zone = restoration.SideRight, restoration.ZoneRight
	_, err := h.AddPieces(ctx, h.by, car.ID, []restoration.NewPiece{left, right})
	require.NoError(t, err)
	both, err := h.Search(ctx, "capping", 0)
	require.NoError(t, err)
	require.Len(t, both, 2)
	hits, err := h.Search(ctx, "capping right", 0)
	require.NoError(t, err)
	require.Len(t, hits, 1)
	require.Equal(t, "Door capping, right", hits[0].Title())
	require.Equal(t, "Door capping, left", h.history(t, restoration.HistoryFilter{PieceID: both[0].PieceID})[0].Piece, "the ledger names the side too")
}

func TestRemovedPiecesAreNotFound(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	car := h.car(t, "26-014", "1936 Brennick Eight", "", "Ash tray", "Ash tray lid")
	pieces, err := h.CarPieces(ctx, car.ID)
	require.NoError(t, err)
	out, err := h.Enter(ctx, []restoration.Event{{ID: restoration.ID{2}.Derive("remove"), Kind: restoration.KindRemove, CarID: car.ID,
		PieceID: pieces[0].ID, At: h.clock.Now(), PersonID: h.owner.ID, Payload: restoration.Payload{Reason: "Not of this car."}}})
	require.NoError(t, err)
	require.Equal(t, restoration.Applied, out[0].Result, out[0].Reason)
	for _, q := range []string{"ash", pieces[0].Label} {
		hits, err := h.Search(ctx, q, 0)
		require.NoError(t, err)
		for _, hit := range hits {
			require.NotEqual(t, pieces[0].ID, hit.PieceID)
		}
	}
}

// BenchmarkSearch looks through 200 cars of 60 pieces.
func BenchmarkSearch(b *testing.B) {
	url := storetest.URL(b)
	fillShop(b, storetest.Superuser(b, url), 200, 60)
	s := storetest.Open(b, url, store.Options{})
	for _, q := range []string{"26-0123", "door", "zoë", "p 17 brennick", "nowhere"} {
		b.Run(q, func(b *testing.B) {
			for b.Loop() {
				if _, err := s.Search(context.Background(), q, 20); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// fillShop writes cars and pieces past the ledger, which only a search won't miss.
func fillShop(b *testing.B, conn *pgx.Conn, cars, pieces int) {
	b.Helper()
	_, err := conn.Exec(b.Context(), `
		INSERT INTO cars (work_order, name, customer, state, quality, ground, grain, created_at)
		SELECT '26-0' || lpad(i::text, 3, '0'), '1936 Brennick Eight ' || i, 'Zoë Šimůnková ' || i, 'in work', 'show', '#9a6a3c', '#3b2413', now()
		FROM generate_series(1, `+fmt.Sprint(cars)+`) AS i`)
	require.NoError(b, err)
	_, err = conn.Exec(b.Context(), `
		INSERT INTO components (id, car_id, route_id, label, name, zone, area_m2, both_m2, size, mounting, created_at)
		SELECT gen_random_uuid(), c.id, (SELECT min(id) FROM routes), upper(lpad(to_hex(c.id * 100 + i), 5, '0')),
			CASE WHEN i % 10 = 0 THEN 'Garniture de porte côté ' ELSE 'Door garnish moulding p ' END || i, 'left', .1, .2, 'medium', 'bench', now()
		FROM cars c, generate_series(1, `+fmt.Sprint(pieces)+`) AS i`)
	require.NoError(b, err)
	_, err = conn.Exec(b.Context(), `ANALYZE`)
	require.NoError(b, err)
}

func TestFindPieces(t *testing.T) {
	t.Parallel()
	h, label := searchedShop(t)
	ctx := t.Context()
	for name, c := range map[string]struct {
		q    string
		want []string
	}{
		"nothing":               {" \t", nil},
		"a work order":          {"25-140", []string{"Door cap", "Under_dash rail"}},
		"a piece, no old car's": {"door cap", []string{"Door cap left", "Door cap right", "Door cap"}},
		"a piece and its car":   {"cap 26-014", []string{"Door cap left", "Door cap right"}},
		"accents of the car":    {"coupe RAIL", []string{"Under_dash rail"}},
		"a beginning first":     {"dash", []string{"A dashboard", "Under_dash rail"}},
		"a code is no word":     {label, nil},
		"no customer":           {"simunkova", nil},
		"an underscore is one":  {"r_d", []string{"Under_dash rail"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			hits, err := h.FindPieces(ctx, c.q, 0)
			require.NoError(t, err)
			var got []string
			for _, hit := range hits {
				got = append(got, hit.Piece)
				require.Empty(t, hit.Customer)
				require.NotEmpty(t, hit.WorkOrder+hit.Car+hit.Label)
			}
			require.Equal(t, c.want, got)
		})
	}
	hits, err := h.FindPieces(ctx, "door", 2)
	require.NoError(t, err)
	require.Len(t, hits, 2)
}

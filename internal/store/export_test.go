package store_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
)

// exported is what the test reads of the document.
type exported struct {
	Form       string
	Version    int
	ExportedAt time.Time `json:"exported_at"`
	Settings   restoration.Settings
	Routes     []struct {
		Key    string
		Stages []restoration.Stage
	}
	People, Devices, Links, Audit []map[string]any
	Cars                          []struct {
		WorkOrder string `json:"work_order"`
	}
	Components []struct {
		Name  string
		Steps []struct {
			Stage  string
			Logged int `json:"logged_min"`
		}
	}
	Events []struct {
		ID      restoration.ID
		Payload restoration.Payload
	}
}

func TestExportHoldsEverythingButSecrets(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	tom, err := h.AddPerson(ctx, h.by, "Tom Achterberg", restoration.RoleTechnician, "", "the PIN's secret hash")
	require.NoError(t, err)
	h.tablet(t, "Paint room")
	p := h.onePiece(t, "26-014")
	token := sha256.Sum256([]byte("token"))
	_, err = h.AddLink(ctx, h.by, restoration.Link{CarID: p.CarID, ExpiresAt: h.clock.Now().Add(time.Hour)}, token[:])
	require.NoError(t, err)
	e := h.tick(p.Steps[0], 45)
	e.PersonID, e.Note = tom.ID, "\u2028 \"quoted\" </script>"
	h.mustEnter(t, e)

	var out bytes.Buffer
	require.NoError(t, h.Export(ctx, &out))
	var got exported
	in := json.NewDecoder(bytes.NewReader(out.Bytes()))
	in.DisallowUnknownFields()
	require.NoError(t, in.Decode(&struct {
		Form, Version, Settings, Routes, People, Devices, Cars, Components, Events, Links, Audit any
		Materials, Lots, Schemes, Coats, Readings, Sensors, Air, Certificates, Photos, Places    any
		CutPasses                                                                                any `json:"cut_passes"`
		PiecePhotos                                                                              any `json:"piece_photos"`
		ExportedAt                                                                               any `json:"exported_at"`
	}{}), "a section that this test doesn't know")
	require.NoError(t, json.Unmarshal(out.Bytes(), &got))
	require.Equal(t, store.ExportForm, got.Form)
	require.Equal(t, store.ExportVersion, got.Version)
	require.True(t, h.clock.Now().Equal(got.ExportedAt))
	require.Equal(t, restoration.StockSettings(), got.Settings)
	require.Equal(t, restoration.StockRoute().Stages, got.Routes[0].Stages)
	require.Equal(t, "26-014", got.Cars[0].WorkOrder)
	require.Equal(t, 45, got.Components[0].Steps[0].Logged)
	require.Len(t, got.Components[0].Steps, 8)
	require.Len(t, got.Events, 2)
	require.Equal(t, e.ID, got.Events[1].ID)
	require.Equal(t, e.Payload, got.Events[1].Payload)
	require.Len(t, got.People, 2)
	require.Equal(t, true, got.People[1]["has_pin"])
	require.Len(t, got.Devices, 1)
	require.Len(t, got.Links, 1)
	require.NotEmpty(t, got.Audit)

	requireDocumented(t, out.Bytes())
	for _, secret := range []string{"a hash", "secret hash", "hash\":", "token", "code", hex.EncodeToString(token[:]),
		base64.StdEncoding.EncodeToString(token[:])} {
		require.NotContains(t, out.String(), secret)
	}
}

// requireDocumented requires that docs/export.md names every member of the document.
func requireDocumented(t *testing.T, export []byte) {
	t.Helper()
	doc, err := os.ReadFile("../../docs/export.md")
	require.NoError(t, err)
	words := strings.FieldsFunc(string(doc), func(r rune) bool { return r != '_' && !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	in := json.NewDecoder(bytes.NewReader(export))
	for {
		token, err := in.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		require.NoError(t, err)
		if member, ok := token.(string); ok && isMember.MatchString(member) {
			require.Contains(t, words, member)
		}
	}
}

var isMember = regexp.MustCompile(`^[a-z0-9]+(_[a-z0-9]+)+$`) // as no value of this test looks

func TestExportSaysWhenItCouldNotWrite(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	for room := range 3 {
		require.ErrorIs(t, h.Export(t.Context(), &full{room}), errFull)
	}
}

var errFull = errors.New("the disc is full")

// full takes a few writes.
type full struct{ room int }

func (f *full) Write(p []byte) (int, error) {
	if f.room--; f.room < 0 {
		return 0, errFull
	}
	return len(p), nil
}

package office

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestAuditChanges(t *testing.T) {
	t.Parallel()
	berlin, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	v := auditWords{visit: visit{Loc: berlin, Now: houseNow, Settings: restoration.Settings{Currency: "€"}},
		materials: map[int64]string{3: "Ground, grey"}, tins: map[int64]string{7: "lot C-1"}}
	for name, c := range map[string]struct {
		before, after string
		want          []string
	}{
		"nothing is kept":     {"", "", nil},
		"not JSON":            {"", "{", nil},
		"a name":              {`{"name": "Ida"}`, `{"name": "Ida B."}`, []string{"name: from Ida to Ida B."}},
		"the same":            {`{"name": "Ida"}`, `{"name": "Ida"}`, nil},
		"a role":              {`{"role": "owner"}`, `{"role": "technician"}`, []string{"role: from owner to technician"}},
		"somebody new":        {"", `{"ID": 3, "Role": "owner", "Name": "Ida", "HasPIN": true, "Misses": 0, "LeftAt": "0001-01-01T00:00:00Z"}`, []string{"name: Ida", "role: owner"}},
		"a day":               {`{"PromisedOn": "0001-01-01T00:00:00Z"}`, `{"PromisedOn": "2026-03-27T00:00:00Z"}`, []string{"promised: from none to Fri 27 Mar 2026"}},
		"a day taken away":    {`{"PromisedOn": "2026-03-27T00:00:00Z"}`, `{"PromisedOn": "0001-01-01T00:00:00Z"}`, []string{"promised: from Fri 27 Mar 2026 to none"}},
		"an hour of the shop": {`{"expires": "2026-03-27T14:30:00Z"}`, `{"expires": "2026-07-01T14:30:00Z"}`, []string{"works until: from Fri 27 Mar 2026, 15:30 to Wed 1 Jul 2026, 16:30"}},
		"a tick":              {`{"show_hours": false}`, `{"show_hours": true}`, []string{"shows hours: from no to yes"}},
		"money":               {`{"rate_cents": 8500}`, `{"rate_cents": 9250}`, []string{"rate: from €85.00 to €92.50"}},
		"the shop's own rate": {`{"RateCents": 0}`, `{"RateCents": 9250}`, []string{"rate: from none to €92.50"}},
		"an area":             {`{"AreaM2": 0.12}`, `{"AreaM2": 0.2}`, []string{"area: from 0.12 m² to 0.2 m²"}},
		"a grade":             {`{"Grade": 0}`, `{"Grade": 4}`, []string{"grade: from none to 4"}},
		"faults":              {`{"Faults": null}`, `{"Faults": [{"kind": "hole", "count": 2}, {"kind": "dent", "count": 1}]}`, []string{"faults: from none to hole ×2, dent ×1"}},
		"one of two faults":   {`{"Faults": [{"kind": "hole", "count": 2}, {"kind": "dent", "count": 1}]}`, `{"Faults": [{"kind": "hole", "count": 2}]}`, []string{"faults, what differs: from dent ×1 to none"}},
		"a working day":       {`{"calendar": {"days": [{"open": 480}, {"open": 480}]}}`, `{"calendar": {"days": [{"open": 480}, {"open": 450}]}}`, []string{"Monday, opens: from 08:00 to 07:30"}},
		"a day off":           {`{"calendar": {"holidays": ["2026-12-25"]}}`, `{"calendar": {"holidays": ["2026-12-25", "2026-12-26"]}}`, []string{"days off, what differs: from none to Sat 26 Dec 2026"}},
		"a factor":            {`{"factors": {"grade": [1, 1.8, 1.8]}}`, `{"factors": {"grade": [1, 1.8, 2]}}`, []string{"factors, grade: from 1, 1.8, 1.8 to 1, 1.8, 2"}},
		"hours of a stage":    {`{"stages": [{"name": "Primed", "medium": {"likely_min": 60}}]}`, `{"stages": [{"name": "Primed", "medium": {"likely_min": 90}}]}`, []string{"Primed, medium piece, likely: from 1 h to 1 h 30 min"}},
		"a stage more":        {`{"name": "R", "stages": [{"name": "Primed"}]}`, `{"name": "R", "stages": [{"name": "Primed"}, {"name": "Waxed"}]}`, []string{"Waxed, name: from none to Waxed"}},
		"a new route":         {"", `{"id": 3, "key": "plain", "name": "Plain", "version": 1, "stages": [{"name": "Primed"}]}`, []string{"name: Plain", "version: 1"}},
		"an order":            {`["a", "b"]`, `["b", "a"]`, []string{"order: from a, b to b, a"}},
		"what nobody knows":   {`{"pot_life": 3}`, `{"pot_life": 4}`, []string{"pot life: from 3 to 4"}},
		"what came later":     {`{"name": "x"}`, `{"name": "x", "pot_life": 4}`, []string{"pot life: from none to 4"}},
		"what is gone":        {`{"name": "x", "pot_life": 4}`, `{"name": "x"}`, []string{"pot life: from 4 to none"}},
		"materials": {`{"Materials": {"ground": 2, "clear": 3}}`, `{"Materials": {"ground": 3, "clear": 3, "primer": 9}}`,
			[]string{"material for primer: from none to no. 9", "material for ground: from no. 2 to Ground, grey"}},
		"materials of a new finish": {"", `{"Materials": {"ground": 3}, "GroundLot": 7}`, []string{"material for ground: Ground, grey", "tin of the ground: lot C-1"}},
		"a tin for the ground":      {`{"GroundLot": 7}`, `{"GroundLot": 0}`, []string{"tin of the ground: from lot C-1 to none"}},
		"a certificate": {"", `{"ID": 1, "PersonID": 4, "Kind": "Fit test", "DoneOn": "2026-03-27T00:00:00Z", "ValidUntil": "0001-01-01T00:00:00Z"}`,
			[]string{"kind: Fit test", "done on: Fri 27 Mar 2026"}},
		"markup stays markup":  {`{"Note": ""}`, `{"Note": "<b>"}`, []string{"note: from none to <b>"}},
		"what was taken away":  {`{"name": "x"}`, "", nil},
		"what the ledger says": {`{"State": "survey"}`, `{"State": "in work"}`, nil},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var got []string
			for _, change := range v.changes(c.before, c.after) {
				got = append(got, change.String())
			}
			require.Equal(t, c.want, got)
		})
	}
}

func TestAuditLine(t *testing.T) {
	t.Parallel()
	v := auditWords{visit: visit{Now: houseNow, Loc: time.UTC}}
	piece := newID()
	for name, c := range map[string]struct {
		row            restoration.AuditRow
		who, words     string
		subject, where string
		href           string
	}{
		"a person": {restoration.AuditRow{Person: "Ada", Act: restoration.ActAddPerson, Subject: "Tom"}, "Ada", "added", "Tom", "", ""},
		"a sign-in": {restoration.AuditRow{Person: "Tom", Device: "Booth", Act: restoration.ActSignIn, Subject: "Tom"},
			"Tom", "signed in", "", "Booth", ""},
		"a tablet":  {restoration.AuditRow{Device: "Booth", Act: restoration.ActEnrolTablet, Subject: "Booth"}, "Booth", "was let in by its code", "", "", ""},
		"a lock":    {restoration.AuditRow{Act: restoration.ActLockPerson, Subject: "Tom"}, "Scumble", "locked after too many wrong tries:", "Tom", "", ""},
		"a command": {restoration.AuditRow{Act: restoration.ActAddPerson, Subject: "Tom"}, "A command on the shop's computer", "added", "Tom", "", ""},
		"a car": {restoration.AuditRow{Person: "Ada", Act: restoration.ActEditCar, Subject: "26-001", WorkOrder: "26-014", CarID: 1},
			"Ada", "changed", "26-001", "", carPath("26-014")},
		"a piece": {restoration.AuditRow{Person: "Ada", Act: restoration.ActEditPiece, Subject: "Ash tray", WorkOrder: "26-014", CarID: 1, PieceID: piece},
			"Ada", "changed", "Ash tray", "", piecePath(piece)},
		"an act of tomorrow": {restoration.AuditRow{Person: "Ada", Act: "melt tin", Subject: "Tin 3"}, "Ada", "melt tin", "Tin 3", "", ""},
	} {
		l := newAuditLine(c.row, v)
		require.Equal(t, []string{c.who, c.words, c.subject, c.where, c.href}, []string{l.Who, l.Words, l.Subject, l.Where, l.Href}, name)
	}
}

func TestAuditPage(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Equal(t, http.StatusSeeOther, b.post("/office/people", url.Values{"name": {"=Tom <b>"}, "role": {"technician"}, "pin": {"8305"}}).code)
	require.Equal(t, http.StatusSeeOther, b.post(newCarPath, newCarValues(fromNone)).code)
	require.Contains(t, b.get(peoplePath).body, `href="/office/audit"`)

	page := b.get(auditPath)
	require.Equal(t, http.StatusOK, page.code)
	require.Contains(t, page.text(), "=Tom <b>")
	require.NotContains(t, page.body, "<b>=Tom")
	require.Contains(t, page.body, "Fri 27 Mar 2026, 14:30")
	require.Contains(t, page.body, `href="/office/cars/26-001"`)
	said := parsePage(t, page.body).text()
	require.Contains(t, said, ownerName+" took in 26-001")
	require.NotContains(t, said, "signed in", "unless it is asked for")
	require.Less(t, strings.Index(said, "took in"), strings.Index(said, "set up the shop"), "newest first")

	car, _ := b.car("26-001")
	_, err := b.store.SaveScheme(t.Context(), restoration.Actor{}, restoration.StockScheme(car.ID, ""))
	require.NoError(t, err)
	v := restoration.StockScheme(car.ID, "")
	v.FloorUM = 60
	_, err = b.store.SaveScheme(t.Context(), restoration.Actor{}, v)
	require.NoError(t, err)
	require.Contains(t, parsePage(t, b.get(auditPath).body).text(), "floor: from 50 µm to 60 µm")

	said = parsePage(t, b.get(auditPath+"?kind=sign-ins").body).text()
	require.Contains(t, said, ownerName+" signed in")
	require.NotContains(t, said, "took in")
	tom := b.person("=Tom <b>")
	require.Contains(t, b.get(auditPath+"?person="+formatID(tom.ID)).body, "Nothing of that kind was changed.")
	require.Equal(t, http.StatusOK, b.get(auditPath+"?person=x&kind=witchcraft&before=-1").code)

	table := b.get(auditPath + ".csv?kind=people").body
	require.Contains(t, table, "2026-03-27T14:30:00Z,"+ownerName+",,added,'=Tom <b>,,role: technician\r\n", "no cell is a formula")
	require.NotContains(t, table, "26-001")
}

func TestAuditInPages(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	owner := b.person(ownerName)
	for range auditLinesShown {
		require.NoError(t, b.store.SetPIN(t.Context(), restoration.Actor{PersonID: owner.ID}, owner.ID, "a hash"))
	}
	first := parsePage(t, b.get(auditPath+"?kind=people").body)
	require.Equal(t, auditLinesShown, strings.Count(first.text(), "set the PIN of"))
	older := attribute(first.one("a", "rel", "next"), "href")
	second := parsePage(t, b.get(older).body)
	require.Contains(t, second.text(), "set up the shop with its first owner")
	require.Empty(t, second.all("a", "rel", "next"))
	require.Contains(t, second.text(), "Newest changes")
}

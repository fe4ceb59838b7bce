package trimlist_test

import (
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
)

var known = trimlist.Known{Routes: []string{"grained", "Painted only"}}

// text draws a text as the reader gives it: one line, no outer or double blanks.
func text(most int) *rapid.Generator[string] {
	signs := rapid.RuneFrom([]rune("ab Z09=+-@'\",;.<>#äß²ø漢غ😀"))
	return rapid.Map(rapid.StringOfN(signs, 0, most, -1), func(s string) string { return strings.Join(strings.Fields(s), " ") })
}

// pieces draws a list whose pieces all differ.
func pieces(t *rapid.T) []restoration.NewPiece {
	var out []restoration.NewPiece
	order := make(map[restoration.Zone]int)
	for i := range rapid.IntRange(1, 30).Draw(t, "n") {
		p := restoration.NewPiece{Details: restoration.Details{
			Name:     strings.TrimSpace(text(50).Draw(t, "name") + fmt.Sprintf(" #%d", i)),
			Zone:     rapid.SampledFrom(restoration.Zones()).Draw(t, "zone"),
			Side:     rapid.SampledFrom([]restoration.Side{"", "left", "right"}).Draw(t, "side"),
			Place:    strings.TrimLeft(text(60).Draw(t, "place"), "0123456789 "),
			AreaM2:   float64(rapid.IntRange(0, 5_000).Draw(t, "mm2")) / 1000,
			Mounting: rapid.SampledFrom([]restoration.Mounting{"bench", "fixed"}).Draw(t, "mounting"),
			Size:     rapid.SampledFrom([]restoration.Size{"small", "medium", "large"}).Draw(t, "size"),
			Set:      text(60).Draw(t, "set"),
			Grade:    rapid.IntRange(0, 6).Draw(t, "grade"),
			Note:     strings.TrimSpace(text(80).Draw(t, "note") + "\n" + text(80).Draw(t, "more")),
		}, LiesAt: text(60).Draw(t, "lies at"), Route: rapid.SampledFrom([]string{"", "grained", "Painted only"}).Draw(t, "route")}
		for range rapid.IntRange(0, 3).Draw(t, "faults") {
			kind := rapid.SampledFrom(restoration.FaultKinds()).Draw(t, "kind").Key
			p.Faults = append(p.Faults, restoration.Fault{Kind: kind, Count: rapid.IntRange(1, 99).Draw(t, "count")})
		}
		p.BothM2 = 2 * p.AreaM2
		order[p.Zone]++
		p.Order = order[p.Zone]
		out = append(out, p)
	}
	return out
}

// Law: a list that was written is read as it was, with either separator, either
// line end, with a byte order mark or without.
func TestPiecesRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		want := pieces(t)
		file := written(t, want)
		if rapid.Bool().Draw(t, "semicolons") {
			file = rewritten(t, file, rapid.Bool().Draw(t, "CRLF"))
		}
		if rapid.Bool().Draw(t, "mark") {
			file = trimlist.BOM + file
		}
		got, err := trimlist.ParsePieces(strings.NewReader(file), known)
		require.NoError(t, err)
		require.Empty(t, got.Report())
		require.Equal(t, want, got.Pieces)
	})
}

func written(t require.TestingT, pieces []restoration.NewPiece) string {
	var b strings.Builder
	require.NoError(t, trimlist.WritePieces(&b, pieces))
	return b.String()
}

// rewritten passes a file through the standard library, with semicolons.
func rewritten(t require.TestingT, file string, crlf bool) string {
	rows, err := csv.NewReader(strings.NewReader(file)).ReadAll()
	require.NoError(t, err)
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Comma, w.UseCRLF = ';', crlf
	require.NoError(t, w.WriteAll(rows))
	return b.String()
}

// Laws: no file makes the reader panic; a row gives a piece or faults, never both;
// every piece keeps the limits; a file without fault is the same when it is
// written and read again.
func FuzzParsePieces(f *testing.F) {
	f.Add("piece,zone,side,place,area_m2,size,mounting,set,route,grade,faults,lies_at,note\n" +
		"Cap,left,l,4 door,0.12,small,fixed,doors,grained,3,\"hole x2,dent\",rack,\"a\nb\"\r\nCap,left,R,,,,,,,,,,\n")
	f.Add("piece;zone;area_m2;note\n'=a;front;0,12;\"'\r=x\"\n")
	f.Add("piece,zone,place,faults\n\"''\t=1\",loose,0012,hole x2foo|dent\n")
	f.Add("\xff\xfep\x00")
	f.Fuzz(func(t *testing.T, file string) {
		list, err := trimlist.ParsePieces(strings.NewReader(file), known)
		require.NoError(t, err)
		checkTable(t, list.Table, len(list.Pieces))
		for _, p := range list.Pieces {
			checkPiece(t, p)
		}
		if !list.OK() {
			return
		}
		again, err := trimlist.ParsePieces(strings.NewReader(written(t, list.Pieces)), known)
		require.NoError(t, err)
		require.Empty(t, again.Report())
		require.Equal(t, list.Pieces, again.Pieces)
	})
}

// The laws of FuzzParsePieces, for cars.
func FuzzParseCars(f *testing.F) {
	f.Add("work_order,car,body,customer,contact,arrived,promised,rate,quality,ground,grain,scheme,note\n" +
		"26-014,a,b,c,d,2026-01-12,2026-06-26,92.5,show,#b98a4e,#5a3517,e,\"f\ng\"\n,b,,,,,,,,,,,\n")
	f.Add("car;rate;arrived;ground\n'=a;85,5;2026-02-29;#ABCDEF\n")
	f.Fuzz(func(t *testing.T, file string) {
		list, err := trimlist.ParseCars(strings.NewReader(file), trimlist.Known{})
		require.NoError(t, err)
		checkTable(t, list.Table, len(list.Cars))
		for _, c := range list.Cars {
			checkShort(t, c.Name, c.Body, c.Customer, c.Scheme)
			require.NotEmpty(t, c.Name)
			require.GreaterOrEqual(t, c.RateCents, int64(0))
			require.LessOrEqual(t, utf8.RuneCountInString(c.Note), 2000)
		}
		if !list.OK() {
			return
		}
		again, err := trimlist.ParseCars(strings.NewReader(writeCars(t, list.Cars)), trimlist.Known{})
		require.NoError(t, err)
		require.Empty(t, again.Report())
		require.Equal(t, list.Cars, again.Cars)
	})
}

// writeCars writes a list of cars that ParseCars reads.
func writeCars(t *testing.T, cars []restoration.Car) string {
	t.Helper()
	day := func(d time.Time) string {
		if d.IsZero() {
			return ""
		}
		return d.Format(time.DateOnly)
	}
	var b strings.Builder
	out := trimlist.NewWriter(&b)
	out.Write("work_order", "car", "body", "customer", "contact", "arrived", "promised", "rate", "quality", "ground", "grain", "scheme", "note")
	for _, c := range cars {
		rate := ""
		if c.RateCents != 0 {
			rate = fmt.Sprintf("%d.%02d", c.RateCents/100, c.RateCents%100)
		}
		out.Write(c.WorkOrder, c.Name, c.Body, c.Customer, c.Contact, day(c.ArrivedOn), day(c.PromisedOn), rate,
			string(c.Quality), c.Ground, c.Grain, c.Scheme, c.Note)
	}
	require.NoError(t, out.Flush())
	return b.String()
}

func checkTable(t *testing.T, table trimlist.Table, values int) {
	t.Helper()
	sound, faults := 0, 0
	for _, r := range table.Rows {
		faults += len(r.Faults)
		if len(r.Faults) == 0 {
			sound++
		}
	}
	require.True(t, values == sound || values == 0 && !table.OK(), "%d values of %d sound rows", values, sound)
	require.GreaterOrEqual(t, len(table.Faults)+table.Unlisted, faults)
	require.LessOrEqual(t, len(table.Faults), trimlist.MaxFaults)
	require.True(t, values > 0 || !table.OK(), "a list without fault holds something")
	for _, f := range table.Faults {
		require.NotEmpty(t, f.What)
		require.NotEmpty(t, f.Do)
		require.NotContains(t, f.String(), "\n")
		require.Less(t, len(f.String()), 1000)
	}
}

func checkPiece(t *testing.T, p restoration.NewPiece) {
	t.Helper()
	checkShort(t, p.Name, p.Place, p.Set, p.LiesAt)
	require.NotEmpty(t, p.Name)
	require.True(t, slices.Contains(restoration.Zones(), p.Zone))
	require.True(t, p.AreaM2 == 0 || p.AreaM2 >= 0.0005 && p.AreaM2 <= 5)
	require.True(t, p.Grade >= 0 && p.Grade <= 6)
	require.NotEmpty(t, p.Size)
	require.NotEmpty(t, p.Mounting)
	require.LessOrEqual(t, utf8.RuneCountInString(p.Note), 2000)
	require.LessOrEqual(t, len(p.Faults), 20)
}

func checkShort(t *testing.T, texts ...string) {
	t.Helper()
	for _, s := range texts {
		require.LessOrEqual(t, utf8.RuneCountInString(s), 60)
		require.False(t, strings.ContainsFunc(s, unicode.IsControl), "%q", s)
		require.True(t, utf8.ValidString(s))
	}
}

func BenchmarkParsePieces(b *testing.B) {
	for _, rows := range []int{50, 2000} {
		var file strings.Builder
		file.WriteString("piece,zone,side,place,area_m2,size,mounting,set,route,grade,faults,lies_at,note\n")
		for i := range rows {
			fmt.Fprintf(&file, "Door capping %d,left,left,%d,0.068,,bench,doors,,3,\"hole x2, dent\",rack B 1,\"Rust along the drain, grade again\"\n", i, i)
		}
		b.Run(fmt.Sprint(rows), func(b *testing.B) {
			b.SetBytes(int64(file.Len()))
			b.ReportAllocs()
			for b.Loop() {
				list, err := trimlist.ParsePieces(strings.NewReader(file.String()), known)
				require.NoError(b, err)
				require.Len(b, list.Pieces, rows)
			}
		})
	}
}

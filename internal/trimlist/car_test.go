package trimlist_test

import (
	"encoding/csv"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
)

func parseCars(t *testing.T, text string) trimlist.Cars {
	t.Helper()
	cars, err := trimlist.ParseCars(strings.NewReader(text), trimlist.Known{Cars: []restoration.Car{{WorkOrder: "25-090", Name: "1939 Corvane Tourer"}}})
	require.NoError(t, err)
	return cars
}

func TestParseCarsFull(t *testing.T) {
	t.Parallel()
	cars := parseCars(t, "Work order,Car,Body,Customer,Contact,Arrived,Promised,Rate,Quality,Ground,Grain,Scheme,Note\n"+
		"26-014,1936 Brennick Eight,saloon,Ottoline Ferrars,+00 555 0142,2026-01-12,2026-06-26,92.50,Concours,#B98A4E,#5a3517,Straight walnut,careful\n"+
		",1939 Corvane Estate,,,,,,,,,,,\n")
	require.Empty(t, cars.Report())
	require.Equal(t, []restoration.Car{
		{
			WorkOrder: "26-014", Name: "1936 Brennick Eight", Body: "saloon", Customer: "Ottoline Ferrars", Contact: "+00 555 0142",
			State: restoration.CarSurvey, Quality: restoration.QualityConcours, RateCents: 92_50,
			ArrivedOn: time.Date(2026, 1, 12, 0, 0, 0, 0, time.UTC), PromisedOn: time.Date(2026, 6, 26, 0, 0, 0, 0, time.UTC),
			Ground: "#b98a4e", Grain: "#5a3517", Scheme: "Straight walnut", Note: "careful",
		},
		{Name: "1939 Corvane Estate", State: restoration.CarSurvey, Quality: restoration.QualityShow},
	}, cars.Cars)
}

func TestParseCarsFaults(t *testing.T) {
	t.Parallel()
	tests := []struct{ column, cell, want string }{
		{"work_order", "26-1", `"26-1" is no work order. Write year and number, such as 26-014, or leave it blank for the next one.`},
		{"work_order", "2026-014", `"2026-014" is no work order.`},
		{"work_order", "26-0140000", `"26-0140000" is no work order.`},
		{"work_order", "ab-014", `"ab-014" is no work order.`},
		{"work_order", "25-090", `the shop has a car 25-090 already. Delete the line, give the car another number, or leave it blank for the next one.`},
		{"body", strings.Repeat("x", 61), `the text has 61 characters. Shorten it to 60.`},
		{"contact", strings.Repeat("x", 201), `the text has 201 characters. Shorten it to 200.`},
		{"arrived", "27.3.2026", `"27.3.2026" is no date. Write year-month-day, such as 2026-03-27.`},
		{"arrived", "2026-02-30", `"2026-02-30" is no date.`},
		{"promised", "0026-02-20", `"0026-02-20" is not of this age. Check the year.`},
		{"rate", "85.555", `"85.555" is no rate. Write money per hour, such as 85 or 85.50`},
		{"rate", "$85", `"$85" is no rate.`},
		{"rate", "0", `"0" is out of range, 0.01 to 100000.`},
		{"rate", "1000000000", `"1000000000" is out of range, 0.01 to 100000.`},
		{"quality", "perfect", `"perfect" is no quality. Write driver, show or concours, or leave it blank for show.`},
		{"ground", "brown", `"brown" is no colour. Write # and six hexadecimal digits, such as #9a6a3c.`},
		{"ground", "9a6a3c", `"9a6a3c" is no colour.`},
		{"grain", "#9a6", `"#9a6" is no colour.`},
		{"grain", "#9a6a3g", `"#9a6a3g" is no colour.`},
		{"note", strings.Repeat("x", 2001), `the text has 2001 characters. Shorten it to 2000.`},
	}
	for _, tt := range tests {
		t.Run(tt.column+" "+tt.cell[:min(len(tt.cell), 10)], func(t *testing.T) {
			t.Parallel()
			cars := parseCars(t, "car,"+tt.column+"\n1936 Brennick Eight,"+tt.cell+"\n")
			require.Len(t, cars.Faults, 1)
			require.Contains(t, cars.Faults[0].String(), "line 2, column "+tt.column+": "+tt.want)
			require.Empty(t, cars.Cars)
		})
	}
}

func TestParseCarsThatAreHere(t *testing.T) {
	t.Parallel()
	cars := parseCars(t, "work_order,car,customer\n,1939 CORVANE Tourer,\n,1939 Corvane Tourer,Ottoline Ferrars\n26-001,1939 Corvane Tourer,\n")
	require.Equal(t, []string{"line 2, column car: this car of the same customer and day is in the shop as 25-090. " +
		"Delete the line, or give the car a work order of its own."}, cars.Report())
}

func TestParseCarsAcrossCells(t *testing.T) {
	t.Parallel()
	cars := parseCars(t, "car,work_order,arrived,promised\n"+
		"a,26-014,2026-03-02,2026-03-01\n"+
		"b,26-014,2026-03-01,2026-03-01\n"+
		",26-015,,\n")
	require.Equal(t, []string{
		"line 2, column promised: the car is promised before it arrives. Correct one of the two dates.",
		"line 3, column work_order: 26-014 stands on line 2 already. Give each car its own number, or leave it blank for the next one.",
		"line 4, column car: the cell is empty. Write a name of up to 60 characters.",
	}, cars.Report())
}

func TestParseCarsPublishedDates(t *testing.T) {
	t.Parallel()
	f, err := os.Open("../../testdata/formats/iso8601_dates.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 16)
	for _, row := range rows[1:] {
		calendar, week, ordinal := row[0], row[1], row[2]
		cars := parseCars(t, "car,arrived\nx,"+calendar+"\n")
		require.Empty(t, cars.Report())
		require.Equal(t, calendar, cars.Cars[0].ArrivedOn.Format("2006-01-02"))
		require.Equal(t, ordinal, cars.Cars[0].ArrivedOn.Format("2006-002"))
		for _, other := range []string{week, ordinal} {
			require.Len(t, parseCars(t, "car,arrived\nx,"+other+"\n").Faults, 1, "only the calendar form is read, not %s", other)
		}
	}
}

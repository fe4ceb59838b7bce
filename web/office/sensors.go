package office

import (
	"net/http"
	"net/url"

	"github.com/go-chi/chi/v5"

	"scumble/internal/access"
	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const sensorsPath = "/office/air"

func (o *Office) sensorRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/air", h(o.showSensors))
	r.Post("/air", h(o.addSensor))
	r.Get("/air/{id}", h(o.showSensor))
	r.Post("/air/{id}/revoke", h(o.revokeSensor))
	r.Post("/air/{id}/back", h(o.readmitSensor))
}

// sensorsProps is the shop's air and the sensors that tell it.
type sensorsProps struct {
	Page    ui.PageProps
	Air     []airLine
	Sensors []sensorRow
	Form    *form
	New     *newSensor
}

// newSensor is a token that is shown once.
type newSensor struct{ Name, Token, Address string }

// sensorRow is a sensor as the page shows it.
type sensorRow struct {
	Name, State, Seen string
	Href              string // "" it is shut out for good
	Out               bool
	BackUntil         string // the day until which one that is shut out may come back
}

// airLine is the air by one sensor, with what follows from it.
type airLine struct {
	Sensor, When string
	Old          bool // too old to stand for the air of now
	Air, RH      string
	Dew          string
	Least        string // what a surface must be at least
	Surface      string // "" the sensor has no probe
	Window       []string
}

// airLines puts the readings of the sensors into words.
func airLines(list []restoration.AirReading, v visit) []airLine {
	temp := v.units().temp
	tenth := unit{temp.word, 1, temp.to, temp.from}
	var lines []airLine
	for _, a := range list {
		line := airLine{Sensor: a.Sensor, When: ui.Clock(a.At, v.Now, v.Loc), Old: a.At.Before(v.Now.Add(-restoration.SensorAge)),
			Air: tenth.says(a.AirC), RH: unit{"%", 0, same, same}.says(a.Humidity)}
		verdict := coating.SprayWindow(coating.Conditions{AirC: &a.AirC, RHPercent: &a.Humidity, SurfaceC: a.SurfaceC}, coating.Limits{})
		if dew, err := coating.DewPointC(a.AirC, a.Humidity); err == nil {
			line.Dew, line.Least = tenth.says(dew), tenth.says(dew+coating.DewMarginC)
		}
		if a.SurfaceC != nil {
			line.Surface = tenth.says(*a.SurfaceC)
		}
		for _, w := range verdict.Warnings {
			line.Window = append(line.Window, restoration.RemarkWords(w, v.Settings.Units))
		}
		for _, q := range verdict.Questions {
			if q.Code != coating.ReadingMissing {
				line.Window = append(line.Window, restoration.RemarkWords(q, v.Settings.Units))
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// briefly is the air by one sensor in a line.
func (a airLine) briefly() string {
	says := joinWords(a.Air, a.RH, "dew point "+orDash(a.Dew))
	if a.Surface != "" {
		says = joinWords(says, "surface "+a.Surface)
	}
	return says
}

func (o *Office) showSensors(w http.ResponseWriter, r *http.Request) error {
	return o.renderSensors(w, r, http.StatusOK, &form{values: url.Values{}}, nil)
}

func (o *Office) renderSensors(w http.ResponseWriter, r *http.Request, status int, f *form, made *newSensor) error {
	all, err := o.shop.Sensors(r.Context())
	if err != nil {
		return err
	}
	air, err := o.shop.LatestAir(r.Context())
	if err != nil {
		return err
	}
	v := visitOf(r)
	p := sensorsProps{Air: airLines(air, v), Form: f, New: made, Page: o.page(r, ui.PageProps{Title: "Air", Nav: navPaint,
		Lede: "A sensor in the shop may send the air by itself; a coat then takes it over, and nobody types it."})}
	for _, s := range all {
		p.Sensors = append(p.Sensors, newSensorRow(s, v))
	}
	return web.Render(w, r, status, sensorsPage(p))
}

func sensorPath(id int64) string { return sensorsPath + "/" + formatID(id) }

func newSensorRow(s restoration.Sensor, v visit) sensorRow {
	row := sensorRow{Name: s.Name, State: "let in on " + ui.Day(s.CreatedAt, v.Loc), Seen: lastSeen(s.LastSeen, v)}
	if row.Out = !s.RevokedAt.IsZero(); row.Out {
		row.State, row.BackUntil = "shut out on "+ui.Day(s.RevokedAt, v.Loc), ui.Day(restoration.UndoUntil(s.RevokedAt), v.Loc)
	}
	if !row.Out || s.MayReturn(v.Now) {
		row.Href = sensorPath(s.ID)
	}
	return row
}

// addSensor makes a token and shows it on the answer itself: only its hash is kept, so
// that it could not be shown after a redirect.
func (o *Office) addSensor(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	name := f.needed("name", "Type a name by which you know the sensor, such as Booth.")
	if !f.ok() {
		return o.renderSensors(w, r, http.StatusUnprocessableEntity, f, nil)
	}
	token, hash, err := access.NewToken()
	if err != nil {
		return err
	}
	if _, err := o.shop.AddSensor(r.Context(), visitOf(r).Actor(), name, hash); err != nil {
		if err := f.take(err); err != nil {
			return err
		}
		return o.renderSensors(w, r, http.StatusUnprocessableEntity, f, nil)
	}
	return o.renderSensors(w, r, http.StatusOK, &form{values: url.Values{}}, &newSensor{name, token, o.address(r) + "/bench/air"})
}

// sensorProps asks before a sensor is shut out.
type sensorProps struct {
	Page ui.PageProps
	Row  sensorRow
}

func (o *Office) sensorIn(r *http.Request) (restoration.Sensor, error) {
	id, err := numberIn(r, "id")
	if err != nil {
		return restoration.Sensor{}, err
	}
	all, err := o.shop.Sensors(r.Context())
	if err != nil {
		return restoration.Sensor{}, err
	}
	return findIn(all, id, func(s restoration.Sensor) int64 { return s.ID }, "There is no such sensor. Look at the list again.")
}

func (o *Office) showSensor(w http.ResponseWriter, r *http.Request) error {
	s, err := o.sensorIn(r)
	if err != nil {
		return err
	}
	return web.Render(w, r, http.StatusOK, sensorPage(sensorProps{
		Page: o.page(r, ui.PageProps{Title: s.Name, Eyebrow: "Sensor", Nav: navPaint}), Row: newSensorRow(s, visitOf(r))}))
}

func (o *Office) revokeSensor(w http.ResponseWriter, r *http.Request) error {
	s, err := o.sensorIn(r)
	if err != nil {
		return err
	}
	if err := o.shop.RevokeSensor(r.Context(), visitOf(r).Actor(), s.ID); err != nil {
		return err
	}
	o.say(r, ui.Notice{Kind: ui.NoticeDone, Text: s.Name + " is shut out. What it sent stays.", Href: sensorPath(s.ID), Link: "Undo"})
	return web.SeeOther(w, r, sensorsPath)
}

func (o *Office) readmitSensor(w http.ResponseWriter, r *http.Request) error {
	s, err := o.sensorIn(r)
	if err != nil {
		return err
	}
	if err := o.shop.ReadmitSensor(r.Context(), visitOf(r).Actor(), s.ID); err != nil {
		return err
	}
	o.done(r, s.Name+" is let in again, with the token that it has.")
	return web.SeeOther(w, r, sensorsPath)
}

func airFacts(a airLine) []ui.Fact {
	facts := []ui.Fact{{Term: "Air", Text: a.Air}, {Term: "Humidity", Text: a.RH}, {Term: "Dew point", Text: a.Dew}, {Term: "Surface at least", Text: a.Least}}
	if a.Surface != "" {
		facts = append(facts, ui.Fact{Term: "Surface", Text: a.Surface})
	}
	return facts
}

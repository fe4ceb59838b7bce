package bench

import (
	"encoding/json"
	"net/http"
	"strconv"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// undoLife is how long "Undo" stays in sight after a tick. In the piece's history it
// stays as long as the rules allow.
const undoLife = 10 * time.Minute

const (
	keySaid = "said"
	keyUndo = "undo"
	keyList = "list"
)

// undoable is the tick that the person made last.
type undoable struct {
	Piece, Step restoration.ID
	Hours       *restoration.Minutes // logged with it; an undo takes them back
	Text        string
	At          time.Time
}

// listSeen is the list that the person looked at last.
type listSeen struct{ Which, Href string }

// seen keeps which list was looked at; the same one again, such as one that is fetched
// anew, changes nothing.
func (b *Bench) seen(r *http.Request, list listSeen) {
	if quietly(r) {
		return
	}
	if b.lastList(r) != list {
		b.keep(r, keyList, list)
	}
}

// lastList is where the way back from a piece leads.
func (b *Bench) lastList(r *http.Request) listSeen {
	var list listSeen
	if json.Unmarshal([]byte(b.sessions.GetString(r.Context(), keyList)), &list) != nil || listPaths[list.Which] == "" {
		return listSeen{Which: "ready", Href: listPaths["ready"]}
	}
	return list
}

// keep puts v into the session as JSON. What is kept here holds strings and times
// only, which always can be written.
func (b *Bench) keep(r *http.Request, key string, v any) {
	if text, err := json.Marshal(v); err == nil {
		b.sessions.Put(r.Context(), key, string(text))
	}
}

// heard gives the answer that was kept, once, and the undo while it lasts. A session
// that another version of the program wrote says nothing.
func (b *Bench) heard(r *http.Request) (*ui.Notice, *ui.UndoProps) {
	if quietly(r) {
		return nil, nil
	}
	var notice *ui.Notice
	if text := b.sessions.PopString(r.Context(), keySaid); text != "" {
		var n ui.Notice
		if json.Unmarshal([]byte(text), &n) == nil {
			notice = &n
		}
	}
	var last undoable
	if json.Unmarshal([]byte(b.sessions.GetString(r.Context(), keyUndo)), &last) != nil {
		return notice, nil
	}
	until := last.At.Add(undoLife)
	if !b.now().Before(until) {
		return notice, nil
	}
	fields := map[string]string{"id": newID(), "step": last.Step.String()}
	if last.Hours != nil {
		fields["hours"] = strconv.FormatFloat(last.Hours.Hours(), 'f', -1, 64)
	}
	return notice, &ui.UndoProps{
		Action: piecePath(last.Piece) + "/untick", Text: last.Text, Until: ui.Clock(until, b.now(), visitOf(r).shop.Location()),
		Fields: fields,
	}
}

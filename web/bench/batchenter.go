package bench

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// workAgain is the button, and what the script says, that has a coat judged and worked out
// as it stands on the form; nothing is saved.
const workAgain = "again"

// enterBatch logs a coat on every piece that is ticked, as entries that share a batch. Where
// the form still lacks what the rules ask for, it is asked for first, and nothing is entered.
// What is refused else is shown again with what was typed; the others are saved.
func (b *Bench) enterBatch(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, MaxBody)
	if err := r.ParseForm(); err != nil {
		return restoration.Problemf(restoration.TroubleInvalid, "", "This form can't be read. Go back and send it again.")
	}
	if r.PostForm.Has(workAgain) {
		return b.renderBatch(w, r, r.PostForm, nil)
	}
	incoming, faults := parseBatch(formParser{form: r.PostForm, us: r.PostForm.Get("units") == string(restoration.US)}, b.now())
	if len(faults) > 0 {
		return b.renderBatch(w, r, r.PostForm, faults)
	}
	if lacking, err := b.lacking(r, incoming); err != nil {
		return err
	} else if len(lacking) > 0 {
		return b.renderBatch(w, r, r.PostForm, []ui.FieldError{{Text: "Nothing is saved yet."}}, lacking...)
	}
	events := make([]restoration.Event, len(incoming))
	for i, in := range incoming {
		events[i] = in.Event(visitOf(r).actor())
	}
	outcomes, err := b.shop.Enter(r.Context(), events)
	if err != nil {
		return err
	}
	said, refused, err := b.saidOfBatch(r, incoming, outcomes)
	if err != nil {
		return err
	}
	if len(refused) > 0 {
		var again []string // what was saved is not entered twice
		for i, o := range outcomes {
			if o.Result == restoration.Refused {
				again = append(again, r.PostForm["pieces"][i])
			}
		}
		r.PostForm["pieces"] = again
		return b.renderBatch(w, r, r.PostForm, []ui.FieldError{{Text: said.Text}}, refused...)
	}
	b.keep(r, keySaid, said)
	return web.SeeOther(w, r, togetherPath)
}

// parseBatch reads the form of a group: one coat, and a line for each piece.
func parseBatch(p formParser, at time.Time) ([]Incoming, []ui.FieldError) {
	coat := p.coat()
	shared := Incoming{Kind: restoration.KindCoat, At: at, Payload: restoration.Payload{Batch: p.id("batch"),
		Reason: p.text("reason"), Checks: holding(p.form)}}
	if own := p.text("own"); own != "" {
		shared.Reason = own
	}
	var list []Incoming
	for _, line := range p.form["pieces"] {
		in, ok := lineOf(line)
		if !ok {
			p.fault("", "This page is out of date. Open the group again.")
			break
		}
		one := *coat
		one.Number, one.SheetML = in.Coat.Number, in.Coat.SheetML
		shared.Coat = &one
		shared.ID, shared.PieceID, shared.StepID = in.ID, in.PieceID, in.StepID
		list = append(list, shared)
	}
	if len(list) == 0 && len(p.faults) == 0 {
		p.fault("", "Touch at least one piece.")
	}
	if len(list) > MaxEvents {
		p.fault("", "Save at most "+strconv.Itoa(MaxEvents)+" pieces at once.")
	}
	return list, p.faults
}

// lineOf reads what a piece of a group is saved by: see [batchLine].
func lineOf(line string) (Incoming, bool) {
	parts := strings.Split(line, " ")
	if len(parts) != 5 {
		return Incoming{}, false
	}
	var in Incoming
	for i, to := range []*restoration.ID{&in.ID, &in.PieceID, &in.StepID} {
		id, err := parseID("id", parts[i], true)
		if err != nil {
			return in, false
		}
		*to = id
	}
	number, errN := strconv.Atoi(parts[3])
	ml, errML := strconv.ParseFloat(parts[4], 64)
	in.Coat = &restoration.Coat{Number: number, SheetML: ml}
	return in, errN == nil && errML == nil
}

// saidOfBatch tells on how many pieces a coat was saved, what the rules found, and the
// refusals, each cause once.
func (b *Bench) saidOfBatch(r *http.Request, in []Incoming, out []restoration.Outcome) (ui.Notice, causes, error) {
	saved, title := 0, ""
	var refused causes
	var first Incoming
	for i, o := range out {
		piece, err := b.shop.FindPiece(r.Context(), in[i].PieceID)
		if err != nil {
			return ui.Notice{}, nil, err
		}
		if o.Result == restoration.Refused {
			refused.add(piece.ID, piece.Title(), o.Reason)
			continue
		}
		saved++
		first, title = in[i], piece.Title()
	}
	said := ui.Notice{Kind: ui.NoticeDone, Text: "Coat saved on " + ui.Count(saved, "piece", "pieces") + "."}
	if saved == 0 {
		return ui.Notice{Kind: ui.NoticeError, Text: "Nothing is saved."}, refused, nil
	}
	entries, err := b.shop.History(r.Context(), restoration.HistoryFilter{PieceID: first.PieceID, Limit: ledgerShown})
	if err != nil {
		return said, refused, err
	}
	for _, e := range entries {
		if e.Event.ID == first.ID {
			one := filmNotice(title, e, visitOf(r).shop.Units)
			said.Kind = one.Kind
			if saved > 1 {
				said.Text += " On the last of them, " + one.Text
			} else {
				said.Text += " " + one.Text
			}
		}
	}
	return said, refused, nil
}

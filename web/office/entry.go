package office

import (
	"fmt"
	"net/http"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// event begins an entry of the person who looks: its identity comes from the form,
// its hour is now.
func (o *Office) event(r *http.Request, f *form, kind restoration.Kind) restoration.Event {
	v := visitOf(r)
	return restoration.Event{
		ID: f.id("id"), Kind: kind, PersonID: v.Person.ID, At: v.Now,
		Payload: restoration.Payload{Reason: f.text("reason")},
	}
}

// enter enters one event and leaves on the next page what became of it. stage is the
// name of the step that it is about, "" for none.
func (o *Office) enter(r *http.Request, e restoration.Event, stage string) error {
	outcomes, err := o.shop.Enter(r.Context(), []restoration.Event{e})
	if err != nil {
		return err
	}
	if len(outcomes) != 1 {
		return fmt.Errorf("entered one event, got %d outcomes", len(outcomes))
	}
	o.say(r, visitOf(r).outcomeNotice(restoration.Entry{Event: e, Outcome: outcomes[0], Stage: stage}))
	return nil
}

// outcomeNotice tells what became of an entry. A refusal says the hour from which it
// would be allowed, in the shop's zone.
func (v visit) outcomeNotice(e restoration.Entry) ui.Notice {
	switch out := e.Outcome; out.Result {
	case restoration.Refused:
		text := out.Reason
		if !out.AllowedFrom.IsZero() {
			text += " Allowed from " + ui.When(out.AllowedFrom, v.Loc) + "."
		}
		return ui.Notice{Kind: ui.NoticeError, Text: text + " The entry is kept under what needs a look.",
			Href: "/office#look", Link: "See it"}
	case restoration.Already:
		return ui.Notice{Kind: ui.NoticeInfo, Text: out.Reason}
	}
	return ui.Notice{Kind: ui.NoticeDone, Text: restoration.Words(e, v.Settings.Units) + "."}
}

// settle marks refused entries as dealt with: one, or all of a line.
func (o *Office) settle(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	events, ok := o.settlings(r, f)
	if !ok {
		return restoration.Problemf(restoration.TroubleInvalid, "", "The form is damaged. Go back, load the page again and repeat.")
	}
	outcomes, err := o.shop.Enter(r.Context(), events)
	if err != nil {
		return err
	}
	o.say(r, visitOf(r).settledNotice(events, outcomes))
	http.Redirect(w, r, "/office#look", http.StatusSeeOther)
	return nil
}

// settlings reads the pairs of a new entry's id and the refused entry that it settles.
func (o *Office) settlings(r *http.Request, f *form) ([]restoration.Event, bool) {
	ids, refs := f.values["id"], f.values["ref"]
	if len(ids) != len(refs) || len(ids) == 0 || len(ids) > refusedRead {
		return nil, false
	}
	v := visitOf(r)
	events := make([]restoration.Event, len(ids))
	for i := range ids {
		id, err := restoration.ParseID(ids[i])
		ref, bad := restoration.ParseID(refs[i])
		if err != nil || bad != nil {
			return nil, false
		}
		events[i] = restoration.Event{ID: id, Kind: restoration.KindSettle, PersonID: v.Person.ID, At: v.Now, Payload: restoration.Payload{Ref: ref}}
	}
	return events, true
}

// settledNotice tells what became of them; there is at least one.
func (v visit) settledNotice(events []restoration.Event, outcomes []restoration.Outcome) ui.Notice {
	for i, out := range outcomes {
		if out.Result == restoration.Refused || len(outcomes) == 1 {
			return v.outcomeNotice(restoration.Entry{Event: events[i], Outcome: out})
		}
	}
	return ui.Notice{Kind: ui.NoticeDone, Text: ui.Count(len(outcomes), "refused entry is", "refused entries are") + " settled."}
}

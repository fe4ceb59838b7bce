package bench

import (
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"time"

	"scumble/internal/restoration"
	"scumble/web"
)

// answer is what a tablet is told of one entry.
type answer struct {
	ID          restoration.ID     `json:"id"`
	Outcome     restoration.Result `json:"outcome"`
	Reason      string             `json:"reason,omitempty"`
	AllowedFrom string             `json:"allowed_from,omitempty"` // RFC 3339
	Wants       string             `json:"wants,omitempty"`        // of a refusal: "reason" or "sure" would let it through
}

// takeEvents is the intake for tablets: a JSON array of entries in, their answers
// out in the same order. Each entry is kept or refused by itself; what is no array of
// entries is answered with problem details, and then nothing was applied.
func (b *Bench) takeEvents(w http.ResponseWriter, r *http.Request) error {
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, MaxBody))
	if err != nil {
		web.WriteProblem(w, bodyStatus(err), bodyFault(err))
		return nil
	}
	incoming, err := ParseEvents(body)
	if err != nil {
		web.WriteProblem(w, http.StatusBadRequest, err.Error())
		return nil
	}
	fault, err := b.nameAll(r.Context(), incoming, asksOne(r, incoming))
	if err != nil {
		return err
	}
	if fault != "" {
		return sendAnswers(w, []answer{{ID: incoming[0].ID, Outcome: restoration.Refused, Reason: fault}})
	}
	events := make([]restoration.Event, len(incoming))
	for i := range incoming {
		incoming[i].setRight(sentAt(r), b.now())
		events[i] = incoming[i].Event(visitOf(r).actor())
	}
	outcomes, err := b.shop.Enter(r.Context(), events)
	if err != nil {
		return err
	}
	b.sayOne(r, incoming, outcomes)
	return sendAnswers(w, answers(events, outcomes))
}

// asksOne tells whether a page sends one form and waits for its answer.
func asksOne(r *http.Request, in []Incoming) bool {
	return r.URL.Query().Get("say") != "" && len(in) == 1
}

func sendAnswers(w http.ResponseWriter, list []answer) error {
	w.Header().Set("Content-Type", "application/json")
	return json.NewEncoder(w).Encode(list)
}

// sayOne keeps the answer to a form that the page's script sent, for the next page:
// it asks for that with say=1. The entry is in the ledger by now, so that a fault
// here is no fault of the request.
func (b *Bench) sayOne(r *http.Request, in []Incoming, out []restoration.Outcome) {
	if r.URL.Query().Get("say") == "" || len(in) == 0 || !b.own(r) {
		return
	}
	if len(in) > 1 {
		b.sayBatch(r, in, out)
		return
	}
	if in[0].PieceID.IsZero() || out[0].Result == restoration.Refused {
		return
	}
	if err := b.remember(r, in[0], out[0]); err != nil {
		b.log.WarnContext(r.Context(), "answer not kept for the next page", "event", in[0].ID, "err", err)
	}
}

// sayBatch keeps the answer to entries that were made at once. Where one is refused the
// page stays and says so itself.
func (b *Bench) sayBatch(r *http.Request, in []Incoming, out []restoration.Outcome) {
	said, refused, err := b.saidOfBatch(r, in, out)
	switch {
	case err != nil:
		b.log.WarnContext(r.Context(), "answer not kept for the next page", "batch", in[0].Batch, "err", err)
	case len(refused) == 0:
		b.keep(r, keySaid, said)
	}
}

func answers(events []restoration.Event, outcomes []restoration.Outcome) []answer {
	list := make([]answer, len(outcomes))
	for i, out := range outcomes {
		list[i] = answer{ID: events[i].ID, Outcome: out.Result, Reason: out.Reason, Wants: wants(out)}
		if !out.AllowedFrom.IsZero() {
			list[i].AllowedFrom = out.AllowedFrom.UTC().Format(time.RFC3339)
		}
	}
	return list
}

func bodyStatus(err error) int {
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		return http.StatusRequestEntityTooLarge
	}
	return http.StatusBadRequest
}

func bodyFault(err error) string {
	if bodyStatus(err) == http.StatusRequestEntityTooLarge {
		return "These entries take more than 2 MB together. Send fewer at once."
	}
	return "The entries didn't arrive whole. Send them again."
}

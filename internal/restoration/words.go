package restoration

import (
	"fmt"
	"strconv"
	"strings"
)

// Words tells an entry of the ledger in a sentence, without who and when: the page
// puts those beside it. Figures are in the shop's unit; what the rules found when it was
// made stays as it was said then.
func Words(e Entry, units Units) string {
	text := ActWords(e, units)
	for _, more := range details(e.Event, units) {
		text += "; " + strings.TrimSuffix(more, ".")
	}
	switch e.Outcome.Result {
	case Refused:
		return "Refused: " + text + ". " + e.Outcome.Reason
	case Already:
		if !e.wentOn() { // whose reason speaks to the person
			return text + ". " + e.Outcome.Reason
		}
	}
	return text
}

// wentOn tells whether a person set the clock going on what they had in hand.
func (e Entry) wentOn() bool {
	return e.Event.Kind == KindStart && e.Outcome.Result == Already && e.Outcome.Reason == haveInHand
}

// ActWords tells only what was done in an entry: "Ticked cut".
func ActWords(e Entry, units Units) string {
	stage := e.Stage
	if stage == "" {
		stage = e.Event.Stage
	}
	return act(e, lower(stage), units)
}

// ActWordsOf is [ActWords] of several entries of one kind: what differs between them is
// left out. There is at least one.
func ActWordsOf(list []Entry, units Units) string {
	first := list[0]
	for _, e := range list {
		if ActWords(e, units) != ActWords(first, units) {
			first.Event.Coat, first.Event.Cut, first.Event.Reading = nil, nil, nil
		}
	}
	return ActWords(first, units)
}

func act(e Entry, stage string, units Units) string {
	p := e.Event.Payload
	switch e.Event.Kind {
	case KindTick:
		return "Ticked " + stage
	case KindUntick:
		return "Unticked " + stage
	case KindStart:
		if e.wentOn() {
			return "Went on with " + stage
		}
		return "Took " + stage + " in hand"
	case KindPause:
		return "Stopped the timer on " + stage
	case KindCorrect:
		return "Corrected the hours of " + stage + corrected(p)
	case KindSkip:
		return "Skipped " + stage
	case KindSendBack:
		return "Sent back to " + stage + ": " + defectName(p.Defect)
	case KindHold:
		return "Put on hold"
	case KindRelease:
		return "Released from hold"
	case KindLogTime:
		return "Logged time on " + stage
	case KindStillToGo:
		return "Said what is left of " + stage
	case KindNote:
		return "Note"
	case KindPhoto:
		return photoAct(stage)
	case KindMove:
		if p.Place == "" {
			return "Moved; place not known"
		}
		return "Moved to " + p.Place
	case KindOpen:
		return fmt.Sprintf("Put on the list with %d stages", len(p.Plan))
	case KindReplan:
		return replanned(p, stage)
	case KindRemove:
		return "Taken off the list"
	case KindRestore:
		return "Put back on the list"
	case KindCoat, KindCutPass, KindReading, KindStrike:
		return filmAct(e.Event, stage, units)
	}
	return carAct(e.Event.Kind)
}

func carAct(k Kind) string {
	switch k {
	case KindCarStart:
		return "Survey closed, work begins"
	case KindCarHold:
		return "Car put on hold"
	case KindCarRelease:
		return "Car released from hold"
	case KindCarDeliver:
		return "Car delivered"
	case KindCarReopen:
		return "Car taken in again"
	case KindSettle:
		return "A refused entry was settled"
	}
	return string(k)
}

func replanned(p Payload, stage string) string {
	if len(p.Plan) == 1 && p.Plan[0].Overtyped {
		h := p.Plan[0].Hours
		return fmt.Sprintf("Planned hours of %s set to %s (%s to %s)", stage, h.Likely.Decimal(), h.Low.Decimal(), h.High.Decimal())
	}
	var likely Minutes
	for _, plan := range p.Plan {
		likely += plan.Hours.Likely
	}
	return fmt.Sprintf("Planned again after a change: %s on %d stages", likely.Decimal(), len(p.Plan))
}

func defectName(key string) string {
	if d, ok := FindDefect(key); ok && key != DefectOther {
		return lower(d.Name)
	}
	if key == DefectOther {
		return "another defect"
	}
	return key
}

// corrected says which hours took the place of which.
func corrected(p Payload) string {
	if p.Was == nil || p.Hours == nil {
		return ""
	}
	return " from " + p.Was.Decimal() + " to " + p.Hours.Decimal()
}

// details are what the entry says beyond its act.
func details(e Event, units Units) []string {
	var out []string
	if e.Hours != nil && *e.Hours > 0 && e.Kind != KindCorrect {
		what := " logged"
		switch e.Kind {
		case KindSendBack:
			what = " of work to do again"
		case KindUntick:
			what = " taken back"
		}
		out = append(out, e.Hours.Decimal()+what)
	}
	if e.StillToGo != nil {
		out = append(out, e.StillToGo.Decimal()+" still to go")
	}
	if f := e.Facts; f != nil {
		out = append(out, f.told(units)...)
	}
	if r := strings.TrimSpace(e.Reason); r != "" {
		out = append(out, "reason: "+r)
	}
	if n := strings.TrimSpace(e.Note); n != "" {
		out = append(out, "“"+n+"”")
	}
	return out
}

// PassWords says of a pass after which send-back of the piece it was opened: "after the 2nd
// send-back"; "" of the first pass. A stage may have none of the passes between.
func PassWords(pass int) string {
	if pass <= 1 {
		return ""
	}
	return "after the " + ordinal(pass-1) + " send-back"
}

func ordinal(n int) string {
	suffix := "th"
	if tens := n / 10 % 10; tens != 1 {
		switch n % 10 {
		case 1:
			suffix = "st"
		case 2:
			suffix = "nd"
		case 3:
			suffix = "rd"
		}
	}
	return strconv.Itoa(n) + suffix
}

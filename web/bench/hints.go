package bench

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// hints are what is pointed out before the work: a coat has its hour, one hand grains a whole car (common
// practice, no source), and a piece in a set is looked at beside its set.
func hints(in pieceInput, stage restoration.Stage) []ui.Notice {
	var list []ui.Notice
	if late := in.Piece.Sum.LateFrom; !late.IsZero() {
		list = append(list, windowHint(in, late))
	}
	if stage.Look == restoration.LookStripped {
		list = append(list, photoHint(in))
	}
	if stage.Look == restoration.LookGrained {
		if h := grainHint(in, stage.Key); h.Text != "" {
			list = append(list, h)
		}
	}
	if in.Piece.Set != "" {
		list = append(list, ui.Notice{Kind: ui.NoticeInfo, Text: "Must match the set “" + in.Piece.Set + "”."})
	}
	if in.Piece.Note != "" {
		list = append(list, ui.Notice{Kind: ui.NoticeInfo, Text: in.Piece.Note})
	}
	return list
}

// windowHint says until when the next coat must be on.
func windowHint(in pieceInput, late time.Time) ui.Notice {
	text := upperFirst(in.Piece.Sum.WindowWords(in.Now))
	if late.Before(in.Now) {
		return ui.Notice{Kind: ui.NoticeCaution, Text: text + "."}
	}
	return ui.Notice{Kind: ui.NoticeInfo, Text: text + ", until " + ui.Clock(late, in.Now, in.Loc) + "."}
}

// grainHint names who grained the car's other pieces, whoever did most first.
func grainHint(in pieceInput, stage string) ui.Notice {
	count, names := map[int64]int{}, map[int64]string{}
	for _, p := range in.Others {
		if p.ID == in.Piece.ID || !p.Removed.IsZero() {
			continue
		}
		for _, s := range p.Steps {
			if s.Stage == stage && s.State == restoration.StepDone {
				count[s.DoneBy]++
				names[s.DoneBy] = s.DoneName
			}
		}
	}
	if len(count) == 0 {
		return ui.Notice{}
	}
	hands := slices.SortedFunc(maps.Keys(count), func(a, b int64) int {
		return cmp.Or(cmp.Compare(count[b], count[a]), cmp.Compare(names[a], names[b]))
	})
	var parts []string
	for _, id := range hands {
		parts = append(parts, fmt.Sprintf("%s %d", names[id], count[id]))
	}
	hint := ui.Notice{Kind: ui.NoticeInfo, Text: "Grained on this car so far: " + strings.Join(parts, ", ") + "."}
	if count[in.Actor.PersonID] == 0 {
		hint.Kind = ui.NoticeCaution
		hint.Text += " One hand grains a whole car: ask before you begin."
	}
	return hint
}

package office

import (
	"context"
	"slices"
	"strings"

	"scumble/internal/restoration"
)

// stageCaution is what is to be minded at some stages.
type stageCaution struct {
	Stages string // "Primed, grounded"
	Texts  []string
}

// carPaint is what the pieces of a car are to be painted with.
type carPaint struct {
	schemes   map[string]restoration.Scheme // by name in small letters
	materials []restoration.Material
	back      map[restoration.ID]string // the defect that sent a piece back, by the step of the stage that it went back to
}

// backsRead is how many send-backs of a car its travellers tell, the latest.
const backsRead = 1000

func (o *Office) loadCarPaint(ctx context.Context, carID int64) (carPaint, error) {
	p := carPaint{schemes: map[string]restoration.Scheme{}}
	schemes, err := o.shop.Schemes(ctx, carID)
	if err != nil {
		return p, err
	}
	for _, s := range schemes {
		p.schemes[restoration.KeyOf(s).Name] = s
	}
	if p.materials, err = o.shop.Materials(ctx); err != nil {
		return p, err
	}
	backs, err := o.shop.History(ctx, restoration.HistoryFilter{CarID: carID, Kind: restoration.KindSendBack, Limit: backsRead})
	p.back = defectsBySteps(backs)
	return p, err
}

// cautionsAhead are the cautions of the stages that are still to do, with those of the
// materials of the piece's scheme; each is said once, and those of the same stages stand
// together.
func (c carPaint) cautionsAhead(p restoration.Piece, route restoration.Route) []stageCaution {
	var texts []string
	stages := map[string][]string{} // by caution
	for _, s := range p.Steps {
		stage, ok := route.Stage(s.Stage)
		if !ok || !s.Current() || s.Settled() {
			continue
		}
		for _, said := range restoration.SchemeCautions(stage, c.schemes[strings.ToLower(p.Scheme)], c.materials) {
			text := asSentence(restoration.BenchCaution(said.Text))
			if stages[text] == nil {
				texts = append(texts, text)
			}
			stages[text] = append(stages[text], stage.Name)
		}
	}
	var list []stageCaution
	for _, text := range texts {
		of := lowerAfterFirst(stages[text])
		at := slices.IndexFunc(list, func(have stageCaution) bool { return have.Stages == of })
		if at < 0 {
			at, list = len(list), append(list, stageCaution{Stages: of})
		}
		list[at].Texts = append(list[at].Texts, text)
	}
	return list
}

// asSentence ends a text with a full stop where nothing else ends it: others follow it.
func asSentence(text string) string {
	if strings.HasSuffix(text, ".") || strings.HasSuffix(text, "!") || strings.HasSuffix(text, "?") {
		return text
	}
	return text + "."
}

// lowerAfterFirst writes names in one line: "Primed, grounded".
func lowerAfterFirst(names []string) string {
	line := names[0]
	for _, name := range names[1:] {
		line += ", " + lowerFirst(name)
	}
	return line
}

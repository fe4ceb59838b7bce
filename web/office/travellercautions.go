package office

import (
	"context"
	"slices"
	"strings"

	"scumble/internal/restoration"
)

// stageCaution is a caution with the stages that it belongs to.
type stageCaution struct{ Stages, Text string }

// carPaint is what the pieces of a car are to be painted with.
type carPaint struct {
	schemes   map[string]restoration.Scheme // by name in small letters
	materials []restoration.Material
}

func (o *Office) loadCarPaint(ctx context.Context, carID int64) (carPaint, error) {
	p := carPaint{schemes: map[string]restoration.Scheme{}}
	schemes, err := o.shop.Schemes(ctx, carID)
	if err != nil {
		return p, err
	}
	for _, s := range schemes {
		p.schemes[restoration.KeyOf(s).Name] = s
	}
	p.materials, err = o.shop.Materials(ctx)
	return p, err
}

// cautionsAhead are the cautions of the stages that are still to do, with those of the
// materials of the piece's scheme; each is said once.
func (c carPaint) cautionsAhead(p restoration.Piece, route restoration.Route) []stageCaution {
	var list []stageCaution
	for _, s := range p.Steps {
		stage, ok := route.Stage(s.Stage)
		if !ok || !s.Current() || s.Settled() {
			continue
		}
		for _, said := range restoration.SchemeCautions(stage, c.schemes[strings.ToLower(p.Scheme)], c.materials) {
			text := restoration.BenchCaution(said.Text)
			at := slices.IndexFunc(list, func(have stageCaution) bool { return have.Text == text })
			if at < 0 {
				list = append(list, stageCaution{stage.Name, text})
				continue
			}
			list[at].Stages += ", " + lowerFirst(stage.Name)
		}
	}
	return list
}

package ui

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"scumble/internal/restoration"
)

// PhotoGroup is the photos of one stage, in the order of time.
type PhotoGroup struct {
	Look   restoration.Look
	Word   string // the stage's name
	Photos []PhotoView
}

// PhotoView is one photo in a list.
type PhotoView struct {
	EventID       string
	Small, Large  string // addresses
	Width, Height int    // of the small one, in pixels
	Alt           string
	Piece         string
	Who, Note     string
	At            time.Time
	Pass          int
	Shown         bool // the customer may see it
}

// AsItCame is the word for what was there before the first stage.
const AsItCame = "As it came"

// PhotoGroups puts photos under their stages, in the order of the route; base is the
// address below which pictures are found. Photos come in the order of time and keep it.
func PhotoGroups(photos []restoration.PiecePhoto, base string) []PhotoGroup {
	type key struct {
		position int
		stage    string
	}
	keyOf := func(p restoration.PiecePhoto) key { return key{p.Position, p.Stage} }
	sorted := slices.Clone(photos)
	slices.SortStableFunc(sorted, func(a, b restoration.PiecePhoto) int {
		return cmp.Or(cmp.Compare(a.Position, b.Position), cmp.Compare(a.Stage, b.Stage))
	})
	var groups []PhotoGroup
	for i, p := range sorted {
		if i == 0 || keyOf(sorted[i-1]) != keyOf(p) {
			groups = append(groups, PhotoGroup{Look: p.StageLook, Word: cmp.Or(p.StageName, AsItCame)})
		}
		g := &groups[len(groups)-1]
		g.Photos = append(g.Photos, NewPhotoView(p, base))
	}
	return groups
}

// NewPhotoView shows a photo from the pictures below base.
func NewPhotoView(p restoration.PiecePhoto, base string) PhotoView {
	return PhotoView{EventID: p.EventID.String(), Small: base + "/" + p.Photo + "/small", Large: base + "/" + p.Photo,
		Width: p.SmallWidth, Height: p.SmallHeight, Alt: p.Piece + ", " + strings.ToLower(cmp.Or(p.StageName, AsItCame)), Piece: p.Piece,
		Who: p.Person, Note: p.Note, At: p.At, Pass: p.Pass, Shown: p.CustomerSees}
}

package ui

import "github.com/a-h/templ"

// GalleryFaces are the names under which GalleryPage shows the parts: the
// office's, the bench's and the customer's; the film section has a page for each of
// its sizes.
func GalleryFaces() []string { return []string{"office", "bench", "progress", "film", "film-bench"} }

// GalleryPage is a whole page that shows each component in each state, as the
// face named has it. ok is false for a name that is none of GalleryFaces.
func GalleryPage(face string) (page templ.Component, ok bool) {
	switch face {
	case "office":
		return galleryOffice(), true
	case "bench":
		return galleryBench(), true
	case "progress":
		return galleryProgress(), true
	case "film":
		return galleryFilm(), true
	case "film-bench":
		return galleryFilmBench(), true
	}
	return nil, false
}

func galleryNav() []NavItem {
	return []NavItem{
		{"office", "Office", "/gallery/office"},
		{"bench", "Bench", "/gallery/bench"},
		{"progress", "Customer", "/gallery/progress"},
		{"film", "Film", "/gallery/film"},
	}
}

func galleryProps(face, title string) PageProps {
	return PageProps{
		Title: title, Nav: face, NavItems: galleryNav(), ShopName: "Harrow Lane Trim",
		Person: "Ada Ferreira", PersonID: "gallery", Demo: true,
	}
}

func galleryCustomer() PageProps {
	return PageProps{
		Title: "Your car's trim", Tab: "Progress", ShopName: "Harrow Lane Trim", Demo: true,
		Lede: "31 of 41 pieces are grained or further; we expect it between 19 and 27 March.",
	}
}

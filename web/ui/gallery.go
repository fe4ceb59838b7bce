package ui

import "github.com/a-h/templ"

// GalleryFaces are the names under which GalleryPage shows the parts: the
// office's, the bench's and the customer's.
func GalleryFaces() []string { return []string{"office", "bench", "progress"} }

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
	}
	return nil, false
}

func galleryNav() []NavItem {
	return []NavItem{
		{"office", "Office parts", "/gallery/office"},
		{"bench", "Bench parts", "/gallery/bench"},
		{"progress", "Customer's parts", "/gallery/progress"},
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

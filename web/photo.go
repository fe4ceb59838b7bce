package web

import (
	"errors"
	"fmt"
	"mime/multipart"
	"net/http"
	"net/url"
	"strconv"

	"scumble/internal/photos"
	"scumble/internal/restoration"
)

// The bounds of a form with photos: its size, and how many photos it may hold.
const (
	MaxPhotoForm = photos.MaxBytes + 1<<20
	maxPhotos    = 20
)

// inMemory is how much of a form stays in memory, in bytes; the rest of its files lies
// on disk until their turn comes.
const inMemory = 1 << 20

// ReadPhotos reads a multipart form with one photo or more in its fields "photo". What is
// wrong is a Problem at that field; then none of the photos is to be kept. The fields are
// given even so, as far as they came.
func ReadPhotos(w http.ResponseWriter, r *http.Request, in *photos.Intake) (url.Values, []photos.Photo, error) {
	r.Body = http.MaxBytesReader(w, r.Body, MaxPhotoForm)
	err := r.ParseMultipartForm(inMemory)
	if r.MultipartForm != nil {
		defer func() { _ = r.MultipartForm.RemoveAll() }() // the system clears what is left of its temporary files
	}
	if err != nil {
		return r.PostForm, nil, photoFormFault(err)
	}
	var files []*multipart.FileHeader
	for _, f := range r.MultipartForm.File["photo"] {
		if f.Filename != "" || f.Size > 0 { // else the field was left empty
			files = append(files, f)
		}
	}
	switch {
	case len(files) == 0:
		return r.PostForm, nil, photoFault("Choose a photo first, or take one.")
	case len(files) > maxPhotos:
		return r.PostForm, nil, photoFault("These are %d photos; send at most %d at once.", len(files), maxPhotos)
	}
	taken := make([]photos.Photo, len(files))
	for i, f := range files {
		if taken[i], err = takePhoto(r, in, f); err != nil {
			return r.PostForm, nil, ofSeveral(err, i, len(files))
		}
	}
	return r.PostForm, taken, nil
}

func takePhoto(r *http.Request, in *photos.Intake, f *multipart.FileHeader) (photos.Photo, error) {
	file, err := f.Open()
	if err != nil {
		return photos.Photo{}, fmt.Errorf("open a photo that was sent: %w", err)
	}
	defer file.Close()
	return in.TakeFrom(r.Context(), file)
}

// ofSeveral says which of the photos is at fault.
func ofSeveral(err error, i, of int) error {
	if p, ok := restoration.AsProblem(err); ok && of > 1 {
		return photoFault("Photo %d of %d: %s None was saved.", i+1, of, p.Message)
	}
	return err
}

func photoFault(text string, args ...any) error {
	return restoration.Problemf(restoration.TroubleInvalid, "photo", text, args...)
}

func photoFormFault(err error) error {
	var tooLarge *http.MaxBytesError
	switch {
	case errors.As(err, &tooLarge):
		return photoFault("The photos have more than %d MB together. Send fewer at once, or take them at a smaller size.", photos.MaxBytes>>20)
	case errors.Is(err, http.ErrNotMultipart):
		return photoFault("The photo didn't come with the form. Choose it again.")
	}
	return photoFault("The photo didn't arrive whole. Send it again.")
}

// ServePicture answers with a photo of the shop. Its address names what is on it, so that
// a browser may keep it for good; no cache between them may.
func ServePicture(w http.ResponseWriter, jpeg []byte) error {
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	return WritePicture(w, jpeg)
}

// WritePicture answers with a JPEG, and leaves to the caller who may keep it.
func WritePicture(w http.ResponseWriter, jpeg []byte) error {
	h := w.Header()
	h.Set("Content-Type", "image/jpeg")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Content-Length", strconv.Itoa(len(jpeg)))
	_, err := w.Write(jpeg)
	return err
}

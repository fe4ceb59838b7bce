package office

import (
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
)

// maxUpload bounds what is read of one request. It is above the largest table, so
// that a table which is somewhat too large is told so by the page, with all else
// that was typed.
const maxUpload = 4 * trimlist.MaxBytes

// The fields of a table: as a file, and as text. The text carries the file on once it
// has been read, so that it need not be chosen again.
const (
	listFile = "file"
	listText = "list"
	listSeen = "seen" // print of the text that the last page showed
)

// readListForm reads a posted form that may hold a table as a file. The file's text
// takes the place of the text field.
func readListForm(w http.ResponseWriter, r *http.Request) (*form, error) {
	r.Body = http.MaxBytesReader(w, r.Body, maxUpload)
	parts, err := r.MultipartReader()
	if err != nil {
		return readForm(w, r)
	}
	f := &form{values: url.Values{}}
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			r.PostForm = f.values // as after any other form: it can be read only once
			return f, nil
		}
		if err != nil {
			return nil, damaged(err)
		}
		if err := f.readPart(part); err != nil {
			return nil, damaged(err)
		}
	}
}

// readPart keeps a field, or what of a file is not too large. What follows is
// skipped, so that the fields behind it are read too.
func (f *form) readPart(part *multipart.Part) error {
	name, most := part.FormName(), int64(maxForm)
	if name == listFile || name == listText {
		most = trimlist.MaxBytes
	}
	raw, err := io.ReadAll(io.LimitReader(part, most+1))
	if err != nil {
		return err
	}
	if int64(len(raw)) > most {
		f.fault(name, "%s", tooLarge(name))
		_, err := io.Copy(io.Discard, part)
		return err
	}
	switch {
	case name != listFile:
		f.values.Add(name, string(raw))
	case len(raw) > 0:
		f.values.Set(listText, strings.TrimPrefix(string(raw), trimlist.BOM))
	}
	return nil
}

func tooLarge(name string) string {
	if name == listFile || name == listText {
		return "The table is larger than 10 MB. Split it, or leave out what is no trim list."
	}
	return "The text is longer than 1 MB. Shorten it."
}

func damaged(err error) error {
	var limit *http.MaxBytesError
	if errors.As(err, &limit) {
		return restoration.Problemf(restoration.TroubleInvalid, "",
			"The table is far larger than the 10 MB that can be read. Go back, split it, and send one part at a time.")
	}
	return restoration.Problemf(restoration.TroubleInvalid, "", "The form arrived damaged. Go back and send it again.")
}

package office

import (
	"net/http"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const referencePath = "/office/reference"

// referencePage is every formula in use, and what shows that it is computed rightly.
type referencePage struct {
	Page     ui.PageProps
	Subjects []referenceSubject
	Agree    int
	All      int
}

type referenceSubject struct {
	Name  string
	Lines []referenceLine
}

type referenceLine struct {
	restoration.Reference
	Got   string // what the program gives now
	Holds bool
}

// showReference computes every check while the page is drawn.
func (o *Office) showReference(w http.ResponseWriter, r *http.Request) error {
	p := newReferencePage(restoration.References())
	p.Page = o.page(r, ui.PageProps{Title: "Reference", Nav: "settings",
		Lede: "Every formula in use, where it comes from, and a check that this program computed a moment ago. Do one by hand: it should come out the same."})
	return web.Render(w, r, http.StatusOK, referenceView(p))
}

func newReferencePage(refs []restoration.Reference) referencePage {
	p := referencePage{All: len(refs)}
	for _, ref := range refs {
		if n := len(p.Subjects); n == 0 || p.Subjects[n-1].Name != ref.Subject {
			p.Subjects = append(p.Subjects, referenceSubject{Name: ref.Subject})
		}
		line := referenceLine{Reference: ref, Got: ref.Now()}
		if line.Holds = line.Got == ref.Expect; line.Holds {
			p.Agree++
		}
		last := &p.Subjects[len(p.Subjects)-1]
		last.Lines = append(last.Lines, line)
	}
	return p
}

package office

import (
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
	"scumble/internal/restoration"
)

// openDesk opens a real browser on the floor, signed in.
func (f floor) openDesk(d browsertest.Device) *browsertest.Tab {
	b := browsertest.Open(f.shopWindow.t, f.server.URL, d)
	b.Go("/in")
	return b
}

// A tick shows on the car's page without a reload, and nothing that was picked or
// typed is lost by it.
func TestLiveLosesNothing(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "1936 Brennick Eight"}, 6)
	b := f.openDesk(browsertest.Desk)
	b.Go(carPath(car.WorkOrder))
	b.Await(`document.querySelector("[data-bulk]").hidden`)
	b.Press("#pick-" + pieces[2].ID.String())
	b.Await(`document.querySelector("[data-picked]").innerText === "1"`)
	b.Fill("#to_set", "dash")
	b.Eval(`document.querySelector("#to_set").focus(), ""`)

	start := time.Now()
	f.enter(restoration.Applied, f.work(pieces[0], f.ida, restoration.KindTick))
	row := `document.querySelector("#piece-` + pieces[0].ID.String() + `").closest("tr").innerText`
	b.Await(row + `.includes("Ida Marl")`)
	t.Logf("the tick stood on the page after %v", time.Since(start))
	b.Await(`document.querySelector("#past").innerText.includes("Ticked stripped")`)
	require.Equal(t, "dash", b.Eval(`document.querySelector("#to_set").value`))
	require.Equal(t, "to_set", b.Eval(`document.activeElement.id`))
	require.Equal(t, "true", b.Eval(`String(document.getElementById("pick-`+pieces[2].ID.String()+`").checked)`))
	require.Equal(t, "1", b.Eval(`String(document.querySelectorAll("[data-plan] a.selected[data-piece='`+pieces[2].ID.String()+`']").length > 0 ? 1 : 0)`))

	// A second change still finds its way: the region that was put in listens as well.
	f.enter(restoration.Applied, restoration.Event{Kind: restoration.KindHold, PieceID: pieces[1].ID, Payload: restoration.Payload{Reason: "hinge pin"}})
	b.Await(`document.querySelector("#live").innerText.includes("is held for less than a day: hinge pin")`)
	b.Submit("Change them")
	b.Says("1 piece changed.")
	require.Equal(t, "dash", f.found(pieces[2].ID).Set)
}

// A line of what needs a look that somebody opened stays open while the page fetches
// itself anew, with the keyboard where it was, and takes in what came meanwhile.
func TestLiveKeepsWhatIsOpen(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "1936 Brennick Eight"}, 4)
	refuse := func(p restoration.Piece) {
		f.enter(restoration.Refused, restoration.Event{Kind: restoration.KindHold, PieceID: p.ID})
	}
	refuse(pieces[0])
	refuse(pieces[1])
	b := f.openDesk(browsertest.Desk)
	b.Go("/office")
	line := `document.querySelector("#look details")`
	require.Equal(t, "false", b.Eval(`String(`+line+`.open)`))
	b.Eval(line + `.open = true, ` + line + `.firstElementChild.focus(), ""`)
	for i, p := range pieces[2:] {
		refuse(p)
		b.Await(line + `.querySelectorAll("li").length === ` + strconv.Itoa(i+3))
		require.Equal(t, "true", b.Eval(`String(`+line+`.open)`))
		require.Equal(t, "SUMMARY", b.Eval(`document.activeElement.tagName`))
	}

	b.Eval(line + `.open = false, ""`)
	f.enter(restoration.Applied, restoration.Event{Kind: restoration.KindHold, PieceID: pieces[0].ID, Payload: restoration.Payload{Reason: "hinge pin"}})
	b.Await(`document.querySelector("#look").innerText.includes("hinge pin")`)
	require.Equal(t, "false", b.Eval(`String(`+line+`.open)`), "what was shut stays shut")
}

// As soon as something is ticked, what may be done with it is in sight, wherever the
// page stands, and covers neither the end of the page nor more than half the window.
func TestBulkBarIsInSight(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "1936 Brennick Eight"}, 0)
	b := f.openDesk(browsertest.Desk)
	b.Go(carPath(car.WorkOrder))
	b.Await(`document.querySelector("[data-bulk]").hidden`)
	for _, p := range pieces[:12] { // by script: a refetch may put the row elsewhere under a pointer
		b.Eval(`document.getElementById("pick-` + p.ID.String() + `").click(), ""`)
	}
	b.Await(`document.querySelector("[data-bulk]").innerText.includes("Change the ticked pieces") && document.querySelector("[data-picked]").innerText === "12"`)
	for _, at := range []string{"0", "document.body.scrollHeight"} {
		b.Eval(`scrollTo({top: ` + at + `, behavior: "instant"}), ""`)
		b.Await(`(r => r.bottom === innerHeight && r.top >= innerHeight / 2)(document.querySelector("[data-bulk]").getBoundingClientRect())`)
	}
	b.Await(`document.querySelector("main > :last-child").getBoundingClientRect().bottom <= document.querySelector("[data-bulk]").getBoundingClientRect().top`)
	b.Shot("bulk")
	b.Submit("Take them off the list …")
	b.Says("each can be put back")
	require.Len(t, f.pieces(car), len(pieces), "asked first")
	b.Submit("Take off 12 pieces")
	b.Says("12 pieces taken off the list.")
	require.Len(t, f.pieces(car), len(pieces)-12)
	b.Await(`document.querySelectorAll("#removed-head ~ ul form").length === 12`)
}

// Twelve pieces are changed at once by three clicks and a word: the first, the last with
// the shift key, and the button.
func TestTwelvePiecesTakeThreeClicks(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "1936 Brennick Eight"}, 0)
	b := f.openDesk(browsertest.Desk)
	b.Go(carPath(car.WorkOrder))
	b.Await(`document.querySelector("[data-bulk]").hidden`)
	b.Eval(`(() => {
		const boxes = document.querySelectorAll("[data-select-table] input[data-piece]");
		for (const [i, shiftKey] of [[0, false], [11, true]]) boxes[i].dispatchEvent(new MouseEvent("click", {shiftKey, bubbles: true, cancelable: true}));
		return "";
	})()`)
	b.Await(`document.querySelector("[data-picked]").innerText === "12"`)
	b.Fill("#to_set", "dash")
	b.Submit("Change them")
	b.Says("12 pieces changed.")
	require.Equal(t, "dash", f.found(pieces[11].ID).Set)
}

// On a phone the head is one line with a menu, and "/" still goes to the search.
func TestHeadOfAPhoneIsOneLine(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	b := f.openDesk(browsertest.Phone)
	b.Go("/office")
	b.Await(`document.querySelector(".masthead-in").offsetHeight <= 64`)
	b.Await(`document.body.dispatchEvent(new KeyboardEvent("keydown", {key: "/", bubbles: true})), document.activeElement.id === "search"`)
	b.Press(".menu > summary")
	b.Await(`document.querySelector(".menu-in a[href='/office/routes']").checkVisibility()`)
	b.Press(".menu-in a[href='/office/routes']")
	b.At("/office/routes")
}

// No page has a barrier that axe-core finds, nor is wider than its screen.
func TestOfficeWithoutBarriers(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, _ := f.fill()
	piece := f.pieces(car)[6]
	paths := []string{"/office", "/office?delivered=1&all=1", "/office/work?now=waiting", "/office/search?q=door", "/office/search",
		carPath(car.WorkOrder), carPath(car.WorkOrder) + "?now=held", carPath(car.WorkOrder) + "/history", carPath(car.WorkOrder) + "/pieces/new",
		piecePath(piece.ID), piecePath(piece.ID) + "?plan=" + piece.Sum.NextStep.String(), piecePath(piece.ID) + "/edit"}
	b := f.openDesk(browsertest.Desk)
	for i, path := range paths {
		b.Go(path)
		require.Empty(t, b.Barriers(), path)
		for _, d := range browsertest.AllDevices {
			b.Resize(d)
			require.Equal(t, "0", b.TooWide(), "%s at %d", path, d.W)
			b.Shot(strings.ReplaceAll(formatID(d.W)+"-"+formatID(int64(i)), " ", ""))
		}
	}
}

package bench

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// A picture that the tablet has lost holds up none that it still has.
func TestOutboxWithoutItsPicture(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	b.Go("/bench/nottaken")
	b.awaitOutbox()
	piece := s.pieces["Ash tray"].ID
	b.Run(`(async () => {
		const canvas = Object.assign(document.createElement("canvas"), { width: 40, height: 30 });
		canvas.getContext("2d").fillRect(0, 0, 20, 30);
		const picture = await new Promise((done) => canvas.toBlob(done, "image/jpeg"));
		const at = new Date().toISOString();
		const photo = () => ({ person: document.body.dataset.person, name: "Ada", made: Date.now(), picture,
			event: { id: scumble.uuid7(), kind: "photo", piece: "` + piece.String() + `", at, clock: at } });
		const lost = photo();
		await scumble.outbox.add([lost, photo()]);
		const db = await idb.openDB("scumble");
		await db.delete("pictures", lost.event.id);
		db.close();
		scumble.outbox.wake();
	})()`)
	b.tells("[data-held-refused] [data-reason]", "Take the photo again")
	b.says("[data-saved]", "all sent")
	photos, err := s.store.Photos(t.Context(), restoration.PhotoFilter{PieceID: piece})
	require.NoError(t, err)
	require.Len(t, photos, 1)
}

// Where the browser has no locks two pages may send the same: a refusal that comes late
// does not bring back what was let go, nor take the place of another try.
func TestOutboxARefusalOfWhatIsGone(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	b.Go("/bench/nottaken")
	b.awaitOutbox()
	b.Run(`(async () => {
		const id = scumble.uuid7();
		const at = new Date().toISOString();
		scumble.post = () => new Promise((resolve) => (self.answer = () => resolve({ status: 200, outcomes: [{ id, outcome: "refused", reason: "late" }] })));
		await scumble.outbox.add([{ person: document.body.dataset.person, name: "Ada", made: Date.now(),
			event: { id, kind: "note", note: "gone", piece: "` + s.pieces["Ash tray"].ID.String() + `", at, clock: at } }]);
		self.sent = scumble.outbox.wake();
		self.gone = id;
	})()`)
	b.Await(`self.answer`)
	b.Run(`(async () => {
		await scumble.outbox.remove(self.gone);
		self.answer();
		self.became = await self.sent;
		self.left = await scumble.outbox.count("refused");
	})()`)
	b.Await(`self.left !== undefined`)
	require.Equal(t, "done 0", b.Eval(`self.became + " " + self.left`))
}

// Another try that finds no room says so, and can be made again.
func TestOutboxTryAgainWithoutRoom(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	s.enter(holdOf(s, "Ash tray", s.ben, "Waits for the owner"))
	b.Go("/bench/nottaken")
	b.awaitOutbox()
	b.Run(`(async () => {
		const at = new Date().toISOString();
		await scumble.outbox.add([{ person: document.body.dataset.person, name: "Ada", made: Date.now(), event: { id: scumble.uuid7(), kind: "tick",
			step: "` + s.piece("Ash tray").Sum.NextStep.String() + `", piece: "` + s.pieces["Ash tray"].ID.String() + `", at, clock: at } }]);
		scumble.outbox.wake();
	})()`)
	b.tells("[data-held-refused] [data-reason]", "on hold")
	b.Run(`self.put = IDBObjectStore.prototype.put, IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError") }`)
	b.tap(`[data-held-do="again"]`)
	b.tells("[data-refusal]", "no room")
	b.Run(`IDBObjectStore.prototype.put = self.put`)
	b.tap(`[data-held-do="again"]`)
	b.tells("[data-held-refused] [data-reason]", ": still refused. ")
}

package bench

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"time"

	"github.com/alexedwards/scs/v2"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/web"
)

// A pass lets a tablet send what a person entered on it after they have signed out, or
// while somebody else is signed in. It is made for the first page after a sign-in, is worth
// something on that one tablet only, and opens nothing but the intake of entries and of
// which cautions were read. It is
// asked for anew at every use whether the tablet and the person may still enter.
const (
	passHeader = "Scumble-Pass"
	// passLife is how long a tablet may lie in a drawer; after that its entries wait until
	// the person signs in on it again.
	passLife = 30 * 24 * time.Hour

	keyPass = "pass"
)

// passOf is what the server keeps of a pass, beside the sessions and under the hash of
// its token.
type passOf struct {
	Person int64 `json:"person"`
	Device int64 `json:"device"`
}

func passKey(token string) string { return "pass:" + hex.EncodeToString(access.HashToken(token)) }

// givePass gives the pass of the session, made on first use.
func (b *Bench) givePass(ctx context.Context, v visit) (string, error) {
	if token := b.sessions.GetString(ctx, keyPass); token != "" {
		return token, nil
	}
	token, _, err := access.NewToken()
	if err != nil {
		return "", err
	}
	kept, err := json.Marshal(passOf{Person: v.person.ID, Device: v.device.ID})
	if err != nil {
		return "", err
	}
	if err := commitKept(ctx, b.sessions.Store, passKey(token), kept, time.Now().Add(passLife)); err != nil {
		return "", err
	}
	b.sessions.Put(ctx, keyPass, token)
	return token, nil
}

// findPass gives who may enter with the pass on the tablet; false when it is too old,
// of another tablet, or none at all.
func (b *Bench) findPass(ctx context.Context, token string, d restoration.Device) (person int64, ok bool, err error) {
	kept, found, err := findKept(ctx, b.sessions.Store, passKey(token))
	if err != nil || !found {
		return 0, false, err
	}
	var p passOf
	if json.Unmarshal(kept, &p) != nil || p.Device != d.ID {
		return 0, false, nil
	}
	return p.Person, true, nil
}

// needEnterer lets pass who shows a pass, under the name of its person; without one, the
// person of the session. Who shows one is answered as a script.
func (b *Bench) needEnterer(next http.Handler) http.Handler {
	signedIn := b.needPerson(next)
	return b.handle(func(w http.ResponseWriter, r *http.Request) error {
		token := r.Header.Get(passHeader)
		if token == "" {
			signedIn.ServeHTTP(w, r)
			return nil
		}
		r.Header.Set("Accept", "application/problem+json") // pages have no pass
		v := visitOf(r)
		id, ok, err := b.findPass(r.Context(), token, v.device)
		if err != nil {
			return err
		}
		if !ok {
			web.WriteProblem(w, http.StatusUnauthorized, "What this tablet holds of you waits until you sign in on it again.")
			return nil
		}
		person, err := b.shop.FindPerson(r.Context(), id)
		if err != nil {
			return err
		}
		if err := access.CheckMayEnter(person); err != nil {
			web.WriteProblem(w, http.StatusForbidden, err.Error())
			return nil
		}
		v.person = person
		next.ServeHTTP(w, withVisit(r, v))
		return nil
	})
}

// own tells whether the visit is of the person of the session: what is said to them is
// kept there, and is nobody else's.
func (b *Bench) own(r *http.Request) bool {
	return b.sessions.GetInt64(r.Context(), keyPerson) == visitOf(r).person.ID
}

func findKept(ctx context.Context, s scs.Store, key string) ([]byte, bool, error) {
	if s, ok := s.(scs.CtxStore); ok {
		return s.FindCtx(ctx, key)
	}
	return s.Find(key)
}

func commitKept(ctx context.Context, s scs.Store, key string, data []byte, until time.Time) error {
	if s, ok := s.(scs.CtxStore); ok {
		return s.CommitCtx(ctx, key, data, until)
	}
	return s.Commit(key, data, until)
}

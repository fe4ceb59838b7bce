package store

import (
	"slices"

	"github.com/jackc/pgx/v5/pgtype"

	"scumble/internal/restoration"
)

// sendIDsAsUUIDs has a connection write ids as the 16 bytes that they are. By the text that
// [restoration.ID.Value] gives, which is the driver's last resort, a tick spent more on its
// ids than on all else that it sends.
func sendIDsAsUUIDs(m *pgtype.Map) {
	m.TryWrapEncodePlanFuncs = slices.Insert(m.TryWrapEncodePlanFuncs, 0, func(value any) (pgtype.WrappedEncodePlanNextSetter, any, bool) {
		id, ok := value.(restoration.ID)
		return &idPlan{}, boundID(id), ok
	})
}

// idPlan hands an id on as a uuid.
type idPlan struct{ next pgtype.EncodePlan }

func (p *idPlan) SetNext(next pgtype.EncodePlan) { p.next = next }

func (p *idPlan) Encode(value any, buf []byte) ([]byte, error) {
	return p.next.Encode(boundID(value.(restoration.ID)), buf)
}

// boundID is an id as the driver takes it: the zero id is null.
type boundID restoration.ID

func (id boundID) UUIDValue() (pgtype.UUID, error) {
	return pgtype.UUID{Bytes: id, Valid: !restoration.ID(id).IsZero()}, nil
}

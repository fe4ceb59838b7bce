package demo

import (
	"context"
	"slices"
	"time"

	"scumble/internal/access"
	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// stock brings in the paints, each in the place of an example.
func (l *loader) stock(ctx context.Context) error {
	have, err := l.store.Materials(ctx)
	if err != nil {
		return err
	}
	slices.SortFunc(have, func(a, b restoration.Material) int { return int(a.ID - b.ID) })
	for i, m := range l.tale.Paints {
		m.ID = 0
		if i < len(have) {
			m.ID = have[i].ID
		}
		if m, err = l.store.SaveMaterial(ctx, l.actor(owner), m); err != nil {
			return err
		}
		l.paints = append(l.paints, m.ID)
	}
	return nil
}

// tin puts a tin on the shelf, or changes one that stands there.
func (l *loader) tin(ctx context.Context, lot restoration.Lot) error {
	number := lot.ID
	lot.ID, lot.Material = l.tins[number], l.paints[lot.Material-1]
	lot, err := l.store.SaveLot(ctx, l.actor(owner), lot)
	l.tins[number] = lot.ID
	return err
}

// agree saves what the film of a car's pieces must come to.
func (l *loader) agree(ctx context.Context, carID int64, s restoration.Scheme) error {
	s.ID, s.CarID, s.GroundLot = 0, carID, l.tins[s.GroundLot]
	materials := map[coating.Layer]int64{}
	for layer, paint := range s.Materials {
		materials[layer] = l.paints[paint-1]
	}
	s.Materials = materials
	_, err := l.store.SaveScheme(ctx, l.actor(owner), s)
	return err
}

// coat is a coat of the tale by the numbers of the store.
func (l *loader) coat(c restoration.Coat) *restoration.Coat {
	c.Material = l.paints[c.Material-1]
	c.Lots = slices.Clone(c.Lots)
	for i := range c.Lots {
		c.Lots[i].Lot = l.tins[c.Lots[i].Lot]
	}
	return &c
}

// sense has a sensor send the air of the tale.
func (l *loader) sense(ctx context.Context) error {
	_, token, err := access.NewToken()
	if err != nil {
		return err
	}
	sensor, err := l.store.AddSensor(ctx, l.actor(owner), "Booth", token)
	if err != nil {
		return err
	}
	_, err = l.store.RecordAir(ctx, sensor.ID, l.tale.Air)
	return err
}

// certify enters who has been trained for what: one is due soon, one has run out.
func (l *loader) certify(ctx context.Context, now time.Time) error {
	kinds := restoration.CertificateKinds()
	training, fit := kinds[0], kinds[2]
	for _, c := range []struct {
		person int64
		kind   restoration.CertificateKind
		left   int // days until the last good day
		note   string
	}{
		{2, training, 800, ""}, {3, training, 1100, ""}, {4, training, 33, "Course is booked"},
		{2, fit, 140, "Half mask, size M"}, {3, fit, 210, "Half mask, size S"}, {4, fit, -12, "Half mask, size L"},
	} {
		until := day(now.AddDate(0, 0, c.left))
		_, err := l.store.AddCertificate(ctx, l.actor(owner), restoration.Certificate{PersonID: l.person(c.person), Kind: c.kind.Name,
			DoneOn: until.AddDate(-c.kind.Years, 0, 0), ValidUntil: until, Note: c.note})
		if err != nil {
			return err
		}
	}
	return nil
}

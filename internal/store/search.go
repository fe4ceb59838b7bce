package store

import (
	"context"
	"strings"
	"unicode"

	"github.com/jackc/pgx/v5"
	"golang.org/x/text/unicode/norm"

	"scumble/internal/restoration"
)

const (
	maxHits  = 100
	maxWords = 8
)

// Search finds cars and pieces by work order, car, customer, piece and label code. Each
// word of q must occur somewhere, in either case and with or without accents; a piece
// must have one of them in its own name or code. A whole work order or code comes first,
// then open cars before delivered ones, cars before pieces, and beginnings of words
// before their middles. Removed pieces are left out. limit is at most 100; 0 is 20.
func (s *Store) Search(ctx context.Context, q string, limit int) (_ []restoration.Hit, err error) {
	defer wrap(&err, "search for %.100q", q)
	words := searchWords(q)
	if len(words) == 0 {
		return nil, nil
	}
	if limit <= 0 {
		limit = 20
	}
	args := pgx.StrictNamedArgs{"whole": strings.Join(words, " "), "label": labelOf(q), "limit": min(limit, maxHits),
		"anywhere": patterns(words, "%"), "begins": patterns(words, "% ")}
	rows, err := s.pool.Query(ctx, searchSQL, args)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (restoration.Hit, error) {
		var h restoration.Hit
		err := row.Scan(&h.WorkOrder, &h.Car, &h.Customer, &h.PieceID, &h.Piece, &h.Label, &h.Zone)
		return h, err
	})
}

// searchSQL folds each car once and keeps a blank before every text, so that "% word"
// is the beginning of a word. The text of a piece is joined to its car's only where a
// word was found in the piece itself.
const searchSQL = `
	WITH found_cars AS MATERIALIZED (
		SELECT id, work_order, name, customer, state = 'delivered' AS delivered,
			` + foldedCar + ` AS folded
		FROM cars
	), found_pieces AS MATERIALIZED (
		SELECT id, car_id, name, label, zone, sort_order, folded FROM (
			SELECT *, ` + foldedPiece + ` AS folded FROM components WHERE removed_at IS NULL
		) AS p WHERE folded LIKE ANY (@anywhere) OR label = @label
	), hits AS (
		SELECT work_order, name AS car, customer, NULL::uuid AS piece_id, '' AS piece, '' AS label, '' AS zone,
			lower(work_order) = @whole AS exact, delivered, 0 AS kind, NOT folded LIKE ALL (@begins) AS middle, 0 AS sort_order
		FROM found_cars WHERE folded LIKE ALL (@anywhere)
		UNION ALL
		SELECT c.work_order, c.name, c.customer, p.id, p.name, p.label, p.zone,
			p.label = @label, c.delivered, 1, NOT p.folded LIKE ALL (@begins), p.sort_order
		FROM found_pieces p JOIN found_cars c ON c.id = p.car_id
		WHERE p.label = @label OR p.folded || c.folded LIKE ALL (@anywhere)
	)
	SELECT work_order, car, customer, piece_id, piece, label, zone FROM hits
	ORDER BY exact DESC, delivered, kind, middle, work_order DESC, sort_order, piece, piece_id
	LIMIT @limit`

// Accents are folded by a table, because Postgres has no such function without an
// extension. It holds for western and central European names; the query is folded by
// Unicode's own rules, which agree on these signs.
const (
	accented   = `ÀÁÂÃÄÅàáâãäåĀāĂăĄąÇçĆćČčĎďÈÉÊËèéêëĒēĖėĘęĚěĞğÌÍÎÏìíîïĪīĮįİĹĺĽľÑñŃńŇňÒÓÔÕÖòóôõöŌōŐőŔŕŘřŚśŠšŞşŤťÙÚÛÜùúûüŪūŮůŰűŲųÝŸýÿŹźŻżŽž`
	unaccented = `aaaaaaaaaaaaaaaaaaccccccddeeeeeeeeeeeeeeeeggiiiiiiiiiiiiillllnnnnnnoooooooooooooorrrrssssssttuuuuuuuuuuuuuuuuyyyyzzzzzz`

	foldedCar   = foldStart + `concat(' ', work_order, ' ', name, ' ', customer)` + foldEnd
	foldedPiece = foldStart + `concat(' ', name, ' ', label)` + foldEnd
	foldStart   = `lower(translate(`
	foldEnd     = `, '` + accented + `', '` + unaccented + `'))`
)

// searchWords gives the words of a query, folded as searchSQL folds what it looks in.
func searchWords(q string) []string {
	bare := strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFD.String(restoration.TidyName(q)))
	words := strings.Fields(strings.ToLower(norm.NFC.String(bare)))
	return words[:min(len(words), maxWords)]
}

// labelOf gives the label code that q is; "" when it is none, which no piece has.
func labelOf(q string) string {
	label, err := restoration.CheckLabel(q)
	if err != nil {
		return ""
	}
	return label
}

// patterns makes LIKE patterns that find each word behind the given start.
func patterns(words []string, start string) []string {
	escape := strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`)
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = start + escape.Replace(w) + "%"
	}
	return out
}

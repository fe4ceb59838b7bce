package store

import (
	"context"
	"strings"

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
// must have one of them in its own name or code, and its side counts as a word of it. A whole work order or code comes first,
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
		err := row.Scan(&h.WorkOrder, &h.Car, &h.Customer, &h.PieceID, &h.Piece, &h.Label, &h.Zone, &h.Side)
		return h, err
	})
}

// searchSQL folds each car and each piece once ("OFFSET 0" keeps Postgres from pulling
// the folding into every use of it) and puts a blank before every text, so that
// "% word" is the beginning of a word. The text of a piece is joined to its car's only
// where a word was found in the piece itself.
const searchSQL = `
	WITH found_cars AS MATERIALIZED (
		SELECT id, work_order, name, customer, state = 'delivered' AS delivered,
			' ' || work_order || ' ' || ` + foldStart + `name` + foldEnd + ` || ' ' || ` + foldStart + `customer` + foldEnd + ` AS folded
		FROM cars
	), found_pieces AS MATERIALIZED (
		SELECT id, car_id, name, label, zone, side, sort_order, folded FROM (
			SELECT id, car_id, name, label, zone, side, sort_order,
				' ' || ` + foldStart + `name` + foldEnd + ` || ' ' || lower(label) AS folded
			FROM components WHERE removed_at IS NULL OFFSET 0
		) AS p WHERE folded LIKE ANY (@anywhere) OR label = @label
	), hits AS (
		SELECT work_order, name AS car, customer, NULL::uuid AS piece_id, '' AS piece, '' AS label, '' AS zone, '' AS side,
			lower(work_order) = @whole AS exact, delivered, 0 AS kind, NOT folded LIKE ALL (@begins) AS middle, 0 AS sort_order
		FROM found_cars WHERE folded LIKE ALL (@anywhere)
		UNION ALL
		SELECT c.work_order, c.name, c.customer, p.id, p.name, p.label, p.zone, p.side,
			p.label = @label, c.delivered, 1, NOT p.folded LIKE ALL (@begins), p.sort_order
		FROM found_pieces p JOIN found_cars c ON c.id = p.car_id
		WHERE p.label = @label OR p.folded || ' ' || p.side || c.folded LIKE ALL (@anywhere)
	)
	SELECT work_order, car, customer, piece_id, piece, label, zone, side FROM hits
	ORDER BY exact DESC, delivered, kind, middle, work_order DESC, sort_order, piece, piece_id
	LIMIT @limit`

// FindPieces finds the pieces of open cars by work order, car, piece and side: each word
// of q must occur somewhere, in either case and with or without accents. Names that begin
// so come first, then the later work order, then the order of the interior plan. Customers
// are not looked at, nor named in the hits. limit is at most 100; 0 is 20.
func (s *Store) FindPieces(ctx context.Context, q string, limit int) (_ []restoration.Hit, err error) {
	defer wrap(&err, "find pieces by %.100q", q)
	words := searchWords(q)
	if len(words) == 0 {
		return nil, nil
	}
	if limit <= 0 {
		limit = 20
	}
	rows, err := s.pool.Query(ctx, `
		SELECT work_order, car, id, name, label, zone, side FROM (
			SELECT c.work_order, c.name AS car, p.id, p.name, p.label, p.zone, p.side, p.sort_order, c.folded AS folded_car,
				' ' || `+foldStart+`p.name`+foldEnd+` || ' ' || p.side AS folded
			FROM components p JOIN (
				SELECT id, work_order, name, ' ' || work_order || ' ' || `+foldStart+`name`+foldEnd+` AS folded
				FROM cars WHERE state <> 'delivered' OFFSET 0
			) c ON c.id = p.car_id
			WHERE p.removed_at IS NULL OFFSET 0
		) AS p
		WHERE folded || folded_car LIKE ALL (@anywhere)
		ORDER BY NOT folded LIKE ALL (@begins), work_order DESC, `+zoneOrder+` LIMIT @limit`,
		pgx.StrictNamedArgs{"anywhere": patterns(words, "%"), "begins": patterns(words, "% "), "limit": min(limit, maxHits)})
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (restoration.Hit, error) {
		var h restoration.Hit
		err := row.Scan(&h.WorkOrder, &h.Car, &h.PieceID, &h.Piece, &h.Label, &h.Zone, &h.Side)
		return h, err
	})
}

// Folding takes the accents off and makes letters small. It drops the marks of Latin
// and Greek names that Unicode splits off; Postgres can drop no more without an
// extension. The query is folded by the same steps.
const (
	foldStart = `lower(translate(normalize(`
	foldEnd   = `, NFD), '` + marks + `', ''))`
	marks     = "\u0300\u0301\u0302\u0303\u0304\u0306\u0307\u0308\u0309\u030a\u030b\u030c\u031b\u0323\u0326\u0327\u0328"
)

// searchWords gives the words of a query, folded as searchSQL folds what it looks in.
func searchWords(q string) []string {
	bare := strings.Map(func(r rune) rune {
		if strings.ContainsRune(marks, r) {
			return -1
		}
		return r
	}, norm.NFD.String(restoration.TidyName(q)))
	words := strings.Fields(strings.ToLower(bare))
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

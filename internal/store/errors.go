package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"scumble/internal/restoration"
)

// wrap names the act at which err happened, with its ids, and turns what
// Postgres says into a Problem where a person can do something about it. It is
// deferred by every exported method.
func wrap(err *error, format string, args ...any) {
	if *err == nil {
		return
	}
	act := fmt.Sprintf(format, args...)
	if _, ok := restoration.AsProblem(*err); ok {
		*err = fmt.Errorf("%s: %w", act, *err)
		return
	}
	if p := problem(*err); p != nil {
		*err = fmt.Errorf("%s: %w (%v)", act, p, *err)
		return
	}
	*err = fmt.Errorf("%s: %w", act, *err)
}

// problem translates an error of the database; nil when it is internal.
func problem(err error) *restoration.Problem {
	if unreachable(err) {
		return restoration.Problemf(restoration.TroubleUnavailable, "",
			"The database can't be reached just now. Nothing is lost; try again in a moment.")
	}
	var pg *pgconn.PgError
	if !errors.As(err, &pg) {
		return nil
	}
	if said, ok := constraints[pg.ConstraintName]; ok {
		return restoration.Problemf(said.trouble, said.field, "%s", said.message)
	}
	switch pg.Code {
	case "22021", "22P05": // character_not_in_repertoire, untranslatable_character: a NUL or broken UTF-8
		return restoration.Problemf(restoration.TroubleInvalid, "", "The text holds a sign that can't be kept. Type it again by hand.")
	case "40001", "40P01": // serialization_failure, deadlock_detected
		return restoration.Problemf(restoration.TroubleConflict, "", "Somebody else changed the same thing just now. Try again.")
	}
	return nil
}

// about puts what err is about before the sentence that a person reads.
func about(err error, what string) error {
	p, ok := restoration.AsProblem(err)
	if !ok {
		p = problem(err)
	}
	if p == nil || p.Trouble == restoration.TroubleUnavailable {
		return err
	}
	return restoration.Problemf(p.Trouble, p.Field, "%s: %s", what, p.Message)
}

// unreachable tells whether err means that the database is gone, going or full,
// rather than that it said no.
func unreachable(err error) bool {
	var connect *pgconn.ConnectError
	if errors.As(err, &connect) {
		return true
	}
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		// 08: connection; 57P0x: shutting down, crashed, starting; 53300: no more connections
		return strings.HasPrefix(pg.Code, "08") || strings.HasPrefix(pg.Code, "57P0") || pg.Code == "53300"
	}
	var network net.Error
	return errors.As(err, &network) ||
		errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, net.ErrClosed) ||
		errors.Is(err, context.DeadlineExceeded) || pgconn.SafeToRetry(err) && !errors.Is(err, context.Canceled)
}

// notFound turns the lack of a row into a Problem with the given sentence.
func notFound(err error, format string, args ...any) error {
	if errors.Is(err, pgx.ErrNoRows) {
		return restoration.Problemf(restoration.TroubleNotFound, "", format, args...)
	}
	return err
}

// broke tells whether err is the refusal of one of the named constraints.
func broke(err error, constraint ...string) bool {
	var pg *pgconn.PgError
	return errors.As(err, &pg) && slices.Contains(constraint, pg.ConstraintName)
}

type saying struct {
	trouble restoration.Trouble
	field   string
	message string
}

// constraints says in a person's words what each named constraint refuses, for
// those that a person's entry can break. The others guard against the program
// itself and stay internal.
var constraints = map[string]saying{
	"people_name_length":           {restoration.TroubleInvalid, "name", "A name has 1 to 60 characters."},
	"people_name_once":             {restoration.TroubleConflict, "name", "Somebody of that name works here already. Add an initial to tell them apart."},
	"people_owner_has_password":    {restoration.TroubleInvalid, "password", "An owner needs a password."},
	"devices_name_length":          {restoration.TroubleInvalid, "name", "A tablet's name has 1 to 60 characters."},
	"routes_key_form":              {restoration.TroubleInvalid, "key", "A route's key has small letters, digits and hyphens only."},
	"routes_name_length":           {restoration.TroubleInvalid, "name", "A route's name has 1 to 60 characters."},
	"routes_version_once":          {restoration.TroubleConflict, "", "Somebody else changed this route just now. Load it again and repeat your change."},
	"routes_one_current":           {restoration.TroubleConflict, "", "Somebody else changed this route just now. Load it again and repeat your change."},
	"route_stages_key_length":      {restoration.TroubleInvalid, "stages", "A stage's key has 1 to 60 characters."},
	"route_stages_name_length":     {restoration.TroubleInvalid, "stages", "A stage's name has 1 to 60 characters."},
	"route_stages_key_once":        {restoration.TroubleInvalid, "stages", "Two stages of a route can't have the same key."},
	"cars_work_order_form":         {restoration.TroubleInvalid, "work_order", "A work order is a year and a number, such as 26-014."},
	"cars_work_order_once":         {restoration.TroubleConflict, "work_order", "There is a car under that work order already. Take another number."},
	"cars_name_length":             {restoration.TroubleInvalid, "name", "A car's name has 1 to 60 characters."},
	"cars_quality_known":           {restoration.TroubleInvalid, "quality", "The finish is driver, show or concours."},
	"cars_rate_not_negative":       {restoration.TroubleInvalid, "rate", "A rate can't be negative."},
	"cars_expect_in_order":         {restoration.TroubleInvalid, "expect_to", "The expected dates are the wrong way round: the first must not lie after the second."},
	"cars_ground_colour":           {restoration.TroubleInvalid, "ground", "A colour is # and six hexadecimal digits, such as #9a6a3c."},
	"cars_grain_colour":            {restoration.TroubleInvalid, "grain", "A colour is # and six hexadecimal digits, such as #3b2413."},
	"components_name_length":       {restoration.TroubleInvalid, "piece", "A piece's name has 1 to 60 characters."},
	"components_zone_known":        {restoration.TroubleInvalid, "zone", "The zone is front, left, right, rear or loose."},
	"components_side_known":        {restoration.TroubleInvalid, "side", "The side is left, right or empty."},
	"components_area_not_negative": {restoration.TroubleInvalid, "area_m2", "An area can't be negative."},
	"components_both_areas":        {restoration.TroubleInvalid, "area_m2", "The area of both faces can't be less than that of the visible one."},
	"components_size_known":        {restoration.TroubleInvalid, "size", "The size is small, medium or large."},
	"components_mounting_known":    {restoration.TroubleInvalid, "mounting", "The mounting is bench or fixed."},
	"components_metal_known":       {restoration.TroubleInvalid, "metal", "The metal is steel, zinc, aluminium or other."},
	"components_grade_known":       {restoration.TroubleInvalid, "grade", "A grade is 1 to 6, or 0 when not graded."},
	"components_steel_grade_known": {restoration.TroubleInvalid, "steel_grade", "A grade is 1 to 6, or 0 when not graded."},
	"components_note_length":       {restoration.TroubleInvalid, "note", "A note has at most 2,000 characters. Shorten it."},
	"places_name_once":             {restoration.TroubleConflict, "name", "There is a place of that name already. Take another name."},
	"progress_links_expire_later":  {restoration.TroubleInvalid, "expires", "A link must expire after it was made. Choose a later day."},
}

// Package ui is what the three audiences share: page shells, swatches, the
// interior plan, the hours strip and small form parts. Every component takes a
// plain struct, formats it and decides nothing; the pages build the structs.
// It holds no rule of the shop, reads no clock and knows no database; looks and zones
// are those of package restoration.
//
// No page may need inline script or style: geometry goes into SVG attributes,
// everything else into the style sheets under static.
//
// # Shells (children are the page body; the shell makes the one h1)
//
//	@OfficePage(PageProps)    office PC; nav, search ("/" focuses it), live updates
//	@BenchPage(PageProps)     shop tablet; large, dark on light, saved-counter
//	@CustomerPage(PageProps)  phone; calm, no nav, no index
//	@PlainPage(PageProps)     sign-in, enrol, error: a narrow column, office theme
//
// # Swatches (a stage looks like the piece at that stage)
//
//	@SwatchDefs(schemes...)             once per page, before anything drawn; list every scheme used
//	NewScheme(ground, grain) Scheme     two "#rrggbb" colours; bad ones fall back
//	@Swatch(scheme, look, word)         swatch with its word beside it; word "" takes the look's own
//	@SwatchLarge(scheme, look, word)    the same, for a bench tile or a legend
//	@Step(scheme, now, next, nowWord, nextWord)  now → next, for a bench tile
//	@Legend(scheme)                     every look with its word and printed letter
//	LookWord(look)                      the look's own word
//
// # Interior plan and hours
//
//	@Plan(PlanProps)                    interior unrolled; one SVG per zone, reflows on a phone
//	@HoursStrip(HoursStripProps)        bar in hours: done, left by stage, rework; legend and table
//	@PromiseAxis(PromiseAxisProps)      today and the promised date on a line; lateness in words
//
// # Film section (a cut through the paint of one piece)
//
//	@FilmDefs()                         once per page, before the first; brings its style sheet along
//	@FilmSection(FilmProps)             office: the cut with heights to scale, the sentence, the table
//	@FilmNow(FilmProps)                 bench: "about 118 µm clear, 40 µm may go" and a small cut
//
// # Forms (work without JavaScript; the error stands at the field)
//
//	@Field(FieldProps)        text, email, tel, number, date, password, search, file; Type "textarea"
//	@Select(SelectProps)      @Checkbox(CheckboxProps)   @Radios(SelectProps)
//	@HoursStepper(StepperProps)   number input with − and + a quarter hour
//	@Button(ButtonProps)      submit or link; Kind "main", "", "danger", "quiet"
//	@Actions()                a row of buttons; children
//	@ActionBar()              bench: sticky bar at the thumb; children
//	@ErrorSummary(errors)     list of what is wrong at the top, linked to the fields
//
// # Small parts
//
//	@Flash(Notice)            one notice: info, done, caution, error, offline
//	@Caution(text, source)    caution beside a stage; always ends with FollowTheSheets
//	@Empty(EmptyProps)        none yet: says what to do first
//	@Facts(items...)          definition list
//	@SortHeader(SortHeaderProps)  th whose link sorts and keeps the rest of the address
//	@Pager(PagerProps)        earlier / later links, state kept in the address
//	@Undo(UndoProps)          "Undo" with until when
//	@CopyLink(id, label, address) text field with a copy button
//	@Moment(t, now, loc)      <time>: exact words, span in the title; MomentSpan the other way round
//	Num(v, 2) "1.50"  for columns, in a td class="num"
//
// # Words and figures (plain functions)
//
//	When(t, loc) "Fri 27 Mar 2026, 14:30"   Day(t, loc) "Fri 27 Mar 2026"   Clock(t, now, loc) "16:40" or "Fri 07:40"
//	Span(t, now) "in 3 h", "2 days ago"     Hours(minutes) "1.75 h"         HoursFloat(h) "1.75 h"
//	Percent(0.314) "31 %"                   Area(m2, us) "0.42 m²"          Count(n, "piece", "pieces") "1 piece"
//
// # Classes of the style sheets that pages may use
//
//	office: .card  .columns (.columns-even)  .scroll > table.list (.fold, .fold-wide: rows fold where the
//	frame is narrow, each td begins with CellLabel; td.num, td.blank, td.long)  .cars > .car
//	        .figures > div > b  .filters  .bulk  .form-row  details
//	bench:  .tiles > li > a.tile (b, .why, .tile-foot, .hours)  .people  .pad  .pin
//	        .notyet  .refusal  .recipe  .two
//	customer: .counts  .words  .touched
//
// # Gallery
//
//	GalleryPage(face)                   a whole page of every component in every state; GalleryFaces()
//
// # Hooks for the scripts under static/js
//
//	data-copy="#id"            button copies that field's value
//	data-select-table          table whose row checkboxes take shift-click and drag; plan pieces mirror them by data-piece
//	data-select-all, data-picked, data-bulk  tick all; shows how many; hidden while none is picked
//	hx-trigger="scumble:changed from:body"   refetch when the shop changed (office, PageProps.Live)
//	form[data-event="tick"]    bench: sent as one event to /bench/events; see static/js/bench.js
//	button[data-hold]          bench: must be held for a second
//	[data-lasting]             bench: a touch shorter than 80 ms does nothing
//	[data-timer="RFC 3339"]    bench: shows the running time since then
//	[data-refusal]             bench: where a refused event says why
//	[data-digit], [data-pin]   bench: the number pad and its field
package ui

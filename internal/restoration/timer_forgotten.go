package restoration

import "time"

// TimerSettings are the shop's own choices about timers.
type TimerSettings struct {
	Limit Minutes `json:"limit_min"` // a timer that runs longer was forgotten
}

// StockTimers are what a shop starts with: 4 h, since few people work longer without a
// break; common practice, no source.
func StockTimers() TimerSettings { return TimerSettings{Limit: 4 * 60} }

// The bounds of the limit.
const (
	MinTimerLimit Minutes = 15
	MaxTimerLimit         = MaxEntry
)

func (s TimerSettings) check() []*Problem {
	if s.Limit < MinTimerLimit || s.Limit > MaxTimerLimit {
		return []*Problem{Problemf(TroubleInvalid, "timer_limit", "A timer may run for 0.25 to 24 hours before it counts as forgotten.")}
	}
	return nil
}

// Closing gives the hour at which the shop closes on the day of t, when it is open or
// opens later that day. Zero when it is closed for that day.
func (c Calendar) Closing(t time.Time, loc *time.Location) time.Time {
	day := t.In(loc)
	shut := wall(day, c.Days[day.Weekday()].Close)
	if !c.Open(day) || !t.Before(shut) {
		return time.Time{}
	}
	return shut
}

// Forgotten is a timer that nobody can have meant, with what may be true of it.
type Forgotten struct {
	Timer
	Closing Minutes   // until the shop closed; 0: that says nothing
	ShutAt  time.Time // when it closed; zero: that says nothing
	Limit   Minutes   // up to the shop's limit; 0: it is not reached, or not before closing
}

// FindForgotten finds the first timer of a person that ran beyond the shop's limit, or
// past closing time from before it. Its hours must be asked for: they are never offered
// whole.
func (s Settings) FindForgotten(timers []Timer, now time.Time) (Forgotten, bool) {
	for _, t := range timers {
		if f := s.forgotten(t, now); f.Limit > 0 || f.Closing > 0 {
			return f, true
		}
	}
	return Forgotten{}, false
}

func (s Settings) forgotten(t Timer, now time.Time) Forgotten {
	f := Forgotten{Timer: t}
	loc := s.Location()
	spans := t.Until(now)
	closing, limit := make([]Span, len(spans)), make([]Span, len(spans))
	for i, span := range spans {
		closing[i], limit[i] = span, span
		if shut := s.Calendar.Closing(span.From, loc); !shut.IsZero() && span.To.After(shut) {
			closing[i].To, f.ShutAt = shut, shut
		}
		if end := span.From.Add(s.Timers.Limit.Duration()); span.To.After(end) {
			limit[i].To = end
		}
	}
	all := worked(spans)
	if m := worked(closing); m < all {
		f.Closing = max(m, 1)
	}
	if m := worked(limit); m < all && (f.Closing == 0 || m.Quarters() < f.Closing.Quarters()) {
		f.Limit = m
	}
	return f
}

package main

import (
	"fmt"
	"io"
	"slices"
	"text/tabwriter"
	"time"
)

// figure is one line of the table. A line without a limit is for information.
type figure struct {
	Name     string
	Limit    string
	Measured string
	Held     bool
	Detail   string // both sides of a ratio, how it was taken
}

func printTable(out io.Writer, table []figure) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "figure\tlimit\tmeasured\tresult\thow")
	for _, f := range table {
		result := "not held"
		switch {
		case f.Limit == "":
			result = "-"
		case f.Held:
			result = "held"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", f.Name, f.Limit, f.Measured, result, f.Detail)
	}
	return w.Flush()
}

// atMost is the figure of a ratio a : b that must not pass limit.
func atMost(name string, a, b time.Duration, limit float64, detail string) figure {
	ratio := float64(a) / float64(b)
	return figure{Name: name, Limit: fmt.Sprintf("≤ %.1f ×", limit), Measured: fmt.Sprintf("%.2f ×", ratio),
		Held: ratio <= limit, Detail: fmt.Sprintf("%s : %s; %s", short(a), short(b), detail)}
}

// short writes a duration to three digits.
func short(d time.Duration) string {
	switch {
	case d < time.Millisecond:
		return d.Round(time.Microsecond).String()
	case d < time.Second:
		return d.Round(10 * time.Microsecond).String()
	}
	return d.Round(10 * time.Millisecond).String()
}

// interleave times every act once per round, in turns, so that what else the machine
// does meets all of them alike, and gives the median of each. One round before the
// first is not counted: it fills caches.
func interleave(rounds int, acts ...func() error) ([]time.Duration, error) {
	times := make([][]time.Duration, len(acts))
	for round := range rounds + 1 {
		for i, act := range acts {
			began := time.Now()
			if err := act(); err != nil {
				return nil, err
			}
			if round > 0 {
				times[i] = append(times[i], time.Since(began))
			}
		}
	}
	medians := make([]time.Duration, len(acts))
	for i := range times {
		medians[i] = median(times[i])
	}
	return medians, nil
}

// median of a sample that isn't empty; of an even number the upper one.
func median[T int | float64 | time.Duration](sample []T) T {
	sorted := slices.Sorted(slices.Values(sample))
	return sorted[len(sorted)/2]
}

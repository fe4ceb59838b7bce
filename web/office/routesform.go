package office

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"scumble/internal/restoration"
)

// maxPurpose is more than a purpose may have; the rules of the route say how much.
const maxPurpose = 1000

// stagePrefix begins the names of a stage's fields, as the rules of a route speak of
// them: "stages.2.name".
func stagePrefix(i int) string { return fmt.Sprintf("stages.%d.", i) }

// stages gives what was typed of each stage, under names without the prefix.
func (f *form) stages() []url.Values {
	n, _ := strconv.Atoi(f.get("count")) // a damaged count is no stage at all
	out := make([]url.Values, max(0, min(n, restoration.MaxStages+1)))
	for i := range out {
		out[i] = url.Values{}
		for name, v := range f.values {
			if rest, ok := strings.CutPrefix(name, stagePrefix(i)); ok {
				out[i][rest] = v
			}
		}
	}
	return out
}

// setStages puts the stages in place of those that the form holds.
func (f *form) setStages(stages []url.Values) {
	for name := range f.values {
		if strings.HasPrefix(name, "stages.") {
			f.values.Del(name)
		}
	}
	f.values.Set("count", strconv.Itoa(len(stages)))
	for i, s := range stages {
		for name, v := range s {
			f.values[stagePrefix(i)+name] = v
		}
	}
}

func newStageValues() url.Values {
	return url.Values{"look": {string(restoration.LookOther)}, "need": {string(restoration.NeedNothing)}}
}

// parseRoute reads the editor. What isn't in the form is taken from the route as it
// was before.
func parseRoute(f *form, before restoration.Route) restoration.Route {
	r := restoration.Route{ID: before.ID, Key: before.Key, Version: before.Version, Name: f.line("name")}
	for i := range f.stages() {
		r.Stages = append(r.Stages, parseStage(f, stagePrefix(i), before))
	}
	r = r.WithKeys().WithCautions()
	f.mustHold(restoration.CheckRoute(r))
	return r
}

func parseStage(f *form, prefix string, before restoration.Route) restoration.Stage {
	s := restoration.Stage{
		Key:  f.get(prefix + "key"),
		Name: f.line(prefix + "name"),
		Look: restoration.Look(f.get(prefix + "look")),
		Need: restoration.Need(f.get(prefix + "need")),
		After: restoration.Waits{
			Recoat: f.hours(prefix + "after.recoat_min"), MaxRecoat: f.hours(prefix + "after.max_recoat_min"),
			Sand: f.hours(prefix + "after.sand_min"), Polish: f.hours(prefix + "after.polish_min"),
			Fit: f.hours(prefix + "after.fit_min"),
		},
		Small:   parseEstimate(f, prefix+"small"),
		Medium:  parseEstimate(f, prefix+"medium"),
		Large:   parseEstimate(f, prefix+"large"),
		SetUp:   f.hours(prefix + "set_up"),
		Booth:   f.ticked(prefix + "booth"),
		ByGrade: f.ticked(prefix + "by_grade"),
		Repair:  f.ticked(prefix + "repair"),
		Purpose: f.lineUpTo(prefix+"purpose", maxPurpose),
	}
	known, _ := before.Stage(s.Key) // a new stage has no checks yet
	for _, text := range f.lines(prefix + "checks") {
		s.Checks = append(s.Checks, restoration.Check{Key: checkKey(known.Checks, text), Text: text})
	}
	s.Cautions = f.lines(prefix + "cautions")
	return s
}

// The three points of an estimate stand in three fields; the rules speak of the first.
func likelyField(name string) string { return name + ".likely" }
func highField(name string) string   { return name + ".high" }

func parseEstimate(f *form, name string) restoration.Estimate {
	return restoration.Estimate{Low: f.hours(name), Likely: f.hours(likelyField(name)), High: f.hours(highField(name))}
}

// checkKey finds the key under which the ledger knows a check; "" for a new one.
func checkKey(known []restoration.Check, text string) string {
	for _, c := range known {
		if c.Text == text {
			return c.Key
		}
	}
	return ""
}

// routeValues fills the editor so that parseRoute gives r again.
func routeValues(r restoration.Route) url.Values {
	f := &form{values: url.Values{"name": {r.Name}}}
	stages := make([]url.Values, len(r.Stages))
	for i, s := range r.Stages {
		stages[i] = stageValues(s)
	}
	f.setStages(stages)
	return f.values
}

func stageValues(s restoration.Stage) url.Values {
	v := url.Values{
		"key": {s.Key}, "name": {s.Name}, "look": {string(s.Look)}, "need": {string(s.Need)}, "purpose": {s.Purpose},
		"after.recoat_min": {typedSpan(s.After.Recoat)}, "after.max_recoat_min": {typedSpan(s.After.MaxRecoat)},
		"after.sand_min": {typedSpan(s.After.Sand)}, "after.polish_min": {typedSpan(s.After.Polish)},
		"after.fit_min": {typedSpan(s.After.Fit)}, "set_up": {typedHours(s.SetUp)},
		"cautions": {strings.Join(restoration.OwnCautions(s), "\n")},
	}
	var checks []string
	for _, c := range s.Checks {
		checks = append(checks, c.Text)
	}
	v.Set("checks", strings.Join(checks, "\n"))
	for name, e := range map[string]restoration.Estimate{"small": s.Small, "medium": s.Medium, "large": s.Large} {
		v.Set(name, typedHours(e.Low))
		v.Set(likelyField(name), typedHours(e.Likely))
		v.Set(highField(name), typedHours(e.High))
	}
	for name, on := range map[string]bool{"booth": s.Booth, "by_grade": s.ByGrade, "repair": s.Repair} {
		if on {
			v.Set(name, "on")
		}
	}
	return v
}

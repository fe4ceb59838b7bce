package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"strings"
	"time"

	"scumble/internal/restoration"
)

// visitor is one browser: it keeps cookies and connections. Several clients may use
// one at the same time.
type visitor struct {
	base   string
	client *http.Client
}

func (a *app) visitor() (*visitor, error) {
	jar, err := cookiejar.New(nil)
	if err != nil {
		return nil, err
	}
	return &visitor{base: a.url, client: &http.Client{Jar: jar, Timeout: 2 * time.Minute,
		Transport: &http.Transport{MaxIdleConnsPerHost: 64, DisableCompression: true}}}, nil
}

// signInOwner signs the owner in through the form.
func (a *app) signInOwner(ctx context.Context) (*visitor, error) {
	v, err := a.visitor()
	if err != nil {
		return nil, err
	}
	_, err = v.form(ctx, "/office/signin", url.Values{"name": {ownerName}, "password": {ownerPassword}, "next": {"/office/tablets"}})
	return v, err
}

var enrolmentCode = regexp.MustCompile(`>([0-9A-Z]{4}-[0-9A-Z]{4})<`)

// signInBench enrols n tablets with codes from the owner's page and signs a
// technician in on each.
func (a *app) signInBench(ctx context.Context, n int) ([]*visitor, error) {
	owner, err := a.signInOwner(ctx)
	if err != nil {
		return nil, err
	}
	var tablets []*visitor
	for i := range n {
		page, err := owner.form(ctx, "/office/tablets", url.Values{"name": {fmt.Sprintf("Load tablet %d", i+1)}})
		if err != nil {
			return nil, err
		}
		code := enrolmentCode.FindSubmatch(page)
		if code == nil {
			return nil, fmt.Errorf("the page of tablets shows no code")
		}
		tablet, err := a.visitor()
		if err != nil {
			return nil, err
		}
		if _, err := tablet.form(ctx, "/bench/enrol", url.Values{"code": {string(code[1])}}); err != nil {
			return nil, err
		}
		// The owner is person 1, the technicians follow.
		pin := fmt.Sprintf("/bench/pin/%d", 2+i%technicians)
		if _, err := tablet.form(ctx, pin, url.Values{"pin": {technicianPIN}}); err != nil {
			return nil, err
		}
		tablets = append(tablets, tablet)
	}
	return tablets, nil
}

func (v *visitor) get(ctx context.Context, path string) ([]byte, error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, v.base+path, nil)
	if err != nil {
		return nil, err
	}
	return v.do(r)
}

func (v *visitor) form(ctx context.Context, path string, values url.Values) ([]byte, error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, v.base+path, strings.NewReader(values.Encode()))
	if err != nil {
		return nil, err
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return v.do(r)
}

// do sends r and gives the body; any status but 200 after redirects is an error.
func (v *visitor) do(r *http.Request) ([]byte, error) {
	resp, err := v.client.Do(r)
	if err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err == nil && resp.StatusCode != http.StatusOK {
		err = fmt.Errorf("%s %s: %s\n%.300s", r.Method, r.URL.Path, resp.Status, body)
	}
	return body, err
}

// tick is a step that may be ticked.
type tick struct {
	step   restoration.ID
	checks []string
}

// send posts a tick as a tablet does; anything but applied is an error.
func (v *visitor) send(ctx context.Context, t tick) error {
	body, err := json.Marshal([]map[string]any{{
		"id": newID(), "kind": restoration.KindTick, "step": t.step, "at": time.Now().UTC().Format(time.RFC3339Nano),
		"hours": 0.5, "checks": t.checks, "reason": "load test",
	}})
	if err != nil {
		return err
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, v.base+"/bench/events", bytes.NewReader(body))
	if err != nil {
		return err
	}
	r.Header.Set("Content-Type", "application/json")
	answer, err := v.do(r)
	if err != nil {
		return err
	}
	return applied("tick", answer)
}

// applied holds the answer to one entry to it having been applied.
func applied(what string, answer []byte) error {
	var outcomes []struct{ Outcome, Reason string }
	if err := json.Unmarshal(answer, &outcomes); err != nil {
		return fmt.Errorf("read %.200q: %w", answer, err)
	}
	if len(outcomes) != 1 || outcomes[0].Outcome != string(restoration.Applied) {
		return fmt.Errorf("a %s was not applied: %.300s", what, answer)
	}
	return nil
}

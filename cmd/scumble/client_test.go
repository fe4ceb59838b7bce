package main

import (
	"encoding/json"
	"fmt"
	"html"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// client is a browser without scripts: it keeps cookies and follows redirects.
type client struct {
	t    *testing.T
	base string // of the program; it may be started anew elsewhere
	http *http.Client
}

func newClient(t *testing.T, base string) *client {
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	// A connection of its own, so that one client's is not another's leak.
	transport := &http.Transport{MaxIdleConnsPerHost: 4}
	t.Cleanup(transport.CloseIdleConnections)
	return &client{t: t, base: base, http: &http.Client{Jar: jar, Transport: transport, Timeout: time.Minute}}
}

// reply is an answer, read whole.
type reply struct {
	status int
	header http.Header
	body   string
	at     string // path after all redirects
}

// text is what a page says, its entities as signs.
func (r reply) text() string { return html.UnescapeString(r.body) }

var (
	mainPart = regexp.MustCompile(`(?s)<main.*</main>`)
	tags     = regexp.MustCompile(`(?s)(<[^>]*>\s*)+`)
)

// words is the part of the page that is its own, without tags, for a failure's message.
func (r reply) words() string {
	part := mainPart.FindString(r.body)
	if part == "" {
		part = r.body
	}
	return fmt.Sprintf("%d at %s: %.2000s", r.status, r.at, html.UnescapeString(tags.ReplaceAllString(part, " | ")))
}

func (c *client) get(path string) reply {
	c.t.Helper()
	return c.must(http.MethodGet, path, "", nil)
}

func (c *client) post(path string, form url.Values) reply {
	c.t.Helper()
	return c.must(http.MethodPost, path, form.Encode(), http.Header{"Content-Type": {"application/x-www-form-urlencoded"}})
}

// send posts a body of JSON, as a tablet's script does.
func (c *client) send(path, body string) reply {
	c.t.Helper()
	return c.must(http.MethodPost, path, body, http.Header{"Content-Type": {"application/json"}})
}

// upload posts a form with a file, as a browser does.
func (c *client) upload(path string, form url.Values, file string) reply {
	c.t.Helper()
	var body strings.Builder
	parts := multipart.NewWriter(&body)
	for name, values := range form {
		for _, value := range values {
			require.NoError(c.t, parts.WriteField(name, value))
		}
	}
	part, err := parts.CreateFormFile("file", "list.csv")
	require.NoError(c.t, err)
	_, err = io.WriteString(part, file)
	require.NoError(c.t, err)
	require.NoError(c.t, parts.Close())
	return c.must(http.MethodPost, path, body.String(), http.Header{"Content-Type": {parts.FormDataContentType()}})
}

func (c *client) must(method, path, body string, header http.Header) reply {
	c.t.Helper()
	got, err := c.try(method, path, body, header)
	require.NoError(c.t, err)
	return got
}

// try is must for a program that may die meanwhile, and for other goroutines.
func (c *client) try(method, path, body string, header http.Header) (reply, error) {
	r, err := http.NewRequestWithContext(c.t.Context(), method, c.base+path, strings.NewReader(body))
	if err != nil {
		return reply{}, err
	}
	for name, values := range header {
		r.Header[name] = values
	}
	answer, err := c.http.Do(r)
	if err != nil {
		return reply{}, err
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	return reply{status: answer.StatusCode, header: answer.Header, body: string(text), at: answer.Request.URL.Path}, err
}

// find gives the first group of a pattern in a page.
func find(t *testing.T, page reply, pattern string) string {
	t.Helper()
	found := regexp.MustCompile(pattern).FindStringSubmatch(page.body)
	require.NotNil(t, found, "%s is not in %s", pattern, page.words())
	return html.UnescapeString(found[1])
}

// findAll gives the first group of every place where a pattern fits, each text once.
func findAll(page reply, pattern string) []string {
	var all []string
	for _, found := range regexp.MustCompile(pattern).FindAllStringSubmatch(page.body, -1) {
		if text := html.UnescapeString(found[1]); !slices.Contains(all, text) {
			all = append(all, text)
		}
	}
	return all
}

// hidden gives the hidden fields of a page's form for an address.
func hidden(t *testing.T, page reply, action string) url.Values {
	t.Helper()
	form := regexp.MustCompile(`(?s)<form[^>]*action="` + regexp.QuoteMeta(action) + `"[^>]*>(.*?)</form>`).FindString(page.body)
	require.NotEmpty(t, form, "no form for %s in %s", action, page.words())
	fields := url.Values{}
	for _, f := range regexp.MustCompile(`<input type="hidden" name="([^"]*)" value="([^"]*)"`).FindAllStringSubmatch(form, -1) {
		fields.Add(f[1], html.UnescapeString(f[2]))
	}
	return fields
}

// shop is a running program that has been set up by way of its pages: an owner, a
// technician on a tablet, and a car.
type shop struct {
	t      *testing.T
	owner  *client
	tablet *client // Jonas Örn is signed in on it
	car    string  // its work order
	pieces []string

	database string // its address, where it is the test's own
}

// setUpShop goes the way of a new shop by the code that a first start printed.
func setUpShop(t *testing.T, p program) *shop {
	t.Helper()
	s := &shop{t: t, owner: newClient(t, p.base)}
	code := p.said(t, "one-time code: (.+)")
	page := s.owner.post("/office/setup", url.Values{"code": {code}, "name": {owner}, "password": {password}})
	require.Equal(t, "/office", page.at, page.words())
	page = s.owner.post("/office/cars/new", url.Values{"source": {"body"}, "body_list": {"saloon"}, "quality": {"show"},
		"pair": {"walnut"}, "name": {"1936 Brennick Eight"}, "customer": {"E. Marchetti-Lowe"}})
	s.car = strings.TrimPrefix(page.at, "/office/cars/")
	require.Regexp(t, `^\d\d-001$`, s.car, page.words())
	s.addPerson("Jonas Örn")
	s.tablet = s.enrol("Bench")
	s.signIn(s.tablet, "Jonas Örn", pin)
	page = s.tablet.get("/bench")
	require.Equal(t, "/bench", page.at, page.words())
	s.pieces = findAll(page, `href="/bench/pieces/([0-9a-f-]{36})"`)
	require.Len(t, s.pieces, 46)
	return s
}

func (s *shop) addPerson(name string) {
	s.t.Helper()
	page := s.owner.post("/office/people", url.Values{"name": {name}, "role": {"technician"}, "pin": {pin}})
	require.Contains(s.t, page.text(), name+" can sign in.")
}

// enrol lets a tablet in.
func (s *shop) enrol(name string) *client {
	s.t.Helper()
	code := find(s.t, s.owner.post("/office/tablets", url.Values{"name": {name}}), `>(\w{4}-\w{4})</p>`)
	tablet := newClient(s.t, s.owner.base)
	page := tablet.post("/bench/enrol", url.Values{"code": {code}})
	require.Equal(s.t, "/bench/people", page.at, page.words())
	return tablet
}

// signIn touches a name and types a PIN. Where that leads to is the caller's to see.
func (s *shop) signIn(tablet *client, name, typed string) reply {
	s.t.Helper()
	return tablet.post(s.pinPath(tablet, name), url.Values{"pin": {typed}})
}

func (s *shop) pinPath(tablet *client, name string) string {
	s.t.Helper()
	return find(s.t, tablet.get("/bench/people"), `(?s)href="(/bench/pin/\d+)"[^>]*>(?:[^/]|/[^a])*?`+regexp.QuoteMeta(name))
}

// makeLink makes a progress link and gives its path.
func (s *shop) makeLink() string {
	s.t.Helper()
	return find(s.t, s.owner.post("/office/cars/"+s.car+"/links", url.Values{"lives": {"30"}}), `(/p/[\w-]{20,})`)
}

// entry is one element of what a tablet sends.
type entry map[string]any

// newEntry is an entry of now.
func newEntry(kind string, more entry) entry {
	e := entry{"id": uuid.Must(uuid.NewV7()).String(), "kind": kind, "at": time.Now().UTC().Format(time.RFC3339Nano)}
	for name, value := range more {
		e[name] = value
	}
	return e
}

func bodyOf(t *testing.T, entries ...entry) string {
	t.Helper()
	text, err := json.Marshal(entries)
	require.NoError(t, err)
	return string(text)
}

// verdict is the answer to one entry.
type verdict struct {
	ID          string `json:"id"`
	Outcome     string `json:"outcome"`
	Reason      string `json:"reason"`
	AllowedFrom string `json:"allowed_from"`
}

func verdicts(r reply) ([]verdict, error) {
	var all []verdict
	err := json.Unmarshal([]byte(r.body), &all)
	return all, err
}

// enter sends one entry and gives the answer to it.
func (s *shop) enter(tablet *client, e entry) verdict {
	s.t.Helper()
	got := tablet.send("/bench/events", bodyOf(s.t, e))
	require.Equal(s.t, http.StatusOK, got.status, got.body)
	all, err := verdicts(got)
	require.NoError(s.t, err)
	require.Len(s.t, all, 1)
	require.Equal(s.t, e["id"], all[0].ID)
	return all[0]
}

// next gives the step whose turn it is, and the checks that its page asks for.
func (s *shop) next(piece string) (step string, checks []string) {
	s.t.Helper()
	page := s.tablet.get("/bench/pieces/" + piece)
	step = find(s.t, page, `data-next-step="([0-9a-f-]{36})"`)
	return step, findAll(page, `data-check="([^"]+)"`)
}

// tick is an entry that ticks the step whose turn it is.
func (s *shop) tick(piece string, more entry) entry {
	s.t.Helper()
	step, checks := s.next(piece)
	e := newEntry("tick", entry{"step": step, "checks": checks, "hours": 0.25})
	for name, value := range more {
		e[name] = value
	}
	return e
}

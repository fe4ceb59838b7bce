package office

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// markup is a page as a browser reads it.
type markup struct {
	t    *testing.T
	root *html.Node
}

func parsePage(t *testing.T, body string) markup {
	t.Helper()
	root, err := html.Parse(strings.NewReader(body))
	require.NoError(t, err)
	return markup{t, root}
}

// all finds the elements of a tag whose attributes have the given values; a value that
// ends in "*" is a beginning. Attributes come in pairs of name and value.
func (m markup) all(tag string, attributes ...string) []*html.Node {
	var found []*html.Node
	for n := range m.root.Descendants() {
		if n.Type == html.ElementNode && (tag == "" || n.Data == tag) && has(n, attributes) {
			found = append(found, n)
		}
	}
	return found
}

// one finds the only such element.
func (m markup) one(tag string, attributes ...string) *html.Node {
	m.t.Helper()
	found := m.all(tag, attributes...)
	require.Len(m.t, found, 1, "%s %v", tag, attributes)
	return found[0]
}

// within is the part of the page inside the element with that id.
func (m markup) within(id string) markup {
	m.t.Helper()
	return markup{m.t, m.one("", "id", id)}
}

func (m markup) text() string { return text(m.root) }

func has(n *html.Node, attributes []string) bool {
	for i := 0; i < len(attributes); i += 2 {
		got, want := attribute(n, attributes[i]), attributes[i+1]
		if start, ok := strings.CutSuffix(want, "*"); ok {
			if !strings.HasPrefix(got, start) || got == "" {
				return false
			}
		} else if got != want {
			return false
		}
	}
	return true
}

func attribute(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

// text is what stands in an element, with runs of blanks as one.
func text(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
			b.WriteByte(' ')
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

package xmlscan

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// events lists a document as the scanner gives it, text joined, one event a line.
func events(r io.Reader) ([]string, error) {
	s := New(r)
	var out []string
	text := ""
	flush := func() {
		if text != "" {
			out = append(out, fmt.Sprintf("text %q", text))
			text = ""
		}
	}
	for {
		k, err := s.Next()
		if err != nil {
			return out, err
		}
		switch k {
		case EOF:
			flush()
			return out, nil
		case Text:
			text += string(s.Text())
		case Start:
			flush()
			line := "start " + string(s.Name())
			for _, a := range s.attrs {
				line += fmt.Sprintf(" %s=%q", local(a.name), s.unescapeAttr(a.value))
			}
			out = append(out, line)
		case End:
			flush()
			out = append(out, "end "+string(s.Name()))
		}
	}
}

// standard is the same listing from the standard library's decoder.
func standard(doc string) ([]string, error) {
	d := xml.NewDecoder(strings.NewReader(doc))
	var out []string
	text := ""
	flush := func() {
		if text != "" {
			out = append(out, fmt.Sprintf("text %q", text))
			text = ""
		}
	}
	depth := 0
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return out, err
		}
		switch tok := tok.(type) {
		case xml.CharData:
			if depth > 0 {
				text += string(tok)
			}
		case xml.StartElement:
			flush()
			depth++
			line := "start " + tok.Name.Local
			for _, a := range tok.Attr {
				v := strings.NewReplacer("\t", " ", "\n", " ").Replace(a.Value)
				line += fmt.Sprintf(" %s=%q", a.Name.Local, v)
			}
			out = append(out, line)
		case xml.EndElement:
			flush()
			depth--
			out = append(out, "end "+tok.Name.Local)
		}
	}
}

func TestEvents(t *testing.T) {
	doc := "\xef\xbb\xbf<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\r\n<!-- a > b --><x:row r='1' r:id=\"R&amp;1\">" +
		"a &lt;&#66;&#x43; b\r\nc<![CDATA[<&]]]]><c r=\"A1\"/><t xml:space=\"preserve\"> </t\n></x:row>\n<?pi a?>"
	want := []string{
		`start row r="1" id="R&1"`, `text "a <BC b\nc<&]]"`, `start c r="A1"`, `end c`, `start t space="preserve"`, `text " "`, `end t`, `end row`,
	}
	got, err := events(strings.NewReader(doc))
	require.NoError(t, err)
	assert.Equal(t, want, got)

	// The same one byte at a time: no event depends on where a read happens to stop.
	got, err = events(iotest.OneByteReader(strings.NewReader(doc)))
	require.NoError(t, err)
	assert.Equal(t, want, got)
}

func TestAttr(t *testing.T) {
	s := New(strings.NewReader(`<sheet name="A &amp; B" d1:id="rId7" id="no"/>`))
	k, err := s.Next()
	require.NoError(t, err)
	require.Equal(t, Start, k)
	assert.Equal(t, 1, s.Depth())
	v, ok := s.Attr("name")
	assert.True(t, ok)
	assert.Equal(t, "A & B", v)
	v, _ = s.PrefixedAttr("id")
	assert.Equal(t, "rId7", v)
	_, ok = s.Attr("absent")
	assert.False(t, ok)
	assert.Nil(t, s.AttrBytes("absent"))
	k, err = s.Next()
	require.NoError(t, err)
	assert.Equal(t, End, k)
	assert.Equal(t, 0, s.Depth())
}

// TestOffsets: an event's bytes are the document's between Token and Offset, also where the buffer was moved in between.
func TestOffsets(t *testing.T) {
	doc := `<?xml version="1.0"?><a><!-- c --><b x="1"/>text<d>` + strings.Repeat("y", 200_000) + `</d></a>`
	s := New(iotest.HalfReader(strings.NewReader(doc)))
	var got []string
	for {
		k, err := s.Next()
		require.NoError(t, err)
		if k == EOF {
			break
		}
		raw := doc[s.Token():s.Offset()]
		got = append(got, raw[:min(len(raw), 10)])
	}
	assert.Equal(t, []string{"<a>", `<b x="1"/>`, "", "text", "<d>", "yyyyyyyyyy", "</d>", "</a>"}, got)
}

func TestRefused(t *testing.T) {
	for _, c := range []struct{ name, doc, want string }{
		{"nothing", "", "empty"},
		{"only space", "  \n", "empty"},
		{"cut inside a tag", `<a><b r="1`, "ends inside a tag"},
		{"cut between tags", `<a><b>1</b>`, "ends inside <a>"},
		{"cut inside text", `<a><b>1`, "ends inside <b>"},
		{"crossed tags", `<a><b></a></b>`, "</a> closes <b>"},
		{"prefix changed", `<x:a></y:a>`, "closes"},
		{"stray end", `<a/></a>`, "closes nothing"},
		{"two roots", `<a/><b/>`, "second root"},
		{"text behind the root", `<a/>x`, "outside the root"},
		{"attribute twice", `<a r="1" r="2"/>`, "twice"},
		{"no quotes", `<a r=1/>`, "without quotes"},
		{"no value", `<a r/>`, "without a value"},
		{"no space", `<a r="1"s="2"/>`, "no space"},
		{"tag in attribute", `<a r="<"/>`, "< in attribute"},
		{"doctype", `<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>`, "document type"},
		{"unknown entity", `<a>&nbsp;</a>`, "unknown entity"},
		{"entity in attribute", `<a r="&x;"/>`, "unknown entity"},
		{"no character", `<a>&#0;</a>`, "no character"},
		{"surrogate", `<a>&#xD800;</a>`, "no character"},
		{"lone ampersand", `<a>a & b</a>`, "& without"},
		{"control character", "<a>\x01</a>", "control character"},
		{"not UTF-8", "<a>\xff</a>", "not UTF-8"},
		{"UTF-16", "\xff\xfe<\x00a\x00", "not UTF-8"},
		{"another encoding", `<?xml version="1.0" encoding="windows-1252"?><a/>`, "not UTF-8"},
		{"cdata end in text", `<a>]]></a>`, "]]>"},
		{"two hyphens", `<a><!-- a -- b --></a>`, "two hyphens"},
		{"open comment", `<a><!-- `, "does not end"},
		{"open cdata", `<a><![CDATA[x]]</a>`, "does not end"},
		{"bad name", `<1a/>`, "without a name"},
		{"stray colon", `<a:/>`, "stray colon"},
		{"nested too deep", strings.Repeat("<a>", maxDepth+1), "too deep"},
		{"second declaration", `<a><?xml version="1.0"?></a>`, "second XML declaration"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := events(strings.NewReader(c.doc))
			require.ErrorContains(t, err, c.want)
			var se *SyntaxError
			require.ErrorAs(t, err, &se)
			assert.LessOrEqual(t, se.Offset, int64(len(c.doc)))
		})
	}
}

// TestEveryCut proves the law the reader stands on: no true beginning of a document is a document.
func TestEveryCut(t *testing.T) {
	doc := `<?xml version="1.0"?><w><d><r r="1"><c r="A1" t="s"><v>1</v></c></r></d><!-- x --></w>`
	for n := range len(doc) {
		_, err := events(strings.NewReader(doc[:n]))
		assert.Error(t, err, "the first %d bytes", n)
	}
}

func TestReadErrorPasses(t *testing.T) {
	broken := errors.New("checksum")
	_, err := events(io.MultiReader(strings.NewReader("<a>"), iotest.ErrReader(broken)))
	assert.ErrorIs(t, err, broken)
	var se *SyntaxError
	assert.False(t, errors.As(err, &se))
}

func TestTokenTooLong(t *testing.T) {
	_, err := events(io.MultiReader(strings.NewReader("<a>"), io.LimitReader(repeat('x'), 80<<20)))
	assert.ErrorIs(t, err, errTooLong)
}

type repeat byte

func (c repeat) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = byte(c)
	}
	return len(p), nil
}

// FuzzAgainstStandard: what the scanner accepts the standard decoder accepts too, with the same events.
func FuzzAgainstStandard(f *testing.F) {
	for _, s := range []string{
		`<a b="c">d&amp;<e/></a>`, `<?xml version="1.0" encoding="UTF-8"?><x:a xmlns:x="y"><x:b/></x:a>`, "<a><![CDATA[x]]y</a>",
		"<a>\r\n\r</a>", `<a><!-- - --></a>`, `<ä ö='ü'/>`, `<a b='>'/>`, `<?p ?><a/>`,
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, doc string) {
		got, err := events(strings.NewReader(doc))
		if err != nil {
			return
		}
		if strings.Contains(strings.ToLower(doc), "ascii") {
			return // the standard decoder knows UTF-8 alone by name
		}
		want, err := standard(strings.TrimPrefix(doc, "\xef\xbb\xbf"))
		if err != nil && (strings.Contains(err.Error(), "unsupported version") || strings.Contains(err.Error(), "invalid XML name")) {
			return // it takes version 1.0 alone, and names by an older edition
		}
		if err != nil {
			t.Fatalf("accepted %q, the standard decoder says %v", doc, err)
		}
		if strings.Contains(doc, "xmlns") {
			return // the standard decoder moves namespace declarations about
		}
		if strings.Join(got, "\n") != strings.Join(want, "\n") {
			t.Fatalf("%q gives\n%s\nthe standard decoder\n%s", doc, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	})
}

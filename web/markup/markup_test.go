package markup_test

import (
	"slices"
	"strconv"
	"testing"

	"keelcard/web/markup"
)

func TestString(t *testing.T) {
	for _, tc := range []struct {
		name string
		node markup.Node
		want string
	}{
		{"text is escaped", markup.El("p", markup.Text(`<b> & "q"`)), `<p>&lt;b&gt; &amp; "q"</p>`},
		{"values are escaped", markup.El("p", markup.Attr("title", `"><script>'`)), `<p title="&#34;&gt;&lt;script&gt;&#39;"></p>`},
		{"void", markup.El("input", markup.ID("x"), markup.Flag("disabled")), `<input id="x" disabled>`},
		{"empty classes vanish", markup.El("p", markup.Class("", "")), `<p></p>`},
		{"classes join", markup.El("p", markup.Class("a", "", "b")), `<p class="a b"></p>`},
		{"if and each", markup.El("ul", markup.If(false, markup.Text("no")), markup.Each([]string{"a", "b"}, func(_ int, s string) markup.Part {
			return markup.El("li", markup.Text(s))
		})), `<ul><li>a</li><li>b</li></ul>`},
		{"nil parts", markup.El("p", nil, markup.Text("x")), `<p>x</p>`},
	} {
		if got := markup.String(tc.node); got != tc.want {
			t.Errorf("%s: got %s, want %s", tc.name, got, tc.want)
		}
	}
}

func row(id, text string) markup.Node {
	return markup.El("li", markup.ID(id), markup.El("span", markup.Text(text)))
}

func TestDiffFindsTheSmallestBlock(t *testing.T) {
	page := func(title string, rows ...markup.Node) markup.Node {
		parts := []markup.Part{markup.ID("list")}
		for _, r := range rows {
			parts = append(parts, r)
		}
		return markup.El("div", markup.ID("root"), markup.El("h1", markup.Text(title)), markup.El("ul", parts...))
	}
	picture := func(d string) markup.Node {
		return markup.El("div", markup.ID("root"), markup.El("svg", markup.ID("pic"), markup.El("path", markup.ID("p"), markup.Attr("d", d))))
	}
	for _, tc := range []struct {
		name          string
		before, after markup.Node
		want          []string
	}{
		{"nothing", page("T", row("a", "1")), page("T", row("a", "1")), nil},
		{"one row", page("T", row("a", "1"), row("b", "2")), page("T", row("a", "1"), row("b", "3")), []string{"b"}},
		{"two rows", page("T", row("a", "1"), row("b", "2")), page("T", row("a", "0"), row("b", "3")), []string{"a", "b"}},
		{"a row more", page("T", row("a", "1")), page("T", row("a", "1"), row("b", "2")), []string{"list"}},
		{"title has no id", page("T", row("a", "1")), page("U", row("a", "1")), []string{"root"}},
		{"title and a row", page("T", row("a", "1")), page("U", row("a", "2")), []string{"root"}},
		{"a piece of a drawing", picture("M0 0"), picture("M1 1"), []string{"p"}},
	} {
		var got []string
		for _, p := range markup.Diff(tc.before, tc.after) {
			got = append(got, p.ID)
		}
		if !slices.Equal(got, tc.want) {
			t.Errorf("%s: patched %q, want %q", tc.name, got, tc.want)
		}
	}
}

func TestWhatStaysIsOnlyNamed(t *testing.T) {
	list := func(rows ...markup.Part) markup.Node {
		return markup.El("ul", markup.ID("list"), markup.Group(rows...))
	}
	got := markup.Diff(list(row("a", "1"), row("b", "2")), list(row("new", "0"), row("b", "2"), row("a", "9")))
	want := `<ul id="list"><li id="new"><span>0</span></li><li id="b" data-same></li><li id="a"><span>9</span></li></ul>`
	if len(got) != 1 || got[0].HTML != want {
		t.Errorf("got %v, want one patch %s", got, want)
	}
}

func TestAttributesChangeAlone(t *testing.T) {
	pane := func(tag, face string) markup.Node {
		return markup.El(tag, markup.ID("x"), markup.Attr("data-face", face), row("a", "1"), markup.Text("b"))
	}
	got := markup.Diff(pane("div", "bird"), pane("div", "why"))
	want := markup.Patch{ID: "x", HTML: `<div id="x" data-face="why"></div>`, Outside: true}
	if len(got) != 1 || got[0] != want {
		t.Errorf("got %v, want %v", got, want)
	}
	if got := markup.Diff(pane("details", "bird"), pane("details", "why")); len(got) != 1 || got[0].Outside {
		t.Errorf("what a person opened and closed is patched by %v", got)
	}
}

// The list of a middling contest, of which one row changed.
func BenchmarkDiff(b *testing.B) {
	list := func(changed int) markup.Node {
		rows := make([]markup.Part, 200)
		for i := range rows {
			text := "Alder Creek"
			if i == changed {
				text = "Oak Hollow"
			}
			rows[i] = row("row-"+strconv.Itoa(i), text)
		}
		return markup.El("ul", markup.ID("list"), markup.Group(rows...))
	}
	before, after := list(0), list(199)
	for b.Loop() {
		if got := markup.Diff(before, after); len(got) != 2 {
			b.Fatalf("%d patches, want 2", len(got))
		}
	}
}

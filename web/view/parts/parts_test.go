package parts_test

import (
	"testing"

	"keelcard/web/markup"
	"keelcard/web/view/parts"
)

func TestIDOf(t *testing.T) {
	for do, want := range map[string]string{
		"home":          "home",
		"key.mark:3:A":  "key.mark__3__A",
		"a:b_c":         "a__b_5fc",
		"open:Oak Hill": "open__Oak_20Hill",
		"x:é":           "x___c3_a9",
	} {
		if got := parts.IDOf(do); got != want {
			t.Errorf("IDOf(%q) = %q, want %q", do, got, want)
		}
	}
}

func TestDifferentActionsHaveDifferentIDs(t *testing.T) {
	seen := map[string]string{}
	for _, do := range []string{"a:b", "a-b", "a.b", "a_b", "a__b", "a::b", "a: b", "a:_b", "a_:b", "a:5fb", "a_5fb"} {
		id := parts.IDOf(do)
		if other, ok := seen[id]; ok {
			t.Errorf("%q and %q share the id %q", do, other, id)
		}
		seen[id] = do
	}
}

func TestComponents(t *testing.T) {
	for _, c := range []struct {
		name string
		node markup.Node
		want string
	}{
		{"button", parts.Button("Start", "contest.new"),
			`<button id="contest.new" class="btn" type="button" data-do="contest.new">Start</button>`},
		{"button with looks", parts.Button("Start", "go", parts.Primary, parts.Big, parts.ID("go-2"), parts.Says("Start a contest")),
			`<button id="go-2" class="btn primary big" type="button" data-do="go" aria-label="Start a contest">Start</button>`},
		{"button that is on", parts.Button("Loud", "loud", parts.Pressed(true), parts.Sub("reads aloud")),
			`<button id="loud" class="btn" type="button" data-do="loud" aria-pressed="true"><span>Loud <span class="choice-sub">reads aloud</span></span></button>`},
		{"button that is off limits", parts.Button("Start", "go", parts.Disabled),
			`<button id="go" class="btn" type="button" data-do="go" disabled>Start</button>`},
		{"link", parts.Link("Source", "#s", parts.Quiet),
			`<a id="go___23s" class="btn quiet" href="#s">Source</a>`},
		{"top bar", parts.TopBar("Cards", "Class 2", "Home", "go:home"),
			`<header id="topbar" class="topbar"><button id="back" class="back" type="button" data-do="go:home">Home</button><h1 id="title" tabindex="-1">Cards</h1><p class="topbar-sub">Class 2</p></header>`},
		{"top bar of the first page", parts.TopBar("Home", "", "", ""),
			`<header id="topbar" class="topbar"><h1 id="title" tabindex="-1">Home</h1></header>`},
		{"where", parts.Where("Only on this phone", ""), `<p id="where" class="where">Only on this phone</p>`},
		{"where that opens", parts.Where("Only on this phone", "data"),
			`<button id="where" class="where" type="button" data-do="data">Only on this phone</button>`},
		{"main", parts.Main(parts.Para("Hello", "soft")), `<main id="main" tabindex="-1"><p class="soft">Hello</p></main>`},
		{"panes", parts.Panes(parts.Para("1"), parts.Para("2")),
			`<main id="main" class="panes" tabindex="-1"><div id="pane-1" class="pane"><p>1</p></div><div id="pane-2" class="pane"><p>2</p></div></main>`},
		{"dock", parts.Dock("Actions", parts.Para("x")), `<div id="dock" class="dock" role="region" aria-label="Actions"><p>x</p></div>`},
		{"stack and line", parts.Stack(parts.Line(parts.Para("x"))), `<div class="stack"><div class="row"><p>x</p></div></div>`},
		{"card", parts.Card("why", "Why", parts.Para("x")),
			`<section id="why" class="card" aria-labelledby="why-h"><h2 id="why-h">Why</h2><p>x</p></section>`},
		{"card without a heading", parts.Card("why", ""), `<section id="why" class="card"></section>`},
		{"empty", parts.Empty("Contestants will be here.", parts.Button("Add", "add")),
			`<div class="empty"><p>Contestants will be here.</p><button id="add" class="btn" type="button" data-do="add">Add</button></div>`},
		{"source", parts.Source("AMS 70.220"), `<span class="source">AMS 70.220</span>`},
		{"row to tap", parts.LinkRow(parts.Row{Lead: "1", Title: "Broilers", Sub: "10 birds", Value: "38", Do: "class:1", On: true}),
			`<li><button id="class__1" class="list-item" type="button" data-do="class:1" aria-current="true"><span class="item-lead">1</span><span class="item-text"><span class="item-title">Broilers</span><span class="item-sub">10 birds</span></span><span class="item-value">38</span></button></li>`},
		{"row to read", parts.LinkRow(parts.Row{Title: "Exam"}),
			`<li><div class="list-item"><span class="item-text"><span class="item-title">Exam</span></span></div></li>`},
		{"list", parts.List("Classes", parts.Row{Title: "Exam", ID: "r1"}),
			`<ul class="list" aria-label="Classes"><li><div id="r1" class="list-item"><span class="item-text"><span class="item-title">Exam</span></span></div></li></ul>`},
		{"choices", parts.Choices("Which?", true, parts.Choice{Label: "A", Do: "c:A", On: true}, parts.Choice{Label: "B", Do: "c:B"}),
			`<fieldset class="choices column"><legend>Which?</legend><button id="c__A" class="btn" type="button" data-do="c:A" aria-pressed="true">A</button><button id="c__B" class="btn" type="button" data-do="c:B" aria-pressed="false">B</button></fieldset>`},
		{"tabs", parts.Tabs("Views", parts.Choice{Label: "Front", Do: "v:f", On: true}, parts.Choice{Label: "Back", Do: "v:b"}),
			`<nav class="tabs" aria-label="Views"><button id="v__f" class="tab" type="button" data-do="v:f" aria-current="page">Front</button><button id="v__b" class="tab" type="button" data-do="v:b">Back</button></nav>`},
		{"keypad", parts.Keypad("keys", "Bird 5", parts.Key{Label: "A", Do: "k:A", On: true}, parts.Key{Label: "NG", Sub: "no grade", Says: "No grade", Do: "k:NG", Off: true, Plain: true}),
			`<div id="keys" class="keypad" data-keys="2" role="group" aria-label="Bird 5"><button id="k__A" class="key" type="button" data-do="k:A" aria-pressed="true">A</button><button id="k__NG" class="key plain" type="button" data-do="k:NG" aria-pressed="false" disabled aria-label="No grade">NG <span class="key-sub">no grade</span></button></div>`},
		{"tiles", parts.Tiles("Card", parts.Tile{Number: "1", Answer: "A", Says: "Bird 1: A", Do: "t:1", Question: true}, parts.Tile{Number: "2", Says: "Bird 2: none", Do: "t:2", On: true}),
			`<div class="tiles" role="group" aria-label="Card"><button id="t__1" class="tile question" type="button" data-do="t:1" aria-label="Bird 1: A"><span class="tile-no">1</span> <span class="tile-answer">A</span></button><button id="t__2" class="tile empty-mark" type="button" data-do="t:2" aria-label="Bird 2: none" aria-current="true"><span class="tile-no">2</span></button></div>`},
		{"readback", parts.Readback("041, bird 4", "NG", "Bird 5"),
			`<div id="readback" class="readback" role="status" aria-live="polite"><span class="readback-who">041, bird 4</span><span class="readback-value">NG</span><span class="readback-next">Bird 5</span></div>`},
		{"field", parts.Field(parts.Input{Name: "length", Label: "How long?", Hint: "3/8 in", Value: `1"`, Do: "call.length", Mode: "decimal", Short: true}),
			`<div class="field short"><label for="f-length">How long?</label><span id="f-length-hint" class="hint">3/8 in</span><input id="f-length" name="length" data-do="call.length" aria-describedby="f-length-hint" inputmode="decimal" autocomplete="off" type="text" dir="auto" value="1&#34;"></div>`},
		{"field with a fault", parts.Field(parts.Input{Name: "n", Label: "Number", Hint: "digits", Error: "0x is not a number.", Value: "0x", Required: true, Type: "number"}),
			`<div class="field"><label for="f-n">Number</label><span id="f-n-hint" class="hint">digits</span><input id="f-n" name="n" required aria-invalid="true" aria-describedby="f-n-hint f-n-error" autocomplete="off" type="number" value="0x"><span id="f-n-error" class="error" role="alert">0x is not a number.</span></div>`},
		{"text area", parts.Field(parts.Input{Name: "note", Label: "Note", Lines: 3, Value: "a<b", Placeholder: "what you saw"}),
			`<div class="field"><label for="f-note">Note</label><textarea id="f-note" name="note" placeholder="what you saw" autocomplete="off" dir="auto" rows="3">a&lt;b</textarea></div>`},
		{"list to choose from", parts.Field(parts.Input{Name: "d", Label: "Division", Value: "s", Do: "person.division", Options: []parts.Option{{"j", "Junior"}, {"s", "Senior"}}}),
			`<div class="field"><label for="f-d">Division</label><select id="f-d" name="d" data-do="person.division"><option value="j">Junior</option><option value="s" selected>Senior</option></select></div>`},
		{"check", parts.Check("Read aloud", "speak", true),
			`<label class="check"><input id="speak" type="checkbox" data-do="speak" checked><span>Read aloud</span></label>`},
		{"file", parts.File("Files", "take", ".txt", true),
			`<div class="field"><label for="take">Files</label><input id="take" name="take" type="file" data-do="take" accept=".txt" multiple></div>`},
		{"notice", parts.Notice(parts.Caution, "Wash your hands."),
			`<div class="notice caution" role="note"><span class="notice-mark" aria-hidden="true"><span>!</span></span><div class="notice-text"><p>Wash your hands.</p></div></div>`},
		{"bad notice", parts.Notice(parts.Bad, "The file stops in the middle.", parts.Button("Again", "again")),
			`<div class="notice bad" role="alert"><span class="notice-mark" aria-hidden="true"><span>×</span></span><div class="notice-text"><p>The file stops in the middle.</p><button id="again" class="btn" type="button" data-do="again">Again</button></div></div>`},
		{"toast", parts.Toast("install", "Can be installed."), `<div id="install" class="toast-edge" role="status"><p>Can be installed.</p></div>`},
		{"flash", parts.Flash(true, "041 kept"), `<div id="flash" class="flash ok" role="status">041 kept</div>`},
		{"bad flash", parts.Flash(false, "not kept"), `<div id="flash" class="flash bad" role="status">not kept</div>`},
		{"grade", parts.GradeBadge("NG", "No grade", "large"),
			`<span class="badge-grade large" data-grade="NG" role="img" aria-label="No grade">NG</span>`},
		{"stat", parts.Stats(parts.Stat("87.5", "points")),
			`<div class="stats"><div class="stat"><span class="stat-value">87.5</span><span class="stat-label">points</span></div></div>`},
		{"table", parts.Table("t", "Results", []parts.Column{{"Who", false}, {"Total", true}}, []parts.TableRow{{ID: "r", Cells: parts.Texts("041", "93"), Mark: true}, {Cells: parts.Texts("Team", "93"), Sum: true}}),
			`<div class="table-box" tabindex="0" role="group" aria-label="Results"><table id="t" class="table"><caption>Results</caption><thead><tr><th scope="col">Who</th><th scope="col" class="num">Total</th></tr></thead><tbody><tr id="r" class="mark"><th scope="row">041</th><td class="num">93</td></tr><tr class="sum"><th scope="row">Team</th><td class="num">93</td></tr></tbody></table></div>`},
		{"why", parts.Why("w", "Bare patch", markup.Text("B"), parts.Para("A allows 1/4 in.")),
			`<details id="w" class="trail"><summary><span>Bare patch</span><span class="push">B</span></summary><div class="why-body"><p>A allows 1/4 in.</p></div></details>`},
		{"why without an end", parts.Why("w", "Bare patch", nil),
			`<details id="w" class="trail"><summary><span>Bare patch</span></summary><div class="why-body"></div></details>`},
		{"progress", parts.Progress("Cards", "12 of 40", 12, 40),
			`<div class="progress" role="progressbar" aria-label="Cards" aria-valuemin="0" aria-valuemax="40" aria-valuenow="12" aria-valuetext="12 of 40"><div class="progress-text"><span>Cards</span><span class="num">12 of 40</span></div><svg class="progress-bar" viewBox="0 0 1000 10" preserveAspectRatio="none" aria-hidden="true"><rect class="progress-track" width="1000" height="10"></rect><rect class="progress-done" width="300" height="10"></rect></svg></div>`},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := markup.String(c.node); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestProgressStaysInItsBounds(t *testing.T) {
	for _, c := range []struct {
		done, of  int
		now, most string
	}{{-3, 10, "0", "10"}, {15, 10, "10", "10"}, {0, 0, "0", "0"}, {4, -1, "0", "0"}} {
		n := parts.Progress("x", "x", c.done, c.of)
		if n.Get("aria-valuenow") != c.now || n.Get("aria-valuemax") != c.most {
			t.Errorf("Progress(%d, %d) says %s of %s, want %s of %s", c.done, c.of, n.Get("aria-valuenow"), n.Get("aria-valuemax"), c.now, c.most)
		}
	}
}

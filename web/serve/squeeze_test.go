package main

import "testing"

func TestSqueeze(t *testing.T) {
	for _, tc := range []struct{ name, in, want string }{
		{"style.css", "/* a\n b */\n.x {\n  color: red; /* c */\n\n}\n", ".x {\ncolor: red;\n}\n"},
		{"style.css", ".x::before { content: \"// \"; }\n", ".x::before { content: \"// \"; }\n"},
		{"boot.js", "// why\nconst a = \"http://x\"; // stays\n  run(a);\n", "const a = \"http://x\"; // stays\nrun(a);\n"},
		{"vendor/idiomorph.js", "// licence\n", "// licence\n"},
		{"index.html", "<!-- a -->\n  <p>", "<!-- a -->\n  <p>"},
	} {
		if got := string(squeeze(tc.name, []byte(tc.in))); got != tc.want {
			t.Errorf("%s: %q becomes %q, want %q", tc.name, tc.in, got, tc.want)
		}
	}
}

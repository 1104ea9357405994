package parts_test

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

const styleFile = "../../shell/style.css"

func style(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile(styleFile)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// scheme reads the colours of the block that follows a selector.
func scheme(t *testing.T, css, selector string) map[string]string {
	t.Helper()
	_, rest, ok := strings.Cut(css, selector+" {")
	if !ok {
		t.Fatalf("%s is not in the style", selector)
	}
	block, _, _ := strings.Cut(rest, "}")
	colours := map[string]string{}
	for _, m := range regexp.MustCompile(`--([a-z-]+): (#[0-9a-f]{6});`).FindAllStringSubmatch(block, -1) {
		colours[m[1]] = m[2]
	}
	return colours
}

// luminance is the relative luminance of WCAG 2.2, section "relative luminance".
func luminance(hex string) float64 {
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, _ := strconv.ParseUint(hex[1+2*i:3+2*i], 16, 8)
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

// contrast is the contrast ratio of WCAG 2.2.
func contrast(a, b string) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func TestContrastOfBlackAndWhiteIs21(t *testing.T) {
	if got := fmt.Sprintf("%.2f", contrast("#000000", "#ffffff")); got != "21.00" {
		t.Errorf("got %s", got)
	}
}

// Text stands out 7:1 from its ground in both schemes (WCAG 2.2, 1.4.6), and
// the edges of what can be tapped 3:1 (1.4.11).
func TestContrast(t *testing.T) {
	css := style(t)
	grounds := []string{"paper", "card", "well", "caution-well", "info-well"}
	for name, c := range map[string]map[string]string{
		"bright": scheme(t, css, ":root"),
		"dim":    scheme(t, css, `:root[data-scheme="dim"]`),
	} {
		check := func(fore, back string, least float64) {
			if c[fore] == "" || c[back] == "" {
				t.Fatalf("%s: %s or %s has no colour", name, fore, back)
			}
			if got := contrast(c[fore], c[back]); got < least {
				t.Errorf("%s: %s %s on %s %s is %.2f, want at least %.1f", name, fore, c[fore], back, c[back], got, least)
			}
		}
		for _, ground := range grounds {
			check("ink", ground, 7)
			check("soft", ground, 7)
			check("edge", ground, 3)
		}
		check("on-key", "key", 7)
		check("on-chosen", "chosen", 7)
		check("on-yolk", "yolk", 7)
		for _, ground := range []string{"paper", "card", "bad-well"} {
			check("bad", ground, 7)
		}
		check("ink", "bad-well", 7)
		for _, ground := range []string{"paper", "card", "well"} {
			check("focus", ground, 3)
		}
		check("accent", "card", 3)
		check("fault", "skin-light", 3)
		check("skin-line", "skin-light", 3)
	}
}

// In the candling room nothing may glare.
func TestDimHasNothingBright(t *testing.T) {
	for name, hex := range scheme(t, style(t), `:root[data-scheme="dim"]`) {
		if l := luminance(hex); l > 0.65 {
			t.Errorf("--%s %s has a luminance of %.2f", name, hex, l)
		}
	}
}

func TestBothWaysToDimAgree(t *testing.T) {
	css := style(t)
	chosen, device := scheme(t, css, `:root[data-scheme="dim"]`), scheme(t, css, `:root:not([data-scheme="bright"])`)
	bright := scheme(t, css, ":root")
	for name := range bright {
		if chosen[name] == "" || chosen[name] != device[name] {
			t.Errorf("--%s is %q when chosen and %q by the device's setting", name, chosen[name], device[name])
		}
	}
	if len(chosen) != len(bright) || len(device) != len(bright) {
		t.Errorf("%d colours in bright, %d and %d in dim", len(bright), len(chosen), len(device))
	}
}

// Every class that a component uses has a rule.
func TestClassesHaveRules(t *testing.T) {
	css := style(t)
	for _, class := range []string{"app", "topbar", "topbar-sub", "back", "where", "panes", "pane", "dock", "stack", "row", "push", "card", "empty", "source",
		"list", "list-item", "item-lead", "item-text", "item-title", "item-sub", "item-value", "btn", "primary", "quiet", "danger", "big", "wide", "choices", "choice-sub",
		"column", "tabs", "tab", "keypad", "key", "key-sub", "plain", "tiles", "tile", "tile-no", "empty-mark", "question", "readback", "readback-who", "readback-value",
		"readback-next", "field", "short", "hint", "error", "check", "notice", "notice-mark", "notice-text", "info", "caution", "bad", "toast-edge", "flash", "badge-grade",
		"stat", "stats", "stat-value", "stat-label", "table-box", "table", "num", "sum", "mark", "trail", "why-body", "progress", "progress-text", "progress-bar",
		"progress-track", "progress-done", "visually-hidden", "no-print", "print-only", "page-break", "slip", "slips", "sheet", "skip", "chart"} {
		if !regexp.MustCompile(`\.` + class + `[^a-z-]`).MatchString(css) {
			t.Errorf(".%s has no rule", class)
		}
	}
}

func TestStyleFetchesNothing(t *testing.T) {
	for _, s := range []string{"url(", "@import", "@font-face"} {
		if strings.Contains(style(t), s) {
			t.Errorf("the style holds %s", s)
		}
	}
}

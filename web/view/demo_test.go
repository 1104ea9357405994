package view_test

import (
	"strings"
	"testing"

	"keelcard/engine/contest"
	"keelcard/engine/demo"
	"keelcard/engine/merge"
	"keelcard/web/figure"
)

// Every finding of the demo's keys lies on the drawing where it says it does.
func TestTheDemosFindingsLieOnTheirSites(t *testing.T) {
	set, err := demo.Set()
	if err != nil {
		t.Fatal(err)
	}
	c := contest.Read(set.Contest, merge.Fold(set))
	placed := 0
	for _, class := range c.Classes {
		for item := range uint32(class.Items) {
			for _, f := range c.Seen(class.No, item+1).Findings {
				if f.View == "" {
					continue
				}
				placed++
				view := figure.Front
				if f.View == "back" {
					view = figure.Back
				}
				if got := figure.SiteAt(view, f.X, f.Y); !strings.HasPrefix(got, f.Site) {
					t.Errorf("%s, item %d: %s on the %s lies on %q", class.Name, item+1, f.Site, f.View, got)
				}
			}
		}
	}
	if placed < 10 {
		t.Errorf("only %d findings have a place", placed)
	}
}

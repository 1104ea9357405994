// Package figure draws what is spoken of: the hung bird from both sides and its
// parts; eggs from outside, before the light and opened; breaded pieces, a carton,
// a hen and where she bleaches; rulers and cuts to scale; and simple charts. A
// drawing is a markup.Node, an SVG whose colours come from web/shell/style.css,
// and each has a text twin for those who do not see it.
//
// What is tapped lies on a sheet: a size, sites, and marks with their pins, drawn
// the same way for all (scene.go). Where a sheet has a scale, marks are as wide as
// what was found.
package figure

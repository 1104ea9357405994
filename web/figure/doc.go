// Package figure draws what is spoken of: the hung bird from both sides, rulers
// and cuts to scale, the four hens of a placing class, and simple charts. A
// drawing is a markup.Node, an SVG whose colours come from web/shell/style.css,
// and each has a text twin for those who do not see it.
package figure

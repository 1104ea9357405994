// Package shell holds the static files around the program: the page, the style,
// the start script, the service worker, the manifest and the icons.
//
// index.html and sw.js are templates: the host that builds the app puts the
// version, the content policy and the list of files in their places.
package shell

import "embed"

// Files holds the shell as it is in the source tree, without the program.
//
//go:embed index.html boot.js morph.js sw.js codes.js reader.js style.css manifest.webmanifest robots.txt vendor icons
var Files embed.FS

// Policy is the content policy of the page: nothing from anywhere else, and no
// script or style inside the page. The frame rule holds in a header only.
const (
	Policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' blob: data:; " +
		"connect-src 'self'; worker-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'"
	PolicyHeader = Policy + "; frame-ancestors 'none'"
)

// The places in index.html and sw.js that the build fills.
const (
	VersionMark = "@VERSION@"
	RestMark    = "@REST@" // the name of the second part of the program, "" when there is none
	PolicyMark  = "@POLICY@"
	FilesMark   = "@FILES@"
	LaterMark   = "@LATER@" // files that are kept after all others
)

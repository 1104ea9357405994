// Command serve builds Keelcard and serves it on this machine. It needs the Go
// toolchain and nothing else.
//
//	go run ./web/serve                  build, serve, print the address
//	go run ./web/serve -release -out D  write a folder for any static host
//	go run ./web/serve -dir D           serve such a folder without building
//	go run ./web/serve -size            print what a first visit downloads
//	go run ./web/serve -gallery         show every view in every state, too
package main

import (
	"errors"
	"flag"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"keelcard/web/view"
)

func main() {
	var o options
	flag.StringVar(&o.addr, "addr", "127.0.0.1:8080", "address to serve on; port 0 takes a free one")
	flag.StringVar(&o.dir, "dir", "", "serve this folder, written earlier by -out, instead of building")
	flag.StringVar(&o.out, "out", "", "write the site to this folder and stop")
	flag.BoolVar(&o.release, "release", false, "compress as far as possible, which takes longer")
	flag.BoolVar(&o.size, "size", false, "print the size of a first download and fail above the budget")
	flag.BoolVar(&o.gallery, "gallery", false, "serve every view in every state, under /gallery")
	flag.StringVar(&o.stamp, "stamp", "", "a word that goes into the version, to make another version of the same source")
	flag.Parse()
	if err := run(o); err != nil {
		fmt.Fprintln(os.Stderr, "serve:", err)
		os.Exit(1)
	}
}

type options struct {
	addr, dir, out, stamp  string
	release, size, gallery bool
}

func run(o options) error {
	s, err := open(o)
	if err != nil {
		return err
	}
	if o.out != "" {
		if err := s.write(o.out); err != nil {
			return err
		}
	}
	if o.size {
		return printSize(os.Stdout, s)
	}
	if o.out != "" {
		return nil
	}
	return serve(o, s)
}

// open reads a folder or builds the site.
func open(o options) (*site, error) {
	if o.dir != "" {
		return readSite(o.dir)
	}
	root, err := moduleRoot()
	if err != nil {
		return nil, err
	}
	level := quick
	if o.release || o.size {
		level = small
	}
	return build(root, level, o.stamp)
}

// moduleRoot is the folder of go.mod.
func moduleRoot() (string, error) {
	out, err := exec.Command("go", "env", "GOMOD").Output()
	if err != nil {
		return "", fmt.Errorf("go env: %w", err)
	}
	mod := strings.TrimSpace(string(out))
	if mod == "" || mod == os.DevNull {
		return "", errors.New("not inside the source tree; go there, or serve a folder with -dir")
	}
	return filepath.Dir(mod), nil
}

func serve(o options, s *site) error {
	listener, err := net.Listen("tcp", o.addr)
	if err != nil {
		return err
	}
	mux := http.NewServeMux()
	mux.Handle("/", s.handler())
	fmt.Printf("Keelcard %s is at http://%s/\n", s.version, listener.Addr())
	if o.gallery {
		mux.Handle("/gallery", gallery(view.Gallery()))
		mux.Handle("/gallery/", gallery(view.Gallery()))
		fmt.Printf("Every view is at http://%s/gallery\n", listener.Addr())
	}
	server := &http.Server{Handler: mux, ReadHeaderTimeout: 10 * time.Second}
	return server.Serve(listener)
}

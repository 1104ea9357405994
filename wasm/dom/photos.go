//go:build js && wasm

package dom

import (
	"slices"

	"keelcard/wasm/files"
	"keelcard/web/markup"
)

// photos gives stored pictures an address for as long as they are on the page.
type photos struct {
	read  func(hash string) ([]byte, error)
	came  func()
	urls  map[string]string
	asked map[string]bool
}

// fill puts the address of every photo in its element and notes which are
// shown. Those without an address yet are fetched; came is called when one is there.
func (p *photos) fill(n markup.Node, shown map[string]bool) markup.Node {
	if hash := n.Get("data-blob"); n.Tag == "img" && hash != "" {
		shown[hash] = true
		if url := p.urls[hash]; url != "" {
			with := *n
			with.Attrs = append(slices.Clip(n.Attrs), markup.Attr("src", url))
			return &with
		} else {
			p.fetch(hash)
		}
		return n
	}
	var kids []markup.Node // a copy, made when the first photo is found
	for i, k := range n.Kids {
		before := len(shown)
		filled := p.fill(k, shown)
		if len(shown) > before || kids != nil {
			if kids == nil {
				kids = slices.Clone(n.Kids)
			}
			kids[i] = filled
		}
	}
	if kids != nil {
		with := *n
		with.Kids = kids
		return &with
	}
	return n
}

func (p *photos) fetch(hash string) {
	if p.asked[hash] {
		return
	}
	p.asked[hash] = true
	go func() {
		data, err := p.read(hash)
		if err != nil || data == nil || !p.asked[hash] {
			return // the page shows the text of the picture instead
		}
		p.urls[hash] = files.URL("image/jpeg", data)
		p.came()
	}()
}

// keep lets go of all photos but those shown.
func (p *photos) keep(shown map[string]bool) {
	for hash := range p.asked {
		if shown[hash] {
			continue
		}
		delete(p.asked, hash)
		if url, ok := p.urls[hash]; ok {
			files.Revoke(url)
			delete(p.urls, hash)
		}
	}
}

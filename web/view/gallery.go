package view

import (
	"slices"

	"keelcard/web/app"
)

// Sample is a state worth looking at, by name: "keying/half a card".
type Sample struct {
	Name  string
	State *app.State
}

// Gallery lists every view in every state, for the eye and for the golden pages.
func Gallery() []Sample {
	return slices.Concat(galleryHome(), galleryCall(), galleryKey(), gallerySetup(), galleryPeople(), galleryKeying(), galleryKinds(), galleryConfirm(), galleryProtest(), galleryResults(), galleryHandover(), galleryCodes(), galleryBook(), galleryHens(), galleryLots(), galleryBackup(), galleryPhones(), galleryInvite(), gallerySealed(), galleryRecovery())
}

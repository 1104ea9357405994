package app

// Keying is the entering of cards.
type Keying struct{}

func keyingHandlers() handlers { return handlers{} }

// restore takes in the cards that were begun and not finished.
func (k *Keying) restore(contest string, drafts []Entry) {}

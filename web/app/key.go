package app

// KeyPage is the official key of a class being set, item by item.
type KeyPage struct{}

func keyHandlers() handlers { return handlers{} }

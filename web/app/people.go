package app

// People is the list of contestants being edited or pasted.
type People struct{}

func peopleHandlers() handlers { return handlers{} }

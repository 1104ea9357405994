package app

// Setup is what is being set up: the contest's settings and its classes.
type Setup struct{}

func setupHandlers() handlers { return handlers{} }

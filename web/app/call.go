package app

// Call is a single carcass call, with no contest at all.
type Call struct{}

func callHandlers() handlers { return handlers{} }

package app

func questionHandlers() handlers { return handlers{} }

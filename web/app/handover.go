package app

// Handover is the handing over of records to other phones.
type Handover struct{}

// TakeIn is a file or text that arrived and is looked at before it is taken in.
type TakeIn struct{}

func handoverHandlers() handlers { return handlers{} }

// handedOver notes that a bundle left this phone.
func (s *State) handedOver(m Msg) []Effect { return nil }

package app

func classBookHandlers() handlers {
	return handlers{
		"enter.class-book": classBookEnter,
		"class-book.save":  classBookSave,
	}
}

// classBookEnter reads what was brought in on this phone too, so that a class
// can take such a book.
func classBookEnter(s *State, m Msg) []Effect {
	s.Shelf = Shelf{Own: s.Shelf.Own, Known: s.Shelf.Known}
	return []Effect{loadBooks()}
}

// classBookSave hands the book of the class out as it stands in the contest.
func classBookSave(s *State, m Msg) []Effect {
	if s.Open == nil {
		return nil
	}
	c, ok := s.Open.Contest.Class(s.Page.Number(0))
	if !ok {
		return nil
	}
	b, err := c.RuleBook()
	if err != nil {
		return s.refuse(err)
	}
	return []Effect{offerBook(b, m.Arg(0) == "save")}
}

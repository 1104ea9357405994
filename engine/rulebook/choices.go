package rulebook

import (
	"slices"

	"keelcard/engine/sorting"
	"keelcard/engine/tree"
)

// Resolve completes a set of choices with the book's defaults. A choice or an
// option the book does not have is a fault with CodeReference; all are reported.
func (b *Book) Resolve(choices map[string]string) (map[string]string, error) {
	var l faultList
	all := make(map[string]string, len(b.Choices))
	for _, c := range b.Choices {
		all[c.ID] = c.Default
	}
	for _, id := range sorting.Keys(choices) {
		where := "choices." + tree.Clip(id)
		i := slices.IndexFunc(b.Choices, func(c Choice) bool { return c.ID == id })
		if i < 0 {
			l.add(CodeReference, where, "the book "+tree.Quote(b.ID)+" has no choice "+tree.Quote(id), "take it out")
			continue
		}
		option := choices[id]
		if !slices.ContainsFunc(b.Choices[i].Options, func(o Option) bool { return o.ID == option }) {
			l.add(CodeReference, where, "there is no option "+tree.Quote(option), "choose "+oneOf(optionIDs(b.Choices[i])))
			continue
		}
		all[id] = option
	}
	return all, l.faults.Err()
}

func optionIDs(c Choice) []string {
	ids := make([]string, len(c.Options))
	for i, o := range c.Options {
		ids[i] = o.ID
	}
	return ids
}

// Answers is the scale as it stands under resolved choices, best first.
func (b *Book) Answers(resolved map[string]string) []Grade {
	return slices.DeleteFunc(slices.Clone(b.Scale), func(g Grade) bool { return !Holds(g.When, resolved) })
}

// Holds reports whether a condition is met by resolved choices; an empty
// condition always is.
func Holds(when, resolved map[string]string) bool {
	for choice, option := range when {
		if resolved[choice] != option {
			return false
		}
	}
	return true
}

package app

import (
	"slices"
	"strconv"

	"keelcard/engine/points"
	"keelcard/web/words"
)

// usualCalled is how many places of each ranking are called out unless somebody
// asks for more or fewer (Louisiana State University, announcement of the
// national collegiate contest, 2020: five a division and overall, five teams).
const usualCalled = 5

// Awards is one ranking as it is called out, the lowest place first.
type Awards struct {
	Division string // "" for all classes
	Group    string // "" for all age groups together
	Teams    bool
	Max      points.Points // full points, of one contestant
	Lines    []Ranked
}

// Places is how many places of each ranking are called out. More are called
// where a place is shared.
func (r Results) Places() int {
	if r.Called == 0 {
		return usualCalled
	}
	return r.Called
}

func setCalled(s *State, m Msg) []Effect {
	n, err := strconv.Atoi(m.Arg(0))
	if err == nil && n > 0 && n <= 100 {
		s.Results.Called = n
	}
	return nil
}

// AwardsOf lists what is called out, in order: each division, contestants and then
// teams, and then the whole contest. Contestants are called by age group unless
// they are to be called together.
func AwardsOf(r *Scored, most int, together bool) []Awards {
	var out []Awards
	add := func(c Awards, list []Ranked) {
		list = slices.DeleteFunc(list, func(p Ranked) bool { return p.Rank > most })
		slices.Reverse(list)
		if c.Lines = list; len(list) > 0 {
			out = append(out, c)
		}
	}
	groups := r.Divisions
	if together || len(groups) == 0 {
		groups = []string{""}
	}
	for _, division := range append(slices.Clone(r.ClassDivisions), "") {
		part, max := PartOf(r, division), Max(r, division)
		for _, group := range groups {
			add(Awards{Division: division, Group: group, Max: max}, RankPersons(r, part, group))
		}
		add(Awards{Division: division, Teams: true, Max: max}, RankTeams(r, part, ""))
	}
	return out
}

// CalledTie says which tie-break decided a place that is called out, "" when
// none did. Tie-breaks decide between totals of the whole contest.
func CalledTie(r *Scored, c Awards, i int) string {
	if c.Division != "" || i+1 >= len(c.Lines) {
		return ""
	}
	mine, ahead := c.Lines[i], c.Lines[i+1]
	if mine.Total != ahead.Total || mine.Rank == ahead.Rank {
		return ""
	}
	compare := r.Result.Compare
	if c.Teams {
		compare = r.Result.CompareTeams
	}
	p := compare(mine.Index, ahead.Index)
	return Parted(r, &p, CalledName(r, c, ahead))
}

// CalledName is who stands on a line that is called out.
func CalledName(r *Scored, c Awards, line Ranked) string {
	if c.Teams {
		return r.Teams[line.Index].Name
	}
	return PersonName(r.Persons[line.Index], true)
}

// Title names what is called out.
func (c Awards) Title() string {
	name := c.Division
	if name == "" {
		name = words.T("awards.all")
	}
	switch {
	case c.Teams:
		return words.T("awards.teams", name)
	case c.Group != "":
		return words.T("awards.group", name, c.Group)
	}
	return words.T("awards.everyone", name)
}

// placeWord is a place in words.
func placeWord(rank int) string {
	if rank <= 10 {
		return words.T("awards.place-" + strconv.Itoa(rank))
	}
	return words.T("awards.place", rank)
}

// Placed is the place of a line in words, as it is read out.
func (r Ranked) Placed() string {
	if r.Shared {
		return words.T("awards.shared", placeWord(r.Rank))
	}
	return placeWord(r.Rank)
}

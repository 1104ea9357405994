package hens

// What does not fit together on a hen. Neither changes the order.
const (
	// Returned: a place is yellower than one that loses pigment later. Pigment
	// comes back in the order in which it left, so she has stopped laying (from
	// memory). Early is the first such place, Late the last that is paler.
	Returned = "returned"
	// Tight: shanks are bleached and the pubic bones are no more than a finger
	// apart, as on a hen that is out of lay (from memory).
	Tight = "tight"
)

// Oddity is something on a hen that does not fit together and is worth a second
// look.
type Oddity struct {
	Code        string
	Hen         int
	Early, Late string // ids of places
}

func oddities(class [Count]Hen) (odd []Oddity) {
	for i, h := range class {
		if early, late := h.returned(); early >= 0 {
			odd = append(odd, Oddity{Returned, i + 1, chart[early].ID, chart[late].ID})
		}
		if front := place("shank-front"); h.Pigment[front] == Bleached && h.Pubic > 0 && h.Pubic <= 2 {
			odd = append(odd, Oddity{Code: Tight, Hen: i + 1, Late: chart[front].ID})
		}
	}
	return odd
}

// returned finds the first place that is yellower than a later one, and the
// last place that is paler than it; -1 when pigment left in order.
func (h Hen) returned() (early, late int) {
	for early := range h.Pigment {
		for late := Places - 1; late > early; late-- {
			if h.Pigment[early] != NotLooked && h.Pigment[late] > h.Pigment[early] {
				return early, late
			}
		}
	}
	return -1, -1
}

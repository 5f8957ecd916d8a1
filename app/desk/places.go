package desk

import (
	"cmp"
	"slices"
	"strings"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk/station"
	"beamhelm/app/message"
)

// The most that is kept of places: how many, and letters of a name.
const (
	maxPlaces    = 100
	maxPlaceName = 40
)

// PlaceWrong says what is wrong with a place that is to be kept beside the sources there are; nothing when it is fine.
func PlaceWrong(p BodyChoice, sources []RadioSource) message.Message {
	within := func(angle unit.Angle, low, high float64) bool {
		return angle.Deg() >= low-1e-9 && angle.Deg() <= high+1e-9 // false for a NaN
	}
	if wrong := station.WordsWrong(p.Name, maxPlaceName); wrong.Code != "" {
		return wrong
	}
	switch target := targetNamed(p.Name, sources); {
	case target != "":
		return message.Of("place.target", target)
	case p.Kind == Fixed && within(p.Az, -720, 720) && within(p.El, -90, 90):
	case p.Kind == Radec && within(p.RA, 0, 360) && within(p.Dec, -90, 90):
	case p.Kind == Fixed || p.Kind == Radec:
		return message.Of("place.angles")
	default:
		return message.Of("place.kind")
	}
	return message.Message{}
}

// targetNamed is the target that has a name already: the Moon, the Sun or a source; empty for none.
func targetNamed(name string, sources []RadioSource) string {
	targets := []string{"Moon", "Sun"}
	for _, source := range sources {
		targets = append(targets, source.Name)
	}
	for _, target := range targets {
		if SamePlaceName(name, target) {
			return target
		}
	}
	return ""
}

// SamePlaceName says whether two names are the same. Capitals and blanks don't matter.
func SamePlaceName(a, b string) bool {
	plain := func(name string) string { return strings.Join(strings.Fields(name), "") }
	return strings.EqualFold(plain(a), plain(b))
}

// savePlace keeps a place, in place of one of the same name. Why says why not.
func (s *State) savePlace(p BodyChoice) (why message.Message) {
	p.Name = strings.Join(strings.Fields(p.Name), " ")
	wrong := PlaceWrong(p, s.Sources.List)
	list := slices.DeleteFunc(slices.Clone(s.Places), func(o BodyChoice) bool { return SamePlaceName(o.Name, p.Name) })
	if wrong.Code == "" && len(list) >= maxPlaces {
		wrong = message.Of("date.many", maxPlaces)
	}
	if wrong.Code != "" {
		return message.Of("place.not-saved", wrong)
	}
	s.Places = append(list, p)
	slices.SortStableFunc(s.Places, func(a, b BodyChoice) int {
		return cmp.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name))
	})
	return message.Message{}
}

// deletePlace forgets a place.
func (s *State) deletePlace(name string) {
	s.Places = slices.DeleteFunc(slices.Clone(s.Places), func(o BodyChoice) bool { return SamePlaceName(o.Name, name) })
}

// takePlaces takes up what was kept; what can't be used is left out.
func (s *State) takePlaces(kept []BodyChoice) {
	s.Places = nil
	for _, p := range kept {
		s.savePlace(p)
	}
}

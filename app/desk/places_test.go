package desk

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"
)

// names are those of the places that are kept, with the azimuth of each.
func placeNames(b *bench) string {
	var all []string
	for _, p := range b.out.Status.Places {
		all = append(all, fmt.Sprintf("%s %.0f", p.Name, p.Az.Deg()))
	}
	return strings.Join(all, ", ")
}

// Places are kept by name, listed by name, replaced by the same name and taken up again; none moves the dish.
func TestPlacesAreKept(t *testing.T) {
	b := newBench(t)
	mast := BodyChoice{Kind: Fixed, Name: " North  mast ", Az: degrees(372), El: degrees(4)}
	spot := BodyChoice{Kind: Radec, Name: "a quiet spot", RA: degrees(150), Dec: degrees(41)}
	b.after(100*time.Millisecond, SavePlace{mast}, SavePlace{spot})
	if got := placeNames(b); got != "a quiet spot 0, North mast 372" {
		t.Fatalf("places: %s", got)
	}
	published := b.out.Status.Places
	mast.Name, mast.Az = "NORTH mast", degrees(12)
	b.after(100*time.Millisecond, SavePlace{mast})
	if got := placeNames(b); got != "a quiet spot 0, NORTH mast 12" {
		t.Errorf("replaced: %s", got)
	}
	if published[1].Az.Deg() < 371 {
		t.Error("a published list was changed")
	}
	if b.out.Status.Activity != Idle || len(b.out.Commands) > 0 && b.kinds() != "" {
		t.Errorf("saving a place asks the drive for %s", b.kinds())
	}
	text, err := json.Marshal(Kept{Places: b.s.Places})
	if err != nil {
		t.Fatal(err)
	}
	var kept Kept
	if err := json.Unmarshal(text, &kept); err != nil {
		t.Fatal(err)
	}
	again := New(&b.c, nil)
	again.takePlaces(append(kept.Places, BodyChoice{Kind: Moon, Name: "damaged"}))
	if fmt.Sprint(again.Places) != fmt.Sprint(b.s.Places) {
		t.Errorf("kept %v, taken up %v", b.s.Places, again.Places)
	}
	b.after(100*time.Millisecond, DeletePlace{"north MAST"}, DeletePlace{"none"})
	if got := placeNames(b); got != "a quiet spot 0" {
		t.Errorf("after deleting: %s", got)
	}
}

// A place that could not be used is refused, and says why.
func TestPlacesThatAreNotKept(t *testing.T) {
	nan := unit.Angle(math.NaN())
	good := BodyChoice{Kind: Fixed, Name: "mast", Az: degrees(12), El: degrees(4)}
	with := func(change func(*BodyChoice)) BodyChoice {
		p := good
		change(&p)
		return p
	}
	for want, p := range map[string]BodyChoice{
		"1 to 40 letters":       with(func(p *BodyChoice) { p.Name = "  " }),
		"letters":               with(func(p *BodyChoice) { p.Name = strings.Repeat("x", 41) }),
		"no control characters": with(func(p *BodyChoice) { p.Name = "a\x01" }),
		"angles":                with(func(p *BodyChoice) { p.Az = nan }),
		"angles that":           with(func(p *BodyChoice) { p.El = degrees(91) }),
		"angles that no":        with(func(p *BodyChoice) { p.Kind, p.Dec = Radec, degrees(-91) }),
		"angles that no place":  with(func(p *BodyChoice) { p.Kind, p.RA = Radec, degrees(-1) }),
		"Moon is the name":      with(func(p *BodyChoice) { p.Name = " moon" }),
		"Sun is the name":       with(func(p *BodyChoice) { p.Name = "SUN" }),
		"Cyg A is the name of a target; choose another": with(func(p *BodyChoice) { p.Name = "cyg  a" }),
		"neither": with(func(p *BodyChoice) { p.Kind = Source }),
	} {
		s := State{}
		s.Sources.List = []RadioSource{{Name: "Cas A"}, {Name: "Cyg A"}}
		if why := s.savePlace(p); !strings.Contains(why.String(), want) || len(s.Places) != 0 {
			t.Errorf("%+v: %q, want %q", p, why.String(), want)
		}
	}
	s := State{}
	for i := range maxPlaces {
		p := good
		p.Name = fmt.Sprint("mast ", i)
		s.savePlace(p)
	}
	if why := s.savePlace(good); !strings.Contains(why.String(), "100 already") || len(s.Places) != maxPlaces {
		t.Errorf("one more: %q, %d places", why.String(), len(s.Places))
	}
	if why := s.savePlace(s.Places[7]); why.Code != "" || len(s.Places) != maxPlaces {
		t.Errorf("one of them again: %q", why.String())
	}
}

package view_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/view"
)

// The list of sources has what is up first, each group by flux density, and says until when or from when.
func TestSourceLines(t *testing.T) {
	n := now(func(s *desk.Status) {
		at := s.At
		s.Bodies = []desk.Body{{Kind: desk.Moon, Name: "D", El: 1}, {Kind: desk.Source, Name: "D", El: deg(44.8)},
			{Kind: desk.Source, Name: "B", El: deg(-12.3)}}
		s.Sources = []desk.RadioSource{
			{Name: "A", FluxJy: 0, Known: true},
			{Name: "B", FluxJy: 1876.4, Known: true, Rise: at.Add(2 * time.Hour)},
			{Name: "C", FluxJy: 64.46, Known: true, Up: true},
			{Name: "D", FluxJy: 594.4, Known: true, Up: true, Set: at.Add(9 * time.Hour), Rise: at.Add(20 * time.Hour)},
			{Name: "E", FluxJy: 9.876},
		}
	})
	var got []string
	for _, line := range view.SourceLines(n) {
		got = append(got, fmt.Sprint(line.Name, ", ", line.Flux, ", ", line.Elevation, ", ", line.Pass, ", ", line.Up))
	}
	want := []string{
		"D, 594 Jy, 45°, up until 01:04 tomorrow, true",
		"C, 64.5 Jy, –, always up, true",
		"B, 1880 Jy, −12°, rises 18:04, false",
		"E, 9.88 Jy, –, –, false",
		"A, –, –, never up, false",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if n.Sources[0].Name != "A" {
		t.Error("the published list was sorted")
	}
}

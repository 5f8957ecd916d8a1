package sky

import (
	"testing"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
)

// The name of the moment that Plan shows lies on no way across the sky and on the mark of no body, wherever on the
// Moon's own the moment is.
func TestTheNameOfAMomentIsBesideTheWays(t *testing.T) {
	const words = "Moon, 14 Apr 18:07"
	for _, size := range []fyne.Size{{Width: 812, Height: 222}, {Width: 420, Height: 150}, plotSize} {
		r := open(t, size, nil)
		bodies, found := r.desk.Status().Bodies, 0
		for _, way := range r.panorama.ways {
			if !way.Target {
				continue
			}
			for _, point := range way.Points {
				if point.El < 0 {
					continue
				}
				r.change(func(s *desk.Status) {
					s.Bodies = append(bodies[:len(bodies):len(bodies)],
						desk.Body{Kind: desk.Radec, Name: words, Az: point.Az, El: point.El})
				})
				p := r.panorama
				for _, text := range p.texts {
					if text.Text != words || !text.Visible() {
						continue
					}
					found++
					at, room := text.Position(), measured(label{words: words})
					const whole = 0.5 // of a pixel that the words were moved by
					seen := box{at.X + whole, at.Y + whole, at.X + room.Width - whole, at.Y + room.Height - whole}
					if meetsAny(seen, p.lines(p.pane.plot())) {
						t.Errorf("%v: at %.0f°, %.0f° it lies on a way", size, point.Az.Deg(), point.El.Deg())
					}
					for i, place := range p.places {
						if seen.meets(around(place, 7)) {
							t.Errorf("%v: at %.0f°, %.0f° it lies on %s", size, point.Az.Deg(), point.El.Deg(),
								p.marks[i].Name)
						}
					}
				}
			}
		}
		if found < 20 {
			t.Errorf("%v: the moment is named at %d places", size, found)
		}
	}
}

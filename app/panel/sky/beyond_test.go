package sky

import (
	"testing"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
)

// A magnified panorama points from its edges to the dish and to the command that lie outside, and to neither where it
// is seen.
func TestWhatIsNotSeenIsPointedTo(t *testing.T) {
	r := open(t, plotSize, func(s *desk.Status) {
		s.Axes[0].Position, s.Axes[1].Position = deg(100), deg(40)
		s.Axes[0].Setpoint, s.Axes[1].Setpoint = deg(300), deg(40)
	})
	p := r.panorama
	want := func(what string, dish, command int) { // directions in steps; -99: none
		t.Helper()
		r.pass(1)
		for name, c := range map[string]struct {
			b    *beyond
			turn int
		}{"dish": {p.dish, dish}, "command": {p.command, command}} {
			seen := c.b.arrow.Visible()
			if seen != c.b.text.Visible() || seen != (c.turn != -99) || seen && c.b.turn != c.turn {
				t.Errorf("%s: the %s is pointed to: %v, in step %d, want %d", what, name, seen, c.b.turn, c.turn)
			}
			if b := c.b.box(); seen && (b.x0 < 0 || b.y0 < 0 || b.x1 > p.Size().Width || b.y1 > p.Size().Height) {
				t.Errorf("%s: %s at %v", what, name, b)
			}
		}
		if p.dish.box().meets(p.command.box()) || p.dish.box().meets(boxOf(p.reading.ground)) ||
			p.command.box().meets(boxOf(p.reading.ground)) {
			t.Errorf("%s: words lie on words: %v, %v, %v", what, p.dish.box(), p.command.box(),
				boxOf(p.reading.ground))
		}
	}
	want("all is seen", -99, -99)
	r.turn(r.place(200, 40), 4)
	want("between them", -beyondTurns/4, beyondTurns/4)
	r.whole()
	r.turn(r.place(100, 40), 4)
	want("at the dish", -99, beyondTurns/4)
	r.change(func(s *desk.Status) { s.Axes[0].Setpoint = s.Axes[0].Position })
	r.whole()
	r.turn(r.place(300, 40), 4)
	want("both at one place", -beyondTurns/4, -99)
	r.change(func(s *desk.Status) { s.Axes[0].Setpoint, s.Axes[1].Setpoint = deg(120), deg(41) })
	want("both beyond one edge", -beyondTurns/4, -beyondTurns/4)
	r.whole()
	r.change(func(s *desk.Status) { s.Axes[1].Position, s.Axes[1].Setpoint = deg(80), deg(80) })
	r.turn(fyne.NewPos(r.place(105, 5).X, plotSize.Height-1), 5)
	if !p.dish.arrow.Visible() || p.dish.turn != 0 {
		t.Errorf("above: %v, step %d", p.dish.arrow.Visible(), p.dish.turn)
	}
}

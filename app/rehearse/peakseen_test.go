package rehearse

import (
	"math"
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/desk/peak"
)

// A peak is seen while it is measured: levels come each second, and a fit with its error once they make one. What a
// fit says is what the whole peak says, within the two errors.
func TestAPeakIsSeenWhileItIsMeasured(t *testing.T) {
	for name, sweeps := range map[string]bool{"sweeps": true, "stops": false} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := evening(t, 0.5, -0.4)
			w.Desk.Ask(desk.TakePeak{Sweeps: sweeps})
			w.pass(time.Second)
			levels, without, with := 0, 0, 0
			var newest *desk.PeakResult
			for range 4 * 60 * 10 {
				w.Advance()
				p := w.Desk.Status().Peak
				if !p.Running {
					break
				}
				if p.SoFar == nil || p.SoFar == newest {
					continue
				}
				newest = p.SoFar
				n := len(newest.Curves[0].Points) + len(newest.Curves[1].Points)
				if n < levels {
					t.Fatalf("%d levels after %d", n, levels)
				}
				for axis, c := range newest.Curves {
					if c.Has && peak.Judge(c.Points, c.Fit, c.Shape, sweeps).Code != "" {
						t.Errorf("axis %d: a fit through %d levels that make no peak", axis, len(c.Points))
					}
				}
				if levels = n; newest.Curves[0].Has {
					with++
				} else {
					without++
				}
			}
			w.News()
			p := w.Desk.Status().Peak
			if p.SoFar != nil || p.Last == nil || p.Last.Why.Code != "" {
				t.Fatalf("the peak: %+v, %v", p.Last, w.events)
			}
			t.Logf("seen %d times without and %d with a fit, %d levels", without, with, levels)
			if without == 0 || with < 5 || levels < 20 {
				t.Errorf("seen %d times without and %d with a fit, %d levels", without, with, levels)
			}
			for axis, seen := range newest.Curves {
				last := p.Last.Curves[axis].Fit
				off := math.Abs((seen.Fit.Centre - last.Centre).Deg())
				if maximum := 3*(seen.Fit.CentreError+last.CentreError).Deg() + 0.05; !seen.Has || off > maximum {
					t.Errorf("axis %d: %.3f° from the result, at most %.3f; a fit %v", axis, off, maximum, seen.Has)
				}
			}
		})
	}
}

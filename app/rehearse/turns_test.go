//go:build !race

package rehearse

import (
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/settings"
)

// With motion in our turns only, no motor starts in the other station's turns
// while the beam is within the second limit; without it they do.
func TestMotorsKeepStillInTheirTurns(t *testing.T) {
	for _, only := range []bool{true, false} {
		w := eveningWith(t, 0, 0, func(s settings.Settings) settings.Settings {
			s.Tracking.OnlyInOurPeriods = only
			return s
		})
		w.Desk.Ask(desk.PeriodsTo{Seconds: 60, OursFirst: true})
		w.pass(2 * time.Minute)
		second := settings.Practice().Tracking.SecondLimitBeamwidths * w.Desk.Status().Band.HalfPower.Deg()
		starts, worst, was := 0, 0.0, false
		for range 40 * 60 * 10 {
			w.Advance()
			s, m := w.Desk.Status(), w.Moment()
			driven := m.DemandAz != 0 || m.DemandEl != 0
			// A motion that our turn began may end in theirs.
			if driven && !was && s.Period.On && !s.Period.Ours && s.Period.Left < 58*time.Second &&
				s.Off.Deg() < second {
				starts++
			}
			was = driven
			worst = max(worst, s.Off.Deg())
		}
		t.Logf("only in our turns %v: %d starts in theirs in 40 minutes, off by %.3f at most, second limit %.3f", only,
			starts, worst, second)
		if only && starts > 0 || !only && starts == 0 {
			t.Errorf("only in our turns %v: %d starts in theirs", only, starts)
		}
		if worst > 1.5*second {
			t.Errorf("off by %.3f, second limit %.3f", worst, second)
		}
	}
}

//go:build !race

package panel

import (
	"slices"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/message"
)

// wideStates are those in which the edges have most to show, besides fullStates.
func wideStates(t *testing.T) []func(*desk.Status) {
	causes := everyGuard(t)
	longest := slices.MaxFunc(causes, func(a, b desk.Alarm) int {
		return len(a.Words.String()) - len(b.Words.String())
	})
	proposed := func(s *desk.Status) {
		s.Proposal = desk.Proposal{Pending: true, To: longTarget, Distance: degrees(170), Lasts: 1000 * time.Second,
			Left: 9 * time.Second}
	}
	return append(fullStates(),
		func(s *desk.Status) {
			s.Activity, s.Stop, s.Practice, s.TimeScale = desk.LockedOut, desk.StopStanding, true, 60
			s.Lock = desk.Lock{Locked: true, Cause: longest.Words, Next: longest.Next}
			s.Alarms, s.Station.Name = causes, longStation
			s.Transmit = desk.Transmit{Sequencer: desk.GoingToTransmit, Inhibits: everyInhibit()}
			s.Period = desk.Period{On: true, Ours: true, Length: 300 * time.Second, Left: 299 * time.Second}
		},
		func(s *desk.Status) {
			s.Activity, s.Stop, s.Lock.Locked = desk.LockedOut, desk.StopDefied, true
			s.Alarms, s.Station.Name = causes, longStation
		},
		proposed,
		func(s *desk.Status) { proposed(s); s.Stop = desk.StopStanding },
		func(s *desk.Status) {
			proposed(s)
			s.Stop, s.Link.State, s.Link.Words = desk.StopAsked, desk.LinkRefused, message.Text("permission denied")
		},
		func(s *desk.Status) {
			s.Stop, s.Starting, s.StartingIn = desk.StopStanding, message.Text("The dish starts"), 9*time.Second
		},
		func(s *desk.Status) {
			s.Activity, s.Stop, s.Target.Up = desk.Holding, desk.StopStanding, false
			s.OffCross, s.OffEl = 0, 0
		})
}

// No pane and no state needs more room than the window has on the smallest screen at the largest size of words: the
// window library would make the window larger than the screen, and the stop control would lie off its lower edge.
func TestNothingMakesTheWindowGrow(t *testing.T) {
	room := slices.MinFunc(rooms(), func(a, b fyne.Size) int { return int(a.Width - b.Width) })
	w, d := open(t, minimum, nil)
	for n, state := range wideStates(t) {
		for i, pane := range w.right.panes {
			for _, size := range []fyne.Size{minimum, room} {
				w.window.Resize(size)
				w.right.choose(i)
				bring(w, d, state)
				if needs := w.window.Content().MinSize(); needs.Width > room.Width || needs.Height > room.Height {
					t.Errorf("%s, state %d: the window needs %v, more than %v: above %v, below %v", pane.Title(), n,
						needs, room, w.top.object.MinSize(), w.foot.object.MinSize())
				}
			}
		}
	}
}

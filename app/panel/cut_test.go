package panel

import (
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/desk/permit"
	"beamhelm/app/message"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// laptop is the room that a window has on a screen of 1366 by 768.
var laptop = fyne.NewSize(1366, 720)

const (
	longStation = "Cold Harbour Field, the upper paddock beyond the old quarry" // 59 characters of the 60 allowed
	longTarget  = "the survey position at right ascension 05 34 31.9"
)

// guardsPage is the handbook's list of the guards, which a test of theirs keeps the same as their rows.
const guardsPage = "../../assets/handbook/guards.md"

// everyGuard are the words and the advice of every guard, with the longest name of an axis before them.
func everyGuard(t *testing.T) (all []desk.Alarm) {
	t.Helper()
	page, err := os.ReadFile(guardsPage)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(page)) {
		words, next, found := strings.Cut(strings.TrimSpace(line), ".** ")
		if !found || !strings.HasPrefix(words, "**") {
			continue
		}
		all = append(all, desk.Alarm{
			Number: len(all) + 1, Grade: desk.AlarmGrade, Words: message.Text("Elevation: " + words[2:]),
			Next: message.Text(next), Stands: true, Since: time.Unix(1e9, 0),
		})
	}
	if len(all) < 40 {
		t.Fatalf("the handbook has only %d guards", len(all))
	}
	return all
}

// everyInhibit is one of each code, with long arguments.
func everyInhibit() (all []permit.Inhibit) {
	for code := permit.Working; code <= permit.DriveHolds; code++ {
		i := permit.Inhibit{Code: code, Value: 188.88, Limit: 188.88}
		switch code {
		case permit.Guard, permit.DriveHolds:
			for g := i; g.Guard < 100; g.Guard++ { // the guard with the most words
				if len(g.Message().String()) > len(i.Message().String()) {
					i = g
				}
			}
		case permit.ClosedSector:
			i.Name = "village and the school"
		case permit.Missing, permit.TooLow, permit.TooHigh:
			i.Name, i.Unit, i.Decimals = "Coolant temperature at the outlet", "°C", 1
		}
		all = append(all, i)
	}
	return all
}

// cutIn returns the texts in a part of the window that are cut.
func cutIn(root fyne.CanvasObject) (cut []string) {
	widget.Walk(root, func(object fyne.CanvasObject) {
		if text, ok := object.(*widget.Text); ok && text.Cut() {
			cut = append(cut, text.ControlWords())
		}
	})
	return cut
}

// unwhole returns the cut texts of a part that no pointer shows whole.
func unwhole(root fyne.CanvasObject) []string {
	cut := cutIn(root)
	widget.Walk(root, func(object fyne.CanvasObject) {
		if tip, ok := object.(interface{ ToolTip() string }); ok {
			cut = slices.DeleteFunc(cut, func(words string) bool { return strings.Contains(tip.ToolTip(), words) })
		}
	})
	return cut
}

// inFull returns all words of the sheet of the status in full, and none of them cut.
func inFull(t *testing.T, w *Window) string {
	t.Helper()
	w.keys.letter('i')
	defer w.with.Open.Close()
	var words []string
	widget.Walk(w.with.Open.Object(), func(object fyne.CanvasObject) {
		switch text := object.(type) {
		case *widget.Text:
			words = append(words, text.ControlWords())
		case *widget.Prose: // a word longer than a line goes over two
			words = append(words, text.ControlWords())
		}
	})
	for _, cut := range cutIn(w.with.Open.Object()) {
		t.Errorf("the status in full cuts %q", cut)
	}
	return strings.Join(words, " ")
}

// A lock-out by any guard stands on the lower edge in full, with its advice.
func TestLockOutIsNeverCut(t *testing.T) {
	w, d := open(t, laptop, nil)
	for _, alarm := range everyGuard(t) {
		for _, stop := range []desk.StopState{desk.StopStanding, desk.StopDefied, desk.StopUnseen} {
			bring(w, d, func(s *desk.Status) {
				s.Activity, s.Stop = desk.LockedOut, stop
				s.Lock = desk.Lock{Locked: true, Cause: alarm.Words, Next: alarm.Next}
			})
			for _, cut := range cutIn(w.foot.banner) {
				t.Errorf("cut: %q", cut)
			}
			for _, cut := range unwhole(w.top.object) {
				t.Errorf("the upper edge cuts %q, and no pointer shows it", cut)
			}
		}
	}
}

// Every alarm with its advice is on lines of its own, none of them cut.
func TestAlarmsAreNeverCut(t *testing.T) {
	w, _ := open(t, laptop, func(s *desk.Status) { s.Alarms = everyGuard(t) })
	w.Press("worst-alarm")
	if cut := cutIn(w.with.Open.Object()); len(cut) != 0 {
		t.Errorf("cut: %q", cut)
	}
	w.with.Open.Close()
	if cut := unwhole(w.top.alarms); len(cut) != 0 {
		t.Errorf("the box cuts %q, and no pointer shows it", cut)
	}
}

// Long names, every inhibit and the longest cause: what has no room is shown whole
// under the pointer, and by the key I.
func TestWhatIsCutIsShownWhole(t *testing.T) {
	causes := everyGuard(t)
	longest := slices.MaxFunc(causes, func(a, b desk.Alarm) int {
		return len(a.Words.String()) - len(b.Words.String())
	})
	for name, change := range map[string]func(*desk.Status){
		"tracking":  func(s *desk.Status) {},
		"acquiring": func(s *desk.Status) { s.Acquiring, s.ArrivesIn = true, 1000*time.Second },
		"locked out": func(s *desk.Status) {
			s.Activity = desk.LockedOut
			s.Lock = desk.Lock{Locked: true, Cause: longest.Words, Next: longest.Next}
		},
		"proposed": func(s *desk.Status) {
			s.Proposal = desk.Proposal{Pending: true, To: longTarget, Distance: degrees(170), Lasts: 1000 * time.Second,
				Left: 9 * time.Second}
		},
		"no link": func(s *desk.Status) {
			s.Link.State, s.Link.Words = desk.LinkRefused,
				message.Text("opening /dev/serial/by-id/usb-an-adapter-with-a-long-name-if00-port0: permission denied")
		},
		"withdrawn": func(s *desk.Status) {
			s.Transmit.Ended =
				permit.Inhibit{Code: permit.ClosedSector, Name: longest.Words.String()}
		},
	} {
		w, _ := open(t, laptop, func(s *desk.Status) {
			s.Station.Name, s.Destination, s.Target.Name = longStation, message.Text(longTarget), longTarget
			s.Target.Choice.Kind, s.Trim.For = desk.Radec, "10368 MHz, "+longTarget
			s.Target.Dubious = message.Text("outside the ephemeris and the tables of the Earth's rotation: " +
				"good to 0.005°")
			s.Transmit = desk.Transmit{Sequencer: desk.GoingToTransmit, Inhibits: everyInhibit()}
			s.Alarms = causes[:1]
			s.Period = desk.Period{On: true, Ours: true, Length: 300 * time.Second, Left: 299 * time.Second}
			change(s)
		})
		full := strings.Join(strings.Fields(inFull(t, w)), " ")
		for _, part := range []fyne.CanvasObject{w.top.object, w.foot.banner, w.target.Object(), w.trims.Object()} {
			for _, cut := range unwhole(part) {
				t.Errorf("%s: %q is cut, and no pointer shows it", name, cut)
			}
			for _, cut := range cutIn(part) {
				if cut != causes[0].Words.String() && !strings.Contains(strings.ToLower(full), strings.ToLower(cut)) {
					t.Errorf("%s: %q is cut, and the status in full lacks it: %s", name, cut, full)
				}
			}
		}
		for _, inhibit := range view.Inhibits(w.now) {
			if !strings.Contains(full, inhibit) {
				t.Errorf("%s: the status in full lacks %q", name, inhibit)
			}
		}
		for _, inhibit := range everyInhibit() {
			if name != "no link" && !strings.Contains(strings.ToLower(view.PermitTip(w.now)),
				strings.ToLower(inhibit.Message().String())) {
				t.Errorf("%s: the permit's tip lacks %q", name, inhibit.Message())
			}
		}
	}
}

// A cause of a lock-out that has no room under the headline begins beside it.
func TestCauseOfALockOutIsReadable(t *testing.T) {
	const cause = "The azimuth axis does not follow: the worm slips"
	w, d := open(t, minimum, func(s *desk.Status) {
		s.Activity, s.Lock = desk.LockedOut, desk.Lock{Locked: true, Cause: message.Text(cause)}
	})

	for range 2 { // it stays as it is
		w.show(view.At(d.Status(), 20, 0))
	}
	a := w.top.activity
	got := a.head.ControlWords() + " " + a.under.ControlWords()
	if got != "Locked out: t"+cause[1:] || a.head.Cut() || a.under.Cut() {
		t.Errorf("%q, %q", a.head.ControlWords(), a.under.ControlWords())
	}
}

package panel

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// The cause of a trip goes on beneath the headline without an article or a preposition left behind, and whole.
func TestACauseIsBrokenBetweenItsParts(t *testing.T) {
	const cause = "The azimuth axis is driven, and the end of the travel that it goes to is not reached in the time"
	w, d := open(t, laptop, func(s *desk.Status) {
		s.Activity, s.Lock = desk.LockedOut, desk.Lock{Locked: true, Cause: message.Text(cause)}
	})
	spilt := 0
	for width := float32(1242); width < 2400; width += 20 {
		w.window.Resize(fyne.NewSize(width, 720))
		w.show(view.At(d.Status(), 10, 0))
		head, under := w.top.activity.head.ControlWords(), w.top.activity.under.ControlWords()
		beside, is := strings.CutPrefix(head, "Locked out:")
		if !is {
			continue
		}
		spilt++
		last := beside[strings.LastIndex(beside, " ")+1:]
		if widget.Leads(last) || strings.TrimSpace(beside+" "+under) != "the"+cause[3:] {
			t.Errorf("%v wide: %q, %q", width, head, under)
		}
	}
	if spilt < 10 {
		t.Errorf("only %d were broken", spilt)
	}
}

// Alarms and warnings are both counted where there is room for it, and under the pointer everywhere.
func TestAlarmsAndWarningsAreCounted(t *testing.T) {
	w, d := open(t, laptop, nil)
	for _, c := range []struct {
		width        float32
		acknowledged bool
		want, tip    string
	}{
		{1366, false, "1 alarm, 2 warnings", "1 alarm, 2 warnings"},
		{1366, true, "1 alarm, acknowledged", "1 alarm, 2 warnings, acknowledged"},
		{2400, true, "1 alarm, 2 warnings, acknowledged", "1 alarm, 2 warnings, acknowledged"},
	} {
		bring(w, d, func(s *desk.Status) {
			s.Alarms = []desk.Alarm{{Grade: desk.AlarmGrade, Words: message.Text("Link lost"),
				Stands: true, Acknowledged: c.acknowledged}, {Grade: desk.Warning, Acknowledged: c.acknowledged},
				{Grade: desk.Warning, Acknowledged: c.acknowledged}}
		})
		w.window.Resize(fyne.NewSize(c.width, 720))
		w.show(view.At(d.Status(), 10, 0))
		if got := w.top.alarms.head.ControlWords(); got != c.want || w.top.alarms.head.Cut() {
			t.Errorf("%v wide: %q, want %q", c.width, got, c.want)
		}
		if got := w.top.alarms.ToolTip(); !strings.HasPrefix(got, c.tip+". Link lost. ") {
			t.Errorf("%v wide, under the pointer: %q, want %q", c.width, got, c.tip)
		}
	}
}

// Under the pointer the transmit permit tells everything that inhibits it, however short the line is.
func TestEveryInhibitIsUnderThePointer(t *testing.T) {
	w, d := open(t, fyne.NewSize(2400, 900), nil)
	bring(w, d, func(s *desk.Status) { s.Transmit.Permitted, s.Transmit.Inhibits = false, everyInhibit()[:3] })
	if got := w.top.transmit.under.ControlWords(); !strings.HasPrefix(got, "3 inhibits: ") {
		t.Errorf("it says %q", got)
	}
	for _, placed := range widget.Inventory(w.parts) {
		if whole, is := placed.Object.(*widget.Whole); is && placed.Name == "transmit-in-full" {
			for _, inhibit := range view.Inhibits(view.At(d.Status(), 10, 0)) {
				if !strings.Contains(whole.ToolTip(), inhibit) {
					t.Errorf("%q does not tell %q", whole.ToolTip(), inhibit)
				}
			}
			return
		}
	}
	t.Error("the permit is not there")
}

// The practice mark shows by the ring's colour that it has the keyboard, as everything else does.
func TestThePracticeMarkShowsTheKeyboard(t *testing.T) {
	w, _ := open(t, minimum, func(s *desk.Status) { s.Practice = true })
	mark := w.top.practice
	frame := test.TempWidgetRenderer(t, mark).(*markRenderer).frame
	before := frame.StrokeColor
	mark.Focus()
	if focus := widget.Current().Focus; frame.StrokeColor != focus || before == focus {
		t.Errorf("without the keyboard %v, with it %v, the ring is %v", before, frame.StrokeColor, focus)
	}
}

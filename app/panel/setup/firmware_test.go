package setup

import (
	"errors"
	"strings"
	"testing"
	"testing/synctest"

	"fyne.io/fyne/v2"

	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// flashSheet is a pane at rest whose sheet of the firmware is open.
func flashSheet(t *testing.T) (*Pane, *shelf) {
	t.Helper()
	p, s := pane(t)
	atRest(p)
	p.firmware.open()
	p.firmware.portEntry.SetText("/dev/ttyACM0")
	return p, s
}

func atRest(p *Pane) {
	status := stage.Tracking()
	status.Moving, status.Activity, status.Power, status.PermitRequested = false, desk.Idle, desk.PowerOff, false
	show(p, &status)
}

func show(p *Pane, status *desk.Status) {
	now := view.At(status, p.now.Tick+1, 0)
	p.Show(now)
	p.with.Open.Show(now)
}

// pass lets so much time go by that a second press is no double click.
func pass(p *Pane) {
	for range widget.SecondClickWithin {
		show(p, p.now.Status)
	}
}

// press presses a control of what is open.
func press(t *testing.T, p *Pane, name string) {
	t.Helper()
	for _, one := range widget.Inventory(p.with.Open.Object()) {
		if one.Name == name {
			if b, is := one.Object.(*widget.Button); is && b.Disabled() {
				t.Fatalf("%s can't be pressed", name)
			}
			one.Object.(fyne.Tappable).Tapped(nil)
			return
		}
	}
	t.Fatalf("no %s", name)
}

// Writing takes two presses, for one port and station file; it tells how far it is and what came of it.
func TestFirmwareIsWrittenAtTheSecondPress(t *testing.T) {
	p, s := flashSheet(t)
	press(t, p, "firmware-write")
	pass(p)
	p.firmware.portEntry.SetText("/dev/ttyACM1")
	press(t, p, "firmware-write")
	press(t, p, "firmware-write") // a double click
	if len(s.boards) > 0 || !strings.Contains(p.firmware.told.ControlWords(), "Press again to write") {
		t.Fatalf("%v, %q", s.boards, p.firmware.told.ControlWords())
	}
	s.flash = func(_ offwindow.Context, told func(string, int)) (string, error) {
		told("writing", 40)
		atRest(p)
		if got := p.firmware.told.ControlWords(); !strings.HasPrefix(got, "Writing, 40 %") {
			t.Errorf("meanwhile: %q", got)
		}
		if !p.Writing() || !p.firmware.write.Disabled() || !p.firmware.verify.Disabled() ||
			p.firmware.breakOff.Disabled() {
			t.Error("something else can be begun, or it can't be aborted")
		}
		return "The board holds this image.", nil
	}
	pass(p)
	waiting(t, func() { press(t, p, "firmware-write") })
	if len(s.boards) != 1 || s.boards[0] != (Board{Port: "/dev/ttyACM1", Write: true}) ||
		p.firmware.told.ControlWords() != "The board holds this image." || p.Writing() {
		t.Errorf("%v, %q", s.boards, p.firmware.told.ControlWords())
	}
	s.flash = func(offwindow.Context, func(string, int)) (string, error) {
		return "", errors.New("no board\nso says avrdude")
	}
	waiting(t, func() { press(t, p, "firmware-verify") })
	if s.boards[1].Write || p.firmware.told.ControlWords() != "▲ No board\nso says avrdude" {
		t.Errorf("%v, %q", s.boards, p.firmware.told.ControlWords())
	}
}

// Nothing is written or read with power on, while something moves or is about to, or where nothing is known.
func TestFirmwareWaitsForRest(t *testing.T) {
	p, s := flashSheet(t)
	for name, change := range map[string]func(*desk.Status){
		"power":    func(s *desk.Status) { s.Power = desk.PowerOn },
		"moving":   func(s *desk.Status) { s.Moving = true },
		"tracking": func(s *desk.Status) { s.Activity = desk.Tracking },
		"starting": func(s *desk.Status) { s.Starting = message.Text("slew") },
		"armed":    func(s *desk.Status) { s.Armed.Has = true },
		"permit":   func(s *desk.Status) { s.PermitRequested = true },
	} {
		atRest(p)
		press(t, p, "firmware-write")
		status := *p.now.Status
		change(&status)
		show(p, &status)
		if !p.firmware.write.Disabled() || !p.firmware.verify.Disabled() || p.firmware.confirm ||
			p.firmware.tone == view.Attention {
			t.Errorf("%s: write %v, confirmed %v, %q", name, !p.firmware.write.Disabled(), p.firmware.confirm,
				p.firmware.told.ControlWords())
		}
		p.firmware.begin(true)
	}
	if len(s.boards) > 0 {
		t.Error("something was begun")
	}
	atRest(p)
	status := *p.now.Status
	status.Link.State = desk.LinkLost
	show(p, &status)
	if p.firmware.write.Disabled() {
		t.Error("a board that answers nobody can't be written")
	}
}

// Closing the sheet leaves a transfer alone, which the pane tells of; Abort ends
// it; meanwhile the program isn't restarted.
func TestFirmwareOutlivesItsSheet(t *testing.T) {
	p, s := flashSheet(t)
	synctest.Test(t, func(t *testing.T) {
		closed := make(chan struct{})
		s.flash = func(ctx offwindow.Context, _ func(string, int)) (string, error) {
			<-ctx.Done()
			<-closed
			return "", errors.New("aborted: the image on the board is not whole")
		}
		press(t, p, "firmware-write")
		pass(p)
		press(t, p, "firmware-write")
		p.with.Open.Close()
		synctest.Wait()
		if !p.Writing() {
			t.Fatal("it has ended with its sheet")
		}
		p.field(t, "station.height_m").entry.SetText("250")
		p.openSave()
		press(t, p, "setup-save-now")
		synctest.Wait()
		if s.restarted > 0 || len(s.saved) > 0 {
			t.Error("restarted in the middle of a transfer")
		}
		p.with.Open.Close()
		p.firmware.open()
		press(t, p, "firmware-abort")
		p.with.Open.Close()
		close(closed)
		synctest.Wait()
		if got := p.told.ControlWords(); p.Writing() || got != "▲ Aborted: the image on the board is not whole" {
			t.Errorf("%q", got)
		}
	})
}

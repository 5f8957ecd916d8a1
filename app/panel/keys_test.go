package panel

import (
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/app/panel/stage"
	"beamhelm/app/view"
)

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }

func nearly(a, b float64) bool { return a-b < 1e-9 && b-a < 1e-9 }

// near says whether two choices differ by rounding alone.
func near(a, b desk.BodyChoice) bool {
	return a.Kind == b.Kind && nearly(a.Az.Deg(), b.Az.Deg()) && nearly(a.El.Deg(), b.El.Deg()) &&
		nearly(a.RA.Deg(), b.RA.Deg()) && nearly(a.Dec.Deg(), b.Dec.Deg())
}

func TestArrowKeys(t *testing.T) {
	w, d := open(t, minimum, nil)
	d.Asked()
	synctest.Test(t, func(t *testing.T) {
		w.keys.down(&fyne.KeyEvent{Name: fyne.KeyRight})
		time.Sleep(100 * time.Millisecond)
		w.keys.up(&fyne.KeyEvent{Name: fyne.KeyRight})
		synctest.Wait()
		if got, ok := stage.Only[desk.Nudge](d.Asked()); !ok ||
			!nearly(got.By.Cross.Deg(), w.with.Hand.Steps()[0]) {
			t.Errorf("a tap asks for %+v", got)
		}
		w.keys.down(&fyne.KeyEvent{Name: fyne.KeyDown})
		time.Sleep(600 * time.Millisecond)
		synctest.Wait()
		w.keys.end() // the window lost the focus
		held := d.Asked()
		time.Sleep(time.Second)
		w.keys.up(&fyne.KeyEvent{Name: fyne.KeyDown})
		synctest.Wait()
		if len(held) != 3 || held[0] != (desk.Jog{El: -1}) {
			t.Errorf("held for 0.6 s it asks for %+v", held)
		}
		if after := d.Asked(); len(after) != 0 {
			t.Errorf("after the focus was lost it asks for %+v", after)
		}
	})
}

func TestArrowsRestWhileSomethingIsOpen(t *testing.T) {
	w, d := open(t, minimum, nil)
	w.Press("place-button")
	d.Asked()
	w.keys.down(&fyne.KeyEvent{Name: fyne.KeyUp})
	w.keys.up(&fyne.KeyEvent{Name: fyne.KeyUp})
	w.keys.letter('t')
	if got := d.Asked(); len(got) != 0 {
		t.Errorf("asks for %+v", got)
	}
}

// While a sheet is still being prepared, what is typed is meant for it: no letter opens
// anything else, no chord and no arrow acts; a stop is taken.
func TestKeysRestWhileASheetIsAboutToOpen(t *testing.T) {
	w, d := open(t, minimum, nil)
	busy := true
	w.with.Open.Opening(func() bool { return busy })
	d.Asked()
	for _, letter := range "ain1" {
		w.keys.letter(letter)
	}
	w.keys.typed(&fyne.KeyEvent{Name: fyne.KeyF1})
	w.keys.down(&fyne.KeyEvent{Name: fyne.KeyUp})
	w.keys.up(&fyne.KeyEvent{Name: fyne.KeyUp})
	chord(w, fyne.KeyH)
	if got := d.Asked(); len(got) != 0 || w.with.Open.Covers() {
		t.Errorf("asks for %+v, something open: %v", got, w.with.Open.Covers())
	}
	w.keys.typed(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if got := d.Asked(); len(got) != 1 || got[0] != (desk.Stop{}) {
		t.Errorf("Esc asks for %+v", got)
	}
	busy = false
	if w.keys.letter('a'); !w.with.Open.Covers() {
		t.Error("afterwards A opens nothing")
	}
}

// chord presses Ctrl and a letter with what has the keyboard.
func chord(w *Window, name fyne.KeyName) {
	shortcut := &desktop.CustomShortcut{KeyName: name, Modifier: fyne.KeyModifierControl}
	if focused, ok := w.window.Canvas().Focused().(fyne.Shortcutable); ok {
		focused.TypedShortcut(shortcut)
		return
	}
	w.window.Canvas().(fyne.Shortcutable).TypedShortcut(shortcut)
}

func TestChords(t *testing.T) {
	rows := []struct {
		key  fyne.KeyName
		want desk.Order
	}{
		{fyne.KeyT, desk.Track{}},
		{fyne.KeyH, desk.Hold{}},
		{fyne.KeyB, desk.TrimBack{}},
		{fyne.KeyHome, desk.Park{}},
		{fyne.KeyK, desk.Permit{}},
	}
	w, d := open(t, minimum, nil)
	for i, row := range rows {
		w.show(view.At(d.Status(), uint64(100*i+100), 0))
		d.Asked()
		for range 3 { // the key is held, and repeats
			chord(w, row.key)
		}
		if got := d.Asked(); len(got) != 1 || got[0] != row.want {
			t.Errorf("Ctrl+%s asks for %+v, want %+v", row.key, got, row.want)
		}
		// What is typed in a line, or while something is open, is none of it.
		w.show(view.At(d.Status(), uint64(100*i+150), 0))
		w.Press("place-button")
		chord(w, row.key)
		w.with.Open.Close()
		w.right.chooseTitle("Records")
		entry := focusable(t, w)["records-search"]
		if entry == nil {
			t.Fatal("there is no line to type in")
		}
		w.window.Canvas().Focus(entry)
		chord(w, row.key)
		w.window.Canvas().Unfocus()
		if got := d.Asked(); len(got) != 0 {
			t.Errorf("Ctrl+%s while typing asks for %+v", row.key, got)
		}
	}
}

// A chord that is let go and pressed again at once is another one; one that is held acts once.
func TestChordAgain(t *testing.T) {
	w, d := open(t, minimum, nil)
	chord(w, fyne.KeyH)
	chord(w, fyne.KeyH)
	if got := d.Asked(); len(got) != 1 {
		t.Errorf("held: asked for %+v", got)
	}
	w.keys.up(&fyne.KeyEvent{Name: fyne.KeyH})
	chord(w, fyne.KeyH)
	if got := d.Asked(); len(got) != 1 {
		t.Errorf("pressed again: asked for %+v", got)
	}
}

// Each pane with a tab has a key, unless something lies over the window; no chord acts where its button can't.
func TestPaneKeys(t *testing.T) {
	w, d := open(t, minimum, nil)
	press := func(name fyne.KeyName) { w.window.Canvas().OnTypedKey()(&fyne.KeyEvent{Name: name}) }
	if len(paneKeys) != len(w.right.tabs) {
		t.Fatalf("%d keys for %d tabs", len(paneKeys), len(w.right.tabs))
	}
	for i, name := range paneKeys {
		press(name)
		if w.right.shown != i {
			t.Errorf("%s shows pane %d", name, w.right.shown)
		}
	}
	w.Press("place-button")
	if press(fyne.KeyF2); w.right.shown == 0 {
		t.Error("F2 acts beneath a dialog")
	}
	w.with.Open.Close()
	if chord(w, fyne.KeyEnd); !w.with.Open.Covers() {
		t.Error("Ctrl+End opens nothing")
	}
	w.with.Open.Close()
	bring(w, d, func(s *desk.Status) { s.Lock.Locked, s.Activity = true, desk.LockedOut })
	d.Asked()
	chord(w, fyne.KeyHome)
	chord(w, fyne.KeyEnd)
	if got := d.Asked(); len(got) != 0 || w.with.Open.Covers() {
		t.Errorf("locked out they ask for %v", got)
	}
}

// No letter, figure or sign moves the dish, ends a motion or changes what it is for.
func TestNoLetterMovesTheDish(t *testing.T) {
	w, d := open(t, minimum, nil)
	d.Asked()
	for letter := rune(' '); letter < 0x250; letter++ {
		w.window.Canvas().OnTypedRune()(letter)
		if got := d.Asked(); len(got) != 0 {
			t.Errorf("%q asks for %+v", letter, got)
		}
		w.with.Open.Close()
	}
	w.keys.letter('4')
	if w.with.Hand.Step() != 1 || !w.Layout().Control["nudge-step-1"].On {
		t.Errorf("4 makes the step %v", w.with.Hand.Step())
	}
}

// record keeps what a follower shows.
type record struct {
	mutex sync.Mutex
	last  view.Now
	ticks int
	quit  bool
}

func (r *record) show(_, now view.Now) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	r.last = now
	r.ticks++
}

func (r *record) end() {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	r.quit = true
}

// read returns the last status shown, how many there were, and whether it quit.
func (r *record) read() (view.Now, int, bool) {
	synctest.Wait()
	r.mutex.Lock()
	defer r.mutex.Unlock()
	return r.last, r.ticks, r.quit
}

// slewing is an antenna that moves visibly.
func slewing() desk.Status {
	s := stage.Tracking()
	s.Axes[0].Moving, s.Axes[0].RatePerS = true, unit.AngleFromDeg(2)
	return s
}

func TestFollower(t *testing.T) {
	test.NewTempApp(t)
	synctest.Test(t, func(t *testing.T) {
		d := stage.New(stage.Tracking())
		r := &record{}
		var eager atomic.Bool
		f := newFollower(d, &view.Hold{}, &eager, r.show, r.end)
		f.start()
		before := 0
		for _, row := range []struct {
			name             string
			status           func() desk.Status
			eager            bool
			minimum, maximum int // ticks in a second
		}{
			{"at rest", stage.Tracking, false, 5, 6},
			{"a pane draws", stage.Tracking, true, 9, 11},
			{"the antenna slews", slewing, false, 9, 11},
		} {
			eager.Store(row.eager)
			for range 10 {
				time.Sleep(100 * time.Millisecond)
				d.Set(row.status())
			}
			last, ticks, _ := r.read()
			if n := ticks - before; n < row.minimum || n > row.maximum || d.Signs() != ticks || !last.Live {
				t.Errorf("%s: %d ticks in a second, %d signs of life for %d, live %v", row.name, n, d.Signs(), ticks,
					last.Live)
			}
			before = ticks
		}
		time.Sleep(time.Second) // the loop is silent
		if last, _, _ := r.read(); last.Live {
			t.Errorf("after a second of silence the status counts as live, silence %v", last.Silence)
		}
		f.end()
		f.end()
		_, ticks, quit := r.read()
		if !quit {
			t.Error("the follower's last act is to quit")
		}
		time.Sleep(time.Second)
		if _, after, _ := r.read(); after != ticks {
			t.Error("it goes on after its end")
		}
	})
}

func TestClosing(t *testing.T) {
	still := func(s *desk.Status) { s.Power, s.Moving, s.Activity = desk.PowerOff, false, desk.Idle }
	ended := func(w *Window) bool {
		select {
		case <-w.follow.ended:
			return true
		default:
			return false
		}
	}
	w, _ := open(t, minimum, still)
	w.askToClose()
	if !ended(w) {
		t.Error("at rest the window closes at once")
	}

	w, d := open(t, minimum, nil)
	w.askToClose()
	if ended(w) || !w.with.Open.Covers() {
		t.Fatal("while tracking it asks first")
	}
	d.Asked()
	w.Press("close-accept")
	if got := d.Asked(); len(got) != 1 || got[0] != (desk.Stop{}) {
		t.Errorf("accepting asks for %+v", got)
	}
	status := stage.Tracking()
	status.Stop = desk.StopAsked
	w.show(view.At(&status, 12, 0))
	if ended(w) {
		t.Error("it closes before the dish stands")
	}
	still(&status)
	status.Stop = desk.StopStanding
	w.show(view.At(&status, 14, 0))
	if !ended(w) {
		t.Error("it stays open though the standstill is confirmed")
	}

	w, _ = open(t, minimum, nil)
	w.askToClose()
	w.Press("close-cancel")
	if ended(w) || w.with.Open.Covers() || w.closer != nil {
		t.Error("keeping it open leaves something behind")
	}
	w.askToClose()
	w.Press("close-accept")
	moving := stage.Tracking()
	w.show(view.At(&moving, 10+uint64(closeAfter/tickEvery), 0))
	if w.Layout().Control["close-accept"].Words != "Close anyway" {
		t.Error("when the standstill is not confirmed it offers to close all the same")
	}
	w.Press("close-accept")
	if !ended(w) {
		t.Error("closing all the same closes")
	}
}

func TestPracticeIsMarked(t *testing.T) {
	w, _ := open(t, minimum, nil)
	if _, shown := w.Layout().Control["practice"]; !shown {
		t.Error("practice has no mark")
	}
	w, _ = open(t, minimum, func(s *desk.Status) { s.Practice = false })
	if _, shown := w.Layout().Control["practice"]; shown {
		t.Error("a real dish is marked as practice")
	}
}

func TestReleaseOnlyWhenLockedOut(t *testing.T) {
	w, _ := open(t, minimum, nil)
	if _, shown := w.Layout().Control["release"]; shown {
		t.Error("release is offered without a lock-out")
	}
	w, _ = open(t, minimum, func(s *desk.Status) {
		s.Lock =
			desk.Lock{Locked: true, Cause: message.Text("link lost"), Next: message.Text("Look at the plug.")}
	})
	controls := w.Layout().Control
	if release, shown := controls["release"]; !shown || release.Enabled {
		t.Errorf("locked out with its cause standing: shown %v, %+v", shown, release)
	}
	if controls["banner"].Words != "Locked out: link lost" || controls["banner-next"].Words != "Look at the plug." {
		t.Errorf("cause and next step: %q, %q", controls["banner"].Words, controls["banner-next"].Words)
	}
}

//go:build !race

package panel

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/desk"
	"beamhelm/app/message"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// dialogs are the ways to all that lie over the right-hand pane, in order.
func dialogs() (names []string, by map[string]way) {
	by = ways()
	maps.DeleteFunc(by, func(name string, _ way) bool {
		return !strings.HasSuffix(name, "-dialog") &&
			name != "faults"
	})
	return slices.Sorted(maps.Keys(by)), by
}

// eachSheet opens every dialog in a window of a size.
func eachSheet(t *testing.T, size fyne.Size, look func(h *whole, s *widget.Sheet)) {
	t.Helper()
	eachSheetOf(t, evening, size, look)
}

// eachSheetOf does so for a status.
func eachSheetOf(t *testing.T, status func(*desk.Status), size fyne.Size, look func(h *whole, s *widget.Sheet)) {
	t.Helper()
	names, all := dialogs()
	var h *whole
	for _, name := range names {
		by := all[name]
		if h == nil || by.pane == "Set-up" { // where a second way in would be another
			h = openWhole(t, status)
			h.window.Resize(size)
		}
		h.bring(by)
		h.press(by.presses[len(by.presses)-1])
		h.with.Open.Show(h.now) // what has become higher is laid out
		look(h, h.sheet(t, name))
	}
}

// sheet is the open sheet of a name.
func (h *whole) sheet(t *testing.T, name string) (found *widget.Sheet) {
	t.Helper()
	widget.Walk(h.with.Open.Object(), func(o fyne.CanvasObject) {
		if s, is := o.(*widget.Sheet); is && s.ControlName() == name {
			found = s
		}
	})
	if found == nil {
		t.Fatalf("%s: %q is open", name, h.top())
	}
	return found
}

// meets says whether two boxes share more than an edge.
func (b box) meets(other box) bool {
	return b.left < other.right-0.5 && other.left < b.right-0.5 && b.top < other.bottom-0.5 && other.top < b.bottom-0.5
}

// room is the right-hand pane down to the window's lower edge.
func (h *whole) room() box {
	dock := boxOf(h.right.stack)
	return box{dock.left, dock.top, dock.right, boxOf(h.foot.object).top}
}

// leaves are the texts, buttons and lines to type in of a sheet, and the part of it that scrolls.
func leaves(s *widget.Sheet) (all []fyne.CanvasObject, scroll *container.Scroll) {
	widget.Walk(s, func(o fyne.CanvasObject) {
		if found, is := o.(*container.Scroll); is {
			scroll = found
		}
	})
	return leavesOf(s), scroll
}

func leavesOf(root fyne.CanvasObject) (all []fyne.CanvasObject) {
	widget.Walk(root, func(o fyne.CanvasObject) {
		switch o.(type) {
		case *widget.Text, *widget.Button, *widget.Entry:
			all = append(all, o)
		}
	})
	return all
}

// saysOf names a leaf.
func saysOf(o fyne.CanvasObject) string {
	return fmt.Sprintf("%q", o.(interface{ ControlWords() string }).ControlWords())
}

// checkWhole says where something of a sheet is cut, or lies over another thing, or beside the sheet.
func checkWhole(t *testing.T, s *widget.Sheet) {
	t.Helper()
	all, scroll := leaves(s)
	sheet, body, seen := boxOf(s), boxOf(scroll.Content), boxOf(scroll)
	inside := leavesOf(scroll)
	boxes := make([]box, len(all))
	for i, o := range all {
		at := boxOf(o)
		if cut, can := o.(interface{ Cut() bool }); can && cut.Cut() {
			t.Errorf("%s cuts %s", s.ControlName(), saysOf(o))
		}
		scrolls := slices.Contains(inside, o)
		if !at.within(sheet) && !(scrolls && at.within(body)) {
			t.Errorf("%s: %s lies beyond it: %.0f in %.0f", s.ControlName(), saysOf(o), at, sheet)
		}
		if scrolls { // what is scrolled out of sight lies over nothing
			at.top, at.bottom = max(at.top, seen.top), min(at.bottom, seen.bottom)
		}
		for j, other := range boxes[:i] {
			if at.meets(other) {
				t.Errorf("%s: %s lies over %s", s.ControlName(), saysOf(o), saysOf(all[j]))
			}
		}
		boxes[i] = at
	}
}

// Every sheet lies over the right-hand pane, whole: the sky, the axes and Stop stay in sight.
// What is typed into it makes it no wider.
func TestSheetsLieOverTheRightHandPane(t *testing.T) {
	for _, size := range []fyne.Size{minimum, laptop, fyne.NewSize(1920, 1032)} {
		eachSheet(t, size, func(h *whole, s *widget.Sheet) {
			checkDocked(t, h, s)
			checkWhole(t, s)
			all, _ := leaves(s)
			for _, o := range all {
				if entry, is := o.(*widget.Entry); is {
					entry.SetText(strings.Repeat("a long word ", 12))
				}
			}
			h.with.Open.Show(h.now)
			checkDocked(t, h, s)
		})
	}
}

func checkDocked(t *testing.T, h *whole, s *widget.Sheet) {
	t.Helper()
	if at, room := boxOf(s), h.room(); !at.within(room) || s.MinSize().Width > room.right-room.left {
		t.Errorf("%s is at %.0f, beyond %.0f; it needs a width of %.0f", s.ControlName(), at, room, s.MinSize().Width)
	}
}

// With text of 150 % and of 200 % the window is as if smaller: title and buttons of each sheet stay whole above the
// lower edge, and the keyboard scrolls to the end of what is between them.
func TestSheetsScrollWithLargeText(t *testing.T) {
	for _, percent := range []float32{150, 200} {
		scrolled := 0
		size := fyne.NewSize(minimum.Width, 768*100/percent)
		eachSheet(t, size, func(h *whole, s *widget.Sheet) {
			checkDocked(t, h, s)
			checkWhole(t, s)
			_, scroll := leaves(s)
			for range 40 {
				h.keys.typed(&fyne.KeyEvent{Name: fyne.KeyPageDown})
			}
			if beyond := boxOf(scroll.Content).bottom - boxOf(scroll).bottom; beyond > 0.5 {
				t.Errorf("%s at %.0f %%: %.0f units are never seen", s.ControlName(), percent, beyond)
			}
			if scroll.Offset.Y > 0 {
				scrolled++
			}
			if scroll.Offset.Y > 0 && scroll.Size().Height < 100 {
				t.Errorf("%s at %.0f %% shows a body of only %.0f", s.ControlName(), percent, scroll.Size().Height)
			}
		})
		if scrolled < 5 {
			t.Errorf("at %.0f %% only %d scroll", percent, scrolled)
		}
	}
}

// The keyboard goes to no control that isn't seen.
func TestSheetsScrollToWhatHasTheKeyboard(t *testing.T) {
	eachSheet(t, fyne.NewSize(minimum.Width, 400), func(h *whole, s *widget.Sheet) {
		all, scroll := leaves(s)
		inside := leavesOf(scroll)
		for _, o := range all {
			control, can := o.(fyne.Focusable)
			if !can || o.(fyne.Disableable).Disabled() || !slices.Contains(inside, o) {
				continue
			}
			h.window.Canvas().Focus(control)
			h.with.Open.Show(h.now)
			if !boxOf(o).within(boxOf(scroll)) {
				t.Errorf("%s: %s has the keyboard at %.0f, out of %.0f", s.ControlName(), saysOf(o), boxOf(o),
					boxOf(scroll))
			}
		}
	})
}

// The way out is the first of a sheet's buttons, everywhere.
func TestTheWayOutComesFirst(t *testing.T) {
	eachSheet(t, laptop, func(h *whole, s *widget.Sheet) {
		all, scroll := leaves(s)
		var first *widget.Button
		for _, o := range all {
			b, is := o.(*widget.Button)
			if is && first == nil && !slices.Contains(leavesOf(scroll), o) {
				first = b
			}
		}
		if first == nil || first.ControlWords() != "Close" && first.ControlWords() != "Cancel" {
			t.Fatalf("%s begins with %s", s.ControlName(), saysOf(first))
		}
		if first.Tapped(nil); h.top() == s.ControlName() {
			t.Errorf("%s: %s doesn't close it", s.ControlName(), saysOf(first))
		}
	})
}

// The sheet that asks before the window closes lies there too.
func TestAskingToCloseLeavesTheAxesInSight(t *testing.T) {
	h := openWhole(t, func(s *desk.Status) { s.Moving = true })
	h.show(view.At(h.desk.Status(), 20, 0))
	h.askToClose()
	s := h.sheet(t, "close-dialog")
	checkDocked(t, h, s)
	checkWhole(t, s)
}

// Of two dialogs, which lie in the same place, only the newer is seen; after it the other, with the keyboard.
func TestDialogsDoNotShowThroughOneAnother(t *testing.T) {
	h := openWhole(t, evening)
	h.press("reference-button")
	h.window.Canvas().Focus(focusable(t, h.Window)["reference-beam"])
	h.press("reference-beam")
	if _, seen := h.Layout().Control["reference-dialog"]; seen || h.top() != "position-dialog" {
		t.Errorf("both are seen, the upper is %s", h.top())
	}
	h.press("position-cancel")
	if l := h.Layout(); h.top() != "reference-dialog" || l.Focused != "reference-beam" {
		t.Errorf("then %s, the keyboard at %q", h.top(), l.Focused)
	}
}

// crowded is an evening on which every sheet has more, and longer words, than it has room for.
func crowded(t *testing.T) func(*desk.Status) {
	guards := everyGuard(t)
	return func(s *desk.Status) {
		evening(s)
		s.Alarms, s.Station.Name, s.Destination = guards, longStation, message.Text(longTarget)
		check := &desk.CheckResult{At: s.At, Verdict: guards[0].Words}
		for _, g := range guards[:20] {
			check.Lines = append(check.Lines, desk.CheckLine{What: "Supplies and readings", Words: g.Words,
				Grade: g.Grade})
			s.Check.Unusual = append(s.Check.Unusual, desk.Unusual{Key: g.Words.String(), Words: g.Next})
		}
		s.Check.Last, s.Check.Running, s.Check.Doing = check, true, guards[1].Next
		s.Receiving.Dip.Plan = &desk.DipPlan{Why: guards[2].Next}
		s.Receiving.Dip.Last = &desk.DipResult{At: s.At, Band: "1296 MHz", Why: guards[3].Next}
		s.Radio.Partners = nil
		for i := range 12 {
			s.Radio.Partners = append(s.Radio.Partners,
				desk.Partner{Name: fmt.Sprintf("Quarry Ridge %d", i), CallSign: "call sign",
					Locator: "FN42hn", Polarisation: "horizontal", Note: guards[i].Next.String()})
			first := s.At.AddDate(0, 0, i)
			s.Dates = append(s.Dates,
				desk.Date{First: first, Last: first.AddDate(0, 0, 1), Words: guards[i].Words.String()})
		}
	}
}

// What is long wraps, and what is much scrolls, in a window of the least size.
func TestCrowdedSheetsAreWhole(t *testing.T) {
	scrolled := 0
	eachSheetOf(t, crowded(t), minimum, func(h *whole, s *widget.Sheet) {
		checkDocked(t, h, s)
		checkWhole(t, s)
		if h.with.Open.Scroll(100); boxOf(scrollOf(s).Content).top < boxOf(scrollOf(s)).top {
			scrolled++
		}
	})
	if scrolled < 5 {
		t.Errorf("only %d scroll", scrolled)
	}
}

func scrollOf(s *widget.Sheet) *container.Scroll {
	_, scroll := leaves(s)
	return scroll
}

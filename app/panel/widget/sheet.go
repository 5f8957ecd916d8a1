package widget

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	fynewidget "fyne.io/fyne/v2/widget"
	fynetooltip "github.com/dweymouth/fyne-tooltip"

	"beamhelm/app/view"
)

// Open keeps what lies over the window: sheets and menus. Esc closes it.
type Open struct {
	canvas fyne.Canvas
	sheets []*Sheet
}

// NewOpen returns the keeper of what lies over a window's canvas.
func NewOpen(canvas fyne.Canvas) *Open { return &Open{canvas: canvas} }

// Close closes everything that is open, and says whether anything was.
func (o *Open) Close() bool {
	any := len(o.sheets) > 0
	for len(o.sheets) > 0 {
		o.sheets[len(o.sheets)-1].Close()
	}
	return any
}

// Names returns the names of what is open.
func (o *Open) Names() []string {
	var names []string
	for _, sheet := range o.sheets {
		names = append(names, sheet.name)
	}
	return names
}

// Sheet is a part that lies over the window until it is closed: a dialog in the
// middle, or a menu beneath a button.
type Sheet struct {
	name     string
	open     *Open
	popup    *fynewidget.PopUp
	before   fyne.Focusable
	onClosed func()
}

// ControlName returns the name by which tests find the sheet.
func (s *Sheet) ControlName() string { return s.name }

// ShowSheet opens a dialog with a title over the window and gives first the keyboard.
func (o *Open) ShowSheet(name, title string, content fyne.CanvasObject, first fyne.Focusable) *Sheet {
	heading := NewText(title).Sized(HeadingText).Bold()
	body := container.NewPadded(container.NewPadded(Column(10, Fixed(heading), Fixed(content))))
	s := o.add(name, fynewidget.NewModalPopUp(body, o.canvas))
	s.popup.Show()
	s.focus(first)
	return s
}

// ShowMenu opens content beneath, or where there is no room above, an object.
func (o *Open) ShowMenu(name string, content fyne.CanvasObject, beneath fyne.CanvasObject, first fyne.Focusable) *Sheet {
	o.Close()
	frame := canvas.NewRectangle(Fade(Current().Text, 0))
	frame.StrokeColor, frame.StrokeWidth, frame.CornerRadius = Current().Mark, 1, 4
	s := o.add(name, fynewidget.NewPopUp(container.NewStack(container.NewPadded(content), frame), o.canvas))
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject(beneath)
	size := s.popup.MinSize()
	below := at.Y + beneath.Size().Height + 2
	if below+size.Height > o.canvas.Size().Height {
		below = max(0, at.Y-size.Height-2)
	}
	s.popup.ShowAtPosition(fyne.NewPos(at.X, below))
	s.focus(first)
	return s
}

func (o *Open) add(name string, popup *fynewidget.PopUp) *Sheet {
	s := &Sheet{name: name, open: o, popup: popup, before: o.canvas.Focused()}
	fynetooltip.AddPopUpToolTipLayer(popup)
	o.sheets = append(o.sheets, s)
	return s
}

func (s *Sheet) focus(first fyne.Focusable) {
	if first != nil {
		s.open.canvas.Focus(first)
	}
}

// OnClosed has a function called when the sheet is closed.
func (s *Sheet) OnClosed(tell func()) { s.onClosed = tell }

// Visible says whether the sheet is still open: a menu is also closed by a click beside it.
func (s *Sheet) Visible() bool { return s.popup.Visible() }

// Content returns what lies in the sheet.
func (s *Sheet) Content() fyne.CanvasObject { return s.popup.Content }

// Close closes the sheet and gives the keyboard back to what had it.
func (s *Sheet) Close() {
	i := slices.Index(s.open.sheets, s)
	if i < 0 {
		return
	}
	s.open.sheets = slices.Delete(s.open.sheets, i, i+1)
	s.popup.Hide()
	fynetooltip.DestroyPopUpToolTipLayer(s.popup)
	if s.before != nil {
		s.open.canvas.Focus(s.before)
	}
	if s.onClosed != nil {
		s.onClosed()
	}
}

// Sweep forgets the menus that a click beside them has closed.
func (o *Open) Sweep() {
	for _, sheet := range slices.Clone(o.sheets) {
		if !sheet.Visible() {
			sheet.Close()
		}
	}
}

// Sheets returns what is open, the lowest first.
func (o *Open) Sheets() []*Sheet { return slices.Clone(o.sheets) }

// Object returns what the sheet lies in, for those who look for named parts.
func (s *Sheet) Object() fyne.CanvasObject { return s.popup }

// Context is what a part of the window needs to act: the desk, what is open
// over the window, and the hand that moves the beam.
type Context struct {
	Desk view.Desk
	Open *Open
	Hand *Hand
}

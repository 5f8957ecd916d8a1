package widget

import (
	"image/color"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"beamhelm/app/view"
)

// Context is what a part of the window needs to act: the desk, what is open
// over the window, and the hand that moves the beam.
type Context struct {
	Desk view.Desk
	Open *Open
	Hand *Hand
	// InFull, if any, opens the status in full.
	InFull func()
	// Scroll, if any, scrolls what an object lies in, where that is larger than its room and Ctrl isn't held, and says
	// whether it does.
	Scroll func(over fyne.CanvasObject, by *fyne.ScrollEvent) bool
}

// Open is the layer over the window in which sheets and menus lie. It leaves
// the window's lower edge free: nothing ever covers the stop control or takes a
// click that was meant for it. Esc closes what is open.
type Open struct {
	canvas fyne.Canvas
	layer  *fyne.Container
	free   func() float32
	edge   fyne.CanvasObject // along the upper edge, which menus leave free; nil: none
	dock   fyne.CanvasObject // where dialogs lie; nil: in the middle
	within fyne.CanvasObject // what the dock is scrolled in
	sheets []*Sheet
	opened func()
	closed func()
	now    view.Now // at the last tick
	shield *shield  // nil: none
	// opening, if any, says whether a sheet is still to come.
	opening func() bool
}

// NewOpen returns the layer over a window's canvas. Free gives the height of the
// lower edge that is left free.
func NewOpen(canvas fyne.Canvas, free func() float32) *Open {
	o := &Open{canvas: canvas, free: free}
	o.layer = container.New(openLayout{o})
	return o
}

// DockIn has dialogs lie over a part of the window, as long as they fit there; the part may be scrolled within another.
func (o *Open) DockIn(part, within fyne.CanvasObject) { o.dock, o.within = part, within }

// Below has menus leave the window's upper edge free.
func (o *Open) Below(edge fyne.CanvasObject) { o.edge = edge }

// top is where menus begin at the highest.
func (o *Open) top() float32 {
	if o.edge == nil {
		return 0
	}
	return o.place(o.edge).Y + o.edge.Size().Height
}

// dockTop is where dialogs begin.
func (o *Open) dockTop() float32 { return max(o.place(o.dock).Y, o.place(o.within).Y) }

// Object returns the layer, to be laid over everything else.
func (o *Open) Object() fyne.CanvasObject { return o.layer }

// OnOpened has a function called whenever something is opened.
func (o *Open) OnOpened(tell func()) { o.opened = tell }

// OnClosed has a function called whenever something has been closed and the keyboard given back.
func (o *Open) OnClosed(tell func()) { o.closed = tell }

// CloseTop closes what was opened last.
func (o *Open) CloseTop() {
	if n := len(o.sheets); n > 0 {
		o.sheets[n-1].Close()
	}
}

// Close closes everything that is open, and says whether anything was.
func (o *Open) Close() bool {
	any := len(o.sheets) > 0
	for len(o.sheets) > 0 {
		o.sheets[len(o.sheets)-1].Close()
	}
	return any
}

// Covers says whether anything is open.
func (o *Open) Covers() bool { return len(o.sheets) > 0 }

// Opening says that a sheet opens when busy no longer holds.
func (o *Open) Opening(busy func() bool) { o.opening = busy }

// TakesKeys says whether the keyboard belongs to what is open or about to open: then the
// window's own keys do nothing but Esc and Ctrl+., for what is typed is meant for the sheet.
func (o *Open) TakesKeys() bool { return o.Covers() || o.opening != nil && o.opening() }

// Sheet is a part that lies over the window until it is closed: a dialog at its
// right, or a menu beneath a button.
type Sheet struct {
	widget.BaseWidget
	name     string
	open     *Open
	content  fyne.CanvasObject
	page     *page             // of a dialog
	beneath  fyne.CanvasObject // of a menu; nil of a dialog
	catcher  *catcher          // of a menu: a click beside it closes it
	before   fyne.Focusable
	onClosed func()
	onTick   func(view.Now)
	stops    *Text             // says what Esc does while this is open
	fills    bool              // a dialog is as high as there is room, whatever is in it
	typed    map[*Entry]string // what its entries held as it was opened
}

// ShowSheet opens a dialog over the window: a title, a body, which scrolls where the window has no room for its
// height, and a row of buttons, the first of which is the way out. First has the keyboard.
func (o *Open) ShowSheet(name, title string, body fyne.CanvasObject, buttons []*Button, first fyne.Focusable) *Sheet {
	stops := newEscText(name)
	page := newPage(title, stops, body, buttons)
	s := &Sheet{name: name, stops: stops, page: page, content: page.object}
	if out := buttons[0]; out.Act() == nil {
		out.SetAct(s.Close)
	}
	return o.add(s, first)
}

// showMenu opens content beneath, or where there is no room above, an object.
// Menus above others, in a sheet too, close only menus.
func (o *Open) showMenu(name string, content, beneath fyne.CanvasObject, stops *Text, first fyne.Focusable) *Sheet {
	for n := len(o.sheets); n > 0 && o.sheets[n-1].beneath != nil; n = len(o.sheets) {
		o.CloseTop()
	}
	return o.add(&Sheet{name: name, content: Padded(content, 4, 4), beneath: beneath, stops: stops}, first)
}

// newEscText is the place where a sheet says what Esc does now.
func newEscText(name string) *Text {
	return NewLabel("Esc closes").Right().Reserve("Esc stops the dish").Named(name + "-esc")
}

func (o *Open) add(s *Sheet, first fyne.Focusable) *Sheet {
	s.open, s.before = o, o.canvas.Focused()
	s.sayEsc(o.now)
	s.ExtendBaseWidget(s)
	if s.beneath != nil {
		s.catcher = newCatcher(s.Close)
		o.layer.Add(s.catcher)
	}
	if s.page != nil {
		o.shieldOver(o.whatItCovers())
	}
	o.sheets = append(o.sheets, s)
	o.layer.Add(s)
	o.raiseShield()
	o.showLastPage()
	if o.opened != nil {
		o.opened()
	}
	if first != nil {
		o.canvas.Focus(first)
	}
	s.typed = s.entries()
	return s
}

// changed says whether a line to type in holds something else than as the sheet was opened.
func (s *Sheet) changed() bool {
	for e, text := range s.entries() {
		if text != s.typed[e] {
			return true
		}
	}
	return false
}

// entries are the lines to type in that are shown, with what they hold.
func (s *Sheet) entries() map[*Entry]string {
	held := map[*Entry]string{}
	Walk(s.content, func(object fyne.CanvasObject) {
		if e, is := object.(*Entry); is {
			held[e] = e.Text
		}
	})
	return held
}

// Leave closes all that is open and goes elsewhere. Where something has been typed into a dialog, a list beneath what
// leads elsewhere asks before.
func (o *Open) Leave(beneath fyne.CanvasObject, elsewhere func()) {
	leave := func() {
		o.Close()
		elsewhere()
	}
	if !slices.ContainsFunc(o.sheets, func(s *Sheet) bool { return s.page != nil && s.changed() }) {
		leave()
		return
	}
	o.ShowItems("leave-list", beneath, []Item{{Words: "Discard what was typed", Name: "leave-discard", Act: leave,
		Tip: "Closes the sheet without saving what was typed into it"}})
}

// showLastPage shows the dialog that was opened last: the others, which lie in the same place, are hidden.
func (o *Open) showLastPage() {
	last := true
	for _, s := range slices.Backward(o.sheets) {
		if s.page != nil {
			show(s, last)
			last = false
		}
	}
}

func (s *Sheet) sayEsc(now view.Now) {
	words := view.EscWords(now)
	s.stops.Set(words.Words, words.Tone)
}

// ControlName returns the name by which tests find the sheet.
func (s *Sheet) ControlName() string { return s.name }

// Parts implements Composite.
func (s *Sheet) Parts() []fyne.CanvasObject { return []fyne.CanvasObject{s.content} }

// Fill has a dialog be as high as there is room from the first: what comes into it moves no button.
func (s *Sheet) Fill() {
	s.fills = true
	s.open.layer.Refresh()
}

// OnClosed has a function called when the sheet is closed.
func (s *Sheet) OnClosed(tell func()) { s.onClosed = tell }

// OnTick has a function called at every tick while the sheet is open.
func (s *Sheet) OnTick(show func(view.Now)) { s.onTick = show }

// Show brings everything that is open up to date.
func (o *Open) Show(now view.Now) {
	o.now = now
	if o.shield != nil && now.Tick >= o.shield.until {
		o.dropShield()
	}
	for _, s := range slices.Clone(o.sheets) {
		s.sayEsc(now)
		if s.onTick != nil {
			s.onTick(now)
		}
	}
	o.fit()
}

// Close closes the sheet and gives the keyboard back to what had it.
func (s *Sheet) Close() {
	i := slices.Index(s.open.sheets, s)
	if i < 0 {
		return
	}
	s.open.sheets = slices.Delete(s.open.sheets, i, i+1)
	s.open.shieldOver(s.content)
	s.open.layer.Remove(s)
	if s.catcher != nil {
		s.open.layer.Remove(s.catcher)
	}
	s.open.showLastPage()
	s.open.canvas.Unfocus()
	if s.before != nil {
		s.open.canvas.Focus(s.before)
	}
	if s.open.closed != nil {
		s.open.closed()
	}
	if s.onClosed != nil {
		s.onClosed()
	}
}

// Tapped implements fyne.Tappable: a click on the sheet doesn't go through it.
func (s *Sheet) Tapped(*fyne.PointEvent) {}

// Scrolled implements fyne.Scrollable, likewise.
func (s *Sheet) Scrolled(*fyne.ScrollEvent) {}

// CreateRenderer implements fyne.Widget.
func (s *Sheet) CreateRenderer() fyne.WidgetRenderer {
	ground := canvas.NewRectangle(color.Transparent)
	ground.StrokeWidth, ground.CornerRadius = 1, 7
	shade := canvas.NewRectangle(color.NRGBA{A: 0x60})
	shade.CornerRadius = 10
	r := &sheetRenderer{sheet: s, ground: ground, shade: shade}
	r.tint()
	return r
}

type sheetRenderer struct {
	sheet         *Sheet
	ground, shade *canvas.Rectangle
}

func (r *sheetRenderer) tint() {
	p := Current()
	r.ground.FillColor, r.ground.StrokeColor = p.Pane, p.Mark
}

func (r *sheetRenderer) Layout(size fyne.Size) {
	const edge = 4
	r.shade.Move(fyne.NewPos(-edge, -edge))
	r.shade.Resize(fyne.NewSize(size.Width+2*edge, size.Height+2*edge))
	r.ground.Resize(size)
	r.sheet.content.Resize(size)
}

func (r *sheetRenderer) MinSize() fyne.Size { return r.sheet.content.MinSize() }

func (r *sheetRenderer) Refresh() {
	r.tint()
	r.ground.Refresh()
	r.sheet.content.Refresh()
}

func (r *sheetRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.shade, r.ground, r.sheet.content}
}
func (r *sheetRenderer) Destroy() {}

// catcher closes a menu at a click beside it.
type catcher struct {
	widget.BaseWidget
	act func()
}

func newCatcher(act func()) *catcher {
	c := &catcher{act: act}
	c.ExtendBaseWidget(c)
	return c
}

// Tapped implements fyne.Tappable.
func (c *catcher) Tapped(*fyne.PointEvent) { c.act() }

// CreateRenderer implements fyne.Widget.
func (c *catcher) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(canvas.NewRectangle(color.Transparent))
}

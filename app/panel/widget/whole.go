package widget

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
	tooltip "github.com/dweymouth/fyne-tooltip/widget"
)

// Whole holds texts for which the room may be too narrow: under the pointer it
// shows them whole, and a click opens what has all of it.
type Whole struct {
	tooltip.ToolTipWidget
	name    string
	content fyne.CanvasObject
	open    func()
	more    func() string
	pointed bool
}

// NewWhole returns content with its texts whole under the pointer. Open is what a click does.
func NewWhole(name string, content fyne.CanvasObject, open func()) *Whole {
	w := &Whole{name: name, content: content, open: open}
	w.ExtendBaseWidget(w)
	return w
}

// Telling adds what the texts have no room for in any case, under the pointer after their words.
func (w *Whole) Telling(more func() string) *Whole { w.more = more; return w }

// ControlName returns the name by which tests find it.
func (w *Whole) ControlName() string { return w.name }

// Parts implements Composite.
func (w *Whole) Parts() []fyne.CanvasObject { return []fyne.CanvasObject{w.content} }

// ToolTip returns the words of all texts in it where any of them is cut, and what else there is to tell.
func (w *Whole) ToolTip() string {
	var words []string
	cut := false
	Walk(w.content, func(object fyne.CanvasObject) {
		if text, ok := object.(*Text); ok && text.words != "" {
			words = append(words, Printable(text.words))
			cut = cut || text.Cut()
		}
	})
	if !cut {
		words = nil
	}
	if w.more != nil {
		if more := w.more(); more != "" {
			words = append(words, Printable(more))
		}
	}
	return strings.Join(words, ". ")
}

// Pointed says whether the pointer is over it.
func (w *Whole) Pointed() bool { return w.pointed }

// MouseOut implements desktop.Hoverable.
func (w *Whole) MouseOut() {
	w.pointed = false
	w.ToolTipWidget.MouseOut()
}

// MouseIn implements desktop.Hoverable.
func (w *Whole) MouseIn(event *desktop.MouseEvent) {
	w.pointed = true
	w.SetToolTip(w.ToolTip())
	w.ToolTipWidget.MouseIn(event)
}

// Tapped implements fyne.Tappable.
func (w *Whole) Tapped(*fyne.PointEvent) {
	w.ToolTipWidget.MouseOut() // the tip would lie over what opens
	if w.open != nil {
		w.open()
	}
}

// CreateRenderer implements fyne.Widget.
func (w *Whole) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(w.content) }

package widget

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"

	"beamhelm/app/view"
)

// Look is how a button is drawn.
type Look uint8

// The looks of a button.
const (
	Quiet     Look = iota // outlined thinly
	Chosen                // outlined strongly in the colour of what is wanted: a selected state
	Primary               // filled in that colour: the action that matters now
	Filled                // filled in grey: an important action beside the primary one
	Caution               // outlined in the colour of warnings
	Dangerous             // outlined in the colour of stopping
	Stopping              // filled in the colour of stopping
	Bare                  // neither outlined nor filled: a line of a menu
)

// Button does one thing when it is clicked, or when Space or Enter is pressed
// while it has the keyboard.
type Button struct {
	Control
	words  string
	look   Look
	size   float32
	bold   bool
	tight  bool
	left   bool
	act    func()
	press  bool
	faint  bool
	merged *Merged // once it is drawn
	ringed bool    // looks as if it had the keyboard: what has it picks this one
	widest string
}

// NewButton returns a button with its words, what it does, its name for tests and its tip.
func NewButton(words, name, tip string, act func()) *Button {
	b := &Button{words: words, size: BodyText, act: act}
	b.Become(b, name, tip)
	return b
}

// Sized sets the size of the words.
func (b *Button) Sized(size float32) *Button { b.size = size; return b }

// Bold makes the words bold.
func (b *Button) Bold() *Button { b.bold = true; return b }

// Tight leaves less room at the sides.
func (b *Button) Tight() *Button { b.tight = true; return b }

// Left sets the words at the left edge.
func (b *Button) Left() *Button { b.left = true; return b }

// Looking sets the look the button begins with.
func (b *Button) Looking(look Look) *Button { b.look = look; return b }

// ring shows or hides the ring of the keyboard.
func (b *Button) ring(on bool) {
	if b.ringed != on {
		b.ringed = on
		b.Refresh()
	}
}

// Reserve keeps the width of the widest words the button will show.
func (b *Button) Reserve(words string) *Button { b.widest = words; return b }

// Set shows words and a look. Nothing is redrawn when neither changed.
func (b *Button) Set(words string, look Look) {
	if b.words == words && b.look == look {
		return
	}
	b.words, b.look = words, look
	b.Refresh()
}

// SetLook changes the look alone.
func (b *Button) SetLook(look Look) { b.Set(b.words, look) }

// Choose looks chosen, or quiet.
func (b *Button) Choose(chosen bool) {
	if chosen {
		b.SetLook(Chosen)
	} else {
		b.SetLook(Quiet)
	}
}

// Act is what the button does.
func (b *Button) Act() func() { return b.act }

// SetAct changes what the button does.
func (b *Button) SetAct(act func()) { b.act = act }

// ControlWords returns the words shown.
func (b *Button) ControlWords() string { return b.words }

// Parts implements Composite.
func (b *Button) Parts() []fyne.CanvasObject {
	if b.merged == nil {
		return nil
	}
	return b.merged.objects
}

// On says whether the button shows a selected state.
func (b *Button) On() bool { return b.look == Chosen }

// Tapped implements fyne.Tappable.
func (b *Button) Tapped(*fyne.PointEvent) {
	if !b.Disabled() && b.act != nil {
		b.act()
	}
}

// MouseDown implements desktop.Mouseable: shows the press.
func (b *Button) MouseDown(*desktop.MouseEvent) {
	b.ToolTipWidget.MouseOut() // the tip would lie over what the press opens
	b.showPress(true)
}

// MouseUp implements desktop.Mouseable.
func (b *Button) MouseUp(*desktop.MouseEvent) { b.showPress(false) }

func (b *Button) showPress(press bool) {
	if b.press != press {
		b.press = press
		b.Refresh()
	}
}

// Cursor implements desktop.Cursorable.
func (b *Button) Cursor() desktop.Cursor {
	if b.Disabled() {
		return desktop.DefaultCursor
	}
	return desktop.PointerCursor
}

// TypedKey implements fyne.Focusable.
func (b *Button) TypedKey(event *fyne.KeyEvent) { b.Press(event, func() { b.Tapped(nil) }) }

// Cut says whether words had to be left out for want of room.
func (b *Button) Cut() bool {
	style := fyne.TextStyle{Bold: b.bold || b.look == Chosen || b.look == Primary}
	return fyne.MeasureText(Printable(b.words), b.size, style).Width > b.Size().Width-6
}

// CreateRenderer implements fyne.Widget.
func (b *Button) CreateRenderer() fyne.WidgetRenderer {
	r := &buttonRenderer{
		button: b,
		ring:   canvas.NewRectangle(color.Transparent),
		body:   canvas.NewRectangle(color.Transparent),
		words:  canvas.NewText("", color.Transparent),
	}
	b.merged = NewMerged(ringWidth, r.ring, r.body, r.words)
	r.merged = b.merged
	r.update()
	return r
}

type buttonRenderer struct {
	button     *Button
	ring, body *canvas.Rectangle
	words      *canvas.Text
	merged     *Merged
	width      float32
}

// ringWidth is that of the ring round what has the keyboard.
const ringWidth = 2

// buttonColours returns what a look is drawn with: fill, outline, its width and the words.
func buttonColours(p *Palette, look Look) (fill, line color.NRGBA, width float32, words color.NRGBA) {
	none := color.NRGBA{}
	switch look {
	case Bare:
		return none, none, 0, p.Text
	case Chosen:
		return none, p.Setpoint, 2, p.Setpoint
	case Primary:
		return p.Setpoint, p.Setpoint, 1, p.OnSetpoint
	case Filled:
		return p.Raised, p.Raised, 1, p.Text
	case Caution:
		return none, p.Warning, 2, p.Warning
	case Dangerous:
		return none, p.StopLine, 2, p.StopLine
	case Stopping:
		return p.Stop, p.Stop, 1, p.OnStop
	}
	return none, p.Mark, 1, p.Text
}

func (r *buttonRenderer) update() {
	b, p := r.button, Current()
	fill, line, width, words := buttonColours(p, b.look)
	if b.Disabled() {
		fill, line, width, words = color.NRGBA{}, p.Line, 1, p.Old
	} else if fill.A == 0 && (b.press || b.Hovered()) {
		fill = Fade(p.Text, 0.08)
		if b.press {
			fill = Fade(p.Text, 0.18)
		}
	} else if b.press {
		fill = Fade(fill, 0.8)
	}
	r.body.FillColor, r.body.StrokeColor, r.body.StrokeWidth = Seen(fill), Seen(line), width
	r.body.CornerRadius = Corner
	r.ring.StrokeColor, r.ring.StrokeWidth = color.Transparent, 0
	r.ring.CornerRadius = Corner + 2
	if b.Focused() || b.ringed {
		r.ring.StrokeColor, r.ring.StrokeWidth = p.Focus, ringWidth
	}
	if b.faint && b.look == Bare {
		words = p.Tint(view.Faint)
	}
	r.words.Color, r.words.TextSize = words, b.size
	r.words.TextStyle = fyne.TextStyle{Bold: b.bold || b.look == Chosen || b.look == Primary}
	r.words.Alignment = fyne.TextAlignCenter
	if b.left {
		r.words.Alignment = fyne.TextAlignLeading
	}
	r.words.Text = Shorten(Printable(b.words), r.width, b.size, r.words.TextStyle)
}

func (r *buttonRenderer) Layout(size fyne.Size) {
	if room := size.Width - 6; room != r.width {
		r.width = room
		r.update()
	}
	// The ring lies outside the body, so that focus changes no size.
	r.ring.Resize(size.AddWidthHeight(2*ringWidth, 2*ringWidth))
	r.ring.Move(fyne.NewPos(-ringWidth, -ringWidth))
	r.body.Resize(size)
	height := r.words.MinSize().Height
	inset := float32(0)
	if r.button.left {
		inset = 8
	}
	r.words.Resize(fyne.NewSize(size.Width-2*inset, height))
	r.words.Move(fyne.NewPos(inset, float32(int((size.Height-height)/2))))
	r.merged.Resize(size)
}

func (r *buttonRenderer) MinSize() fyne.Size {
	b := r.button
	style := fyne.TextStyle{Bold: true}
	size := fyne.MeasureText(Printable(b.words), b.size, style).Max(fyne.MeasureText(b.widest, b.size, style))
	side := float32(20)
	if b.tight {
		side = 12
	}
	return fyne.NewSize(ceil(size.Width+side), ceil(size.Height+10))
}

func (r *buttonRenderer) Refresh() {
	r.update()
	r.merged.Redraw()
}

func (r *buttonRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.merged.Picture}
}
func (r *buttonRenderer) Destroy() {}

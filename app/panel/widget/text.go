package widget

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"

	"beamhelm/app/view"
)

// Text is one line of words or a figure. It redraws only when its words or its
// tone change, follows the palette, and shortens with an ellipsis what does not fit.
type Text struct {
	widget.BaseWidget
	name    string
	words   string
	tone    view.Tone
	size    float32
	bold    bool
	align   fyne.TextAlign
	reserve string  // words whose width is always kept
	elastic bool    // may be narrower than its words
	plate   *Ground // behind the words; nil for none
	still   *Still  // whose picture it is part of; nil for none
	line    *canvas.Text
	least   fyne.Size
	// measured says that least is true.
	measured bool
}

// NewText returns a line of body text.
func NewText(words string) *Text {
	t := &Text{words: words, size: BodyText}
	t.ExtendBaseWidget(t)
	return t
}

// NewLabel returns a line of small faint text.
func NewLabel(words string) *Text { return NewText(words).Small().Tone(view.Faint) }

// Small makes the text small.
func (t *Text) Small() *Text { return t.Sized(SmallText) }

// Sized sets the size of the text.
func (t *Text) Sized(size float32) *Text { t.size = size; return t }

// Bold makes the text bold. In this typeface that does not make it wider.
func (t *Text) Bold() *Text { t.bold = true; return t }

// Right aligns the text to the right, Middle to the middle.
func (t *Text) Right() *Text { t.align = fyne.TextAlignTrailing; return t }

// Middle aligns the text to the middle.
func (t *Text) Middle() *Text { t.align = fyne.TextAlignCenter; return t }

// Tone sets the tone the text begins with.
func (t *Text) Tone(tone view.Tone) *Text { t.tone = tone; return t }

// Reserve keeps the width of these words, so that neighbours stay where they are when the words change.
func (t *Text) Reserve(words string) *Text {
	t.reserve, t.measured = words, false
	return t
}

// Elastic lets the text be given less room than its words need.
func (t *Text) Elastic() *Text { t.elastic = true; return t }

// Plated puts the words on a plate, so that they can be read over what lies beneath.
func (t *Text) Plated(colour func(*Palette) color.NRGBA, corner float32) *Text {
	t.plate = NewGround(colour, corner)
	return t
}

// Named gives the name by which tests find the text.
func (t *Text) Named(name string) *Text { t.name = name; return t }

// ControlName returns the name by which tests find the text.
func (t *Text) ControlName() string { return t.name }

// ControlWords returns the words shown.
func (t *Text) ControlWords() string { return t.words }

// Parts implements Composite: what a plate merges with.
func (t *Text) Parts() []fyne.CanvasObject {
	if t.plate == nil || t.line == nil {
		return nil
	}
	return []fyne.CanvasObject{t.plate, t.line}
}

// Set shows words in a tone. Nothing is redrawn when neither changed.
func (t *Text) Set(words string, tone view.Tone) {
	if t.words == words && t.tone == tone {
		return
	}
	t.words, t.tone = words, tone
	t.Refresh()
}

// SetSize changes the size of the text, and says whether it was another.
func (t *Text) SetSize(size float32) bool {
	if t.size == size {
		return false
	}
	t.size = size
	t.Refresh()
	return true
}

// SetWords shows words in the tone the text has.
func (t *Text) SetWords(words string) { t.Set(words, t.tone) }

// Cut says whether words had to be left out for want of room.
func (t *Text) Cut() bool { return t.shortened(t.Size().Width) != Printable(t.words) }

// WholeWidth is the width that the words need.
func (t *Text) WholeWidth() float32 {
	return ceil(fyne.MeasureText(Printable(t.words), t.size, t.style()).Width)
}

// Fits says whether words have the room that the text has now.
func (t *Text) Fits(words string) bool {
	return fyne.MeasureText(Printable(words), t.size, t.style()).Width <= t.Size().Width
}

// CreateRenderer implements fyne.Widget.
func (t *Text) CreateRenderer() fyne.WidgetRenderer {
	t.line = canvas.NewText(Printable(t.words), Current().Tint(t.tone))
	r := &textRenderer{text: t, width: t.Size().Width}
	if t.plate != nil {
		r.merged = NewMerged(plateMargin, t.plate, t.line)
	}
	r.update()
	return r
}

type textRenderer struct {
	text   *Text
	width  float32
	merged *Merged // with the plate; nil without one
}

// plateMargin is how far a plate reaches beyond its words at either end.
const plateMargin = 2

func (t *Text) style() fyne.TextStyle { return fyne.TextStyle{Bold: t.bold} }

// shortened is what there is room for in a width; 0 is one that isn't known yet.
func (t *Text) shortened(width float32) string {
	return Shorten(Printable(t.words), width, t.size, t.style())
}

func (r *textRenderer) update() {
	t := r.text
	t.line.Color = Current().Tint(t.tone)
	t.line.TextSize = t.size
	t.line.TextStyle = t.style()
	t.line.Alignment = t.align
	t.line.Text = t.shortened(r.width)
}

func (r *textRenderer) Layout(size fyne.Size) {
	if r.width != size.Width {
		r.width = size.Width
		r.update()
	}
	minimum := r.text.line.MinSize()
	r.text.line.Resize(fyne.NewSize(size.Width, minimum.Height))
	r.text.line.Move(fyne.NewPos(0, float32(int((size.Height-minimum.Height)/2))))
	if r.merged != nil {
		r.text.plate.Move(fyne.NewPos(-plateMargin, 0))
		r.text.plate.Resize(size.AddWidthHeight(2*plateMargin, 0))
		r.merged.Resize(size)
	}
}

// MinSize implements fyne.WidgetRenderer. It is asked for in every frame: the answer is kept until something changes.
func (r *textRenderer) MinSize() fyne.Size {
	t := r.text
	if !t.measured {
		t.least, t.measured = t.leastSize(), true
	}
	return t.least
}

func (t *Text) leastSize() fyne.Size {
	size := fyne.MeasureText(Printable(t.words), t.size, t.style())
	if t.reserve != "" {
		kept := fyne.MeasureText(t.reserve, t.size, t.style())
		if t.elastic {
			size.Width = kept.Width
		} else {
			size = size.Max(kept)
		}
	} else if t.elastic {
		size.Width = 0
	}
	return fyne.NewSize(ceil(size.Width), ceil(size.Height))
}

func (r *textRenderer) Refresh() {
	r.text.measured = false
	r.update()
	switch {
	case r.text.still != nil:
		r.text.still.Redraw()
	case r.merged != nil:
		r.merged.Redraw()
	default:
		r.text.line.Refresh()
	}
}

func (r *textRenderer) Objects() []fyne.CanvasObject {
	if r.merged != nil {
		return []fyne.CanvasObject{r.merged.Picture}
	}
	return []fyne.CanvasObject{r.text.line}
}

func (r *textRenderer) Destroy() {}

func ceil(v float32) float32 {
	if whole := float32(int(v)); whole < v {
		return whole + 1
	}
	return v
}

// Shorten returns words cut to a width, with an ellipsis where something was
// left out. A width of 0 leaves them whole.
func Shorten(words string, width, size float32, style fyne.TextStyle) string {
	if width <= 0 || fyne.MeasureText(words, size, style).Width <= width+0.5 {
		return words
	}
	letters := []rune(words)
	for n := len(letters) - 1; n > 0; n-- {
		short := string(letters[:n]) + "…"
		if fyne.MeasureText(short, size, style).Width <= width {
			return short
		}
	}
	return ""
}

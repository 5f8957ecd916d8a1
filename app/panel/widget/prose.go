package widget

import (
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"beamhelm/app/view"
)

// Prose is words over as many lines as the width that it is given needs, each line of theirs on a new one,
// for the sheets, which lay out again what has become higher. It asks for no width of its own.
type Prose struct {
	widget.BaseWidget
	name  string
	words string
	tone  view.Tone
	size  float32
	bold  bool
	rows  int // the least number of lines
	width float32
	lines []*Text
}

// NewProse returns words of body text.
func NewProse(words string) *Prose {
	p := &Prose{words: words, size: BodyText, width: SheetWidth}
	p.ExtendBaseWidget(p)
	return p
}

// NewNote returns words of small faint text.
func NewNote(words string) *Prose { return NewProse(words).Small().Tone(view.Faint) }

// Small makes the words small.
func (p *Prose) Small() *Prose { return p.Sized(SmallText) }

// Sized sets the size of the words.
func (p *Prose) Sized(size float32) *Prose { p.size = size; return p }

// Bold makes the words bold.
func (p *Prose) Bold() *Prose { p.bold = true; return p }

// Tone sets the tone the words begin with.
func (p *Prose) Tone(tone view.Tone) *Prose { p.tone = tone; return p }

// Rows keeps room for so many lines, so that what is beneath stays where it is when the words change.
func (p *Prose) Rows(rows int) *Prose { p.rows = rows; return p }

// Named gives the name by which tests find the words.
func (p *Prose) Named(name string) *Prose { p.name = name; return p }

// ControlName returns the name by which tests find the words.
func (p *Prose) ControlName() string { return p.name }

// ControlWords returns the words shown.
func (p *Prose) ControlWords() string { return p.words }

// Set shows words in a tone. Nothing is redrawn when neither changed.
func (p *Prose) Set(words string, tone view.Tone) {
	if p.words == words && p.tone == tone {
		return
	}
	p.words, p.tone = words, tone
	p.Refresh()
}

// SetWords shows words in the tone there is.
func (p *Prose) SetWords(words string) { p.Set(words, p.tone) }

// Parts implements Composite.
func (p *Prose) Parts() []fyne.CanvasObject {
	parts := make([]fyne.CanvasObject, len(p.lines))
	for i, line := range p.lines {
		parts[i] = line
	}
	return parts
}

// wrap makes the lines, and says whether their number is another.
func (p *Prose) wrap() bool {
	var words []string
	for line := range strings.SplitSeq(p.words, "\n") {
		words = append(words, wrapTo(Printable(line), p.width, p.size, fyne.TextStyle{Bold: p.bold})...)
	}
	number := max(len(words), p.rows, 1)
	changed := number != len(p.lines)
	for len(p.lines) < number {
		line := NewText("").Sized(p.size).Elastic()
		line.bold = p.bold
		p.lines = append(p.lines, line)
	}
	p.lines = slices.Delete(p.lines, number, len(p.lines))
	for i, line := range p.lines {
		if i < len(words) {
			line.Set(words[i], p.tone)
		} else {
			line.Set("", p.tone)
		}
	}
	return changed
}

// CreateRenderer implements fyne.Widget.
func (p *Prose) CreateRenderer() fyne.WidgetRenderer {
	p.wrap()
	return &proseRenderer{p}
}

type proseRenderer struct{ prose *Prose }

func (r *proseRenderer) Layout(size fyne.Size) {
	p := r.prose
	if p.width != size.Width {
		p.width = size.Width
		p.wrap()
	}
	// In the middle of its height, like a text: beside a button on its line.
	y := max(0, float32(int((size.Height-r.MinSize().Height)/2)))
	for _, line := range p.lines {
		height := line.MinSize().Height
		line.Move(fyne.NewPos(0, y))
		line.Resize(fyne.NewSize(size.Width, height))
		y += height
	}
}

func (r *proseRenderer) MinSize() fyne.Size {
	return fyne.NewSize(0, float32(len(r.prose.lines))*r.prose.lines[0].MinSize().Height)
}

func (r *proseRenderer) Refresh() {
	p := r.prose
	if p.wrap() {
		r.Layout(p.Size())
	}
	for _, line := range p.lines {
		line.Refresh()
	}
}

func (r *proseRenderer) Objects() []fyne.CanvasObject { return r.prose.Parts() }
func (r *proseRenderer) Destroy()                     {}

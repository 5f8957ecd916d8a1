package beam

import (
	"image/color"
	"math"

	"fyne.io/fyne/v2"

	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// words is a line of small text on a plate, to be read over the picture.
type words struct{ text *widget.Text }

func newWords(name string) words {
	return words{widget.NewLabel("").Named(name).Plated(
		func(p *widget.Palette) color.NRGBA { return widget.Fade(p.Well, 0.9) }, 3)}
}

func (w words) set(phrase view.Phrase) {
	w.text.Set(phrase.Words, phrase.Tone)
	if phrase.Words == "" {
		w.text.Hide()
		return
	}
	w.text.Show()
}

func (w words) size() fyne.Size { return w.text.MinSize() }

func (w words) move(x, y float32) {
	w.text.Resize(w.size())
	w.text.Move(fyne.NewPos(float32(math.Round(float64(x))), float32(math.Round(float64(y)))))
}

// The room that the mark of a body takes at least about its middle, and up to which words step aside for it, in units:
// a larger disc is seen beside them.
const discRoom, maxDiscRoom = 8, 24

// place puts the words in their corners, but not over a small target, and the distance of a target that is out of view
// beside its arrow.
func (v *beamView) place(f frame, target view.Disc, has, out bool) {
	const inset = 5
	right := func(w words) float32 { return v.Size().Width - inset - w.size().Width }
	bottom := v.Size().Height - inset - v.off.size().Height
	at, radius := f.at(target.At), max(discRoom, float32(target.Diameter.Rad()/2*f.perRad))
	x, y := float32(at.X), float32(at.Y)
	small := has && !out && radius <= maxDiscRoom
	// put places words beneath the target or, from below, above it, where they would lie on it.
	put := func(w words, left, top float32, beneath bool) (next float32) {
		size := w.size()
		hidden := x+radius > left && x-radius < left+size.Width && y+radius > top && y-radius < top+size.Height
		switch {
		case small && hidden && beneath:
			top = y + radius
		case small && hidden:
			top = y - radius - size.Height
		}
		w.move(left, top)
		return top
	}
	put(v.moves, inset, put(v.title, inset, inset, true)+v.title.size().Height, true)
	put(v.scale, right(v.scale), inset, true)
	off := put(v.off, inset, bottom, false)
	loss := bottom
	if right(v.loss) <= inset+v.off.size().Width { // longer words than there is room for beside each other
		loss = off - v.loss.size().Height
	}
	put(v.loss, right(v.loss), loss, false)
	if out {
		v.beside(f.arrows(v.beam, 1))
	}
}

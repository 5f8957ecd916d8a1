//go:build !race

package panel

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"beamhelm/app/panel/widget"
)

// words is a text of the window with the part of it that is seen.
type words struct {
	text string
	seen box
	high float32 // of the whole text
}

// inked is where the letters of a text are, whose corner is at a place.
func inked(text *canvas.Text, at fyne.Position) box {
	size := fyne.MeasureText(text.Text, text.TextSize, text.TextStyle)
	spare := text.Size().Width - size.Width
	switch text.Alignment {
	case fyne.TextAlignLeading:
		spare = 0
	case fyne.TextAlignCenter:
		spare /= 2
	}
	left, top := at.X+spare, at.Y+(text.Size().Height-size.Height)/2
	return box{left, top, left + size.Width, top + size.Height}
}

// wordsIn returns the texts that are seen in a part of the window, and those cut that no pointer shows whole.
func wordsIn(root fyne.CanvasObject) (all []words, cut []string) {
	tips := ""
	walkDrawn(root, func(object fyne.CanvasObject, at fyne.Position, seen box) {
		if tip, is := object.(interface{ ToolTip() string }); is {
			tips += tip.ToolTip() + "\n"
		}
		switch o := object.(type) {
		case *widget.Text:
			if o.Cut() {
				cut = append(cut, o.ControlWords())
			}
		case *canvas.Text:
			whole := inked(o, at)
			if at := whole.common(seen); at.right > at.left && at.bottom > at.top {
				all = append(all, words{o.Text, at, whole.bottom - whole.top})
			}
		}
	})
	return all, slices.DeleteFunc(cut, func(words string) bool { return strings.Contains(tips, words) })
}

// The window's sizes in its own units: those of usual screens at 80 to 200 % of the usual size of words.
func rooms() (all []fyne.Size) {
	for _, screen := range []fyne.Size{{Width: 1366, Height: 720}, {Width: 1440, Height: 850},
		{Width: 1920, Height: 1030}, {Width: 2560, Height: 1390}} {
		for _, percent := range scales() {
			size := fyne.NewSize(screen.Width*100/float32(percent), screen.Height*100/float32(percent))
			all = append(all, size)
		}
	}
	return all
}

// In every pane, on every screen and in every size of words, no words lie on others, none end outside
// the window, and what has no room is shown whole under the pointer.
func TestWordsHaveRoomInEveryPane(t *testing.T) {
	w, d := open(t, minimum, nil)
	states, sizes := fullStates(), rooms()
	for n := range len(states) * len(sizes) {
		size := sizes[n%len(sizes)]
		bring(w, d, states[n/len(sizes)])
		w.window.Resize(fyne.NewSize(size.Width, size.Height+1)) // lays out all again, as the real window does itself
		w.window.Resize(size)
		for i, pane := range w.right.panes {
			w.right.choose(i)
			bring(w, d, states[n/len(sizes)])
			what := fmt.Sprintf("%s, %.0f by %.0f, state %d", pane.Title(), size.Width, size.Height, n/len(sizes))
			all, unwhole := wordsIn(w.parts)
			if seen := min(1, size.Width*size.Height/(leastBody.Width*leastBody.Height)); len(all) < int(60*seen) {
				t.Fatalf("%s: only %d texts are found", what, len(all))
			}
			for k, one := range all {
				if !one.seen.within(boxOf(w.parts)) {
					t.Errorf("%s: %q ends outside the window", what, one.text)
				}
				for _, other := range all[:k] {
					// A fourth of a line's height is the room above and below its letters.
					if shared := one.seen.common(other.seen); shared.right-shared.left > 2 &&
						shared.bottom-shared.top > min(one.high, other.high)/4 {
						t.Errorf("%s: %q lies on %q", what, one.text, other.text)
					}
				}
			}
			for _, cut := range unwhole {
				t.Errorf("%s: %q is cut, and no pointer shows it", what, cut)
			}
		}
	}
}

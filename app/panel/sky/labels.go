package sky

import (
	"fyne.io/fyne/v2"

	"beamhelm/app/view"
)

// label is words beside a place of the plot.
type label struct {
	words string
	tone  view.Tone
	bold  bool
	at    fyne.Position // the place
	clear float32       // room that is left free around it
	sides []side        // where the words may stand, best first
	far   []float32     // how much further away they may stand where they would lie on a line; none: not at all
}

// side is where words stand beside their place.
type side uint8

const (
	rightOf side = iota
	leftOf
	above
	below
	aboveRight
	aboveLeft
	belowRight
	belowLeft
)

// box is a part of the plot that is taken.
type box struct{ x0, y0, x1, y1 float32 }

func (b box) meets(o box) bool { return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1 }

// around returns the box of a mark.
func around(at fyne.Position, half float32) box {
	return box{at.X - half, at.Y - half, at.X + half, at.Y + half}
}

// on returns the box of words of a size on a side of their place.
func (l label) on(s side, size fyne.Size) box {
	x, y := l.at.X-size.Width/2, l.at.Y-size.Height/2
	aslant := l.clear * 0.5 // diagonally the place is nearer to a corner than to a side
	switch s {
	case rightOf:
		x = l.at.X + l.clear
	case leftOf:
		x = l.at.X - l.clear - size.Width
	case above:
		y = l.at.Y - l.clear - size.Height
	case below:
		y = l.at.Y + l.clear
	case aboveRight, belowRight:
		x = l.at.X + aslant
	case aboveLeft, belowLeft:
		x = l.at.X - aslant - size.Width
	}
	switch s {
	case aboveRight, aboveLeft:
		y = l.at.Y - aslant - size.Height
	case belowRight, belowLeft:
		y = l.at.Y + aslant
	}
	return box{x, y, x + size.Width, y + size.Height}
}

// raised returns the box lifted a little where it would reach below the room.
func (b box) raised(height float32) box {
	const maximum = 10
	if over := b.y1 - height; over > 0 && over < maximum {
		b.y0, b.y1 = b.y0-over, b.y1-over
	}
	return b
}

// placed is where a label stands.
type placed struct {
	box    box
	found  bool
	onLine bool
}

// arrange finds a place for each label, those that matter most first. Labels
// keep clear of what is taken and of each other, and where they can of the lines
// too; one that finds no room is left out.
func arrange(labels []label, taken, lines []box, room fyne.Size, measure func(label) fyne.Size) []placed {
	places := make([]placed, len(labels))
	for i, l := range labels {
		size := measure(l)
		best, found := l.place(0, size, taken, lines, room)
		for _, far := range l.far {
			if found && !meetsAny(best, lines) {
				break
			}
			if b, is := l.place(far, size, taken, lines, room); is && (!found || !meetsAny(b, lines)) {
				best, found = b, true
			}
		}
		if found {
			places[i] = placed{best, true, meetsAny(best, lines)}
			const apart = 2
			taken = append(taken, box{best.x0 - apart, best.y0, best.x1 + apart, best.y1})
		}
	}
	return places
}

// place finds a place for a label on one of its sides, further away than usual; where it can, beside the lines.
func (l label) place(far float32, size fyne.Size, taken, lines []box, room fyne.Size) (best box, found bool) {
	l.clear += far
	for _, s := range l.sides {
		b := l.on(s, size).raised(room.Height)
		if b.x0 < 1 || b.y0 < 0 || b.x1 > room.Width-1 || b.y1 > room.Height || meetsAny(b, taken) {
			continue
		}
		onLine := meetsAny(b, lines)
		if !onLine || !found {
			best, found = b, true
		}
		if !onLine {
			break
		}
	}
	return best, found
}

func meetsAny(b box, taken []box) bool {
	for _, t := range taken {
		if b.meets(t) {
			return true
		}
	}
	return false
}

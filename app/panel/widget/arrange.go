package widget

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
)

// Part is an object in a Row or Column.
type Part struct {
	Object fyne.CanvasObject
	// Share is the part's share of the room that is left; 0 keeps it at its least.
	Share float32
	// Least is a least width in a row, a least height in a column, when more than the object's own.
	Min float32
}

// Fixed returns a part that keeps its least size.
func Fixed(object fyne.CanvasObject) Part { return Part{Object: object} }

// Sharing returns a part with one share of the room that is left.
func Sharing(object fyne.CanvasObject) Part { return Part{Object: object, Share: 1} }

// Top returns a part that keeps its least size, at the top of a row that is higher.
func Top(object fyne.CanvasObject) Part { return Fixed(Column(0, Fixed(object))) }

// Space returns an empty part of a length.
func Space(length float32) Part {
	return Part{Object: canvas.NewRectangle(color.Transparent), Min: length}
}

// Spring returns an empty part that takes the room that is left.
func Spring() Part { return Part{Object: canvas.NewRectangle(color.Transparent), Share: 1} }

// Row puts parts beside each other, Column beneath each other, at whole units.
func Row(gap float32, parts ...Part) *fyne.Container { return arrange(gap, false, parts) }

// Column puts parts beneath each other, at whole units.
func Column(gap float32, parts ...Part) *fyne.Container { return arrange(gap, true, parts) }

func arrange(gap float32, down bool, parts []Part) *fyne.Container {
	objects := make([]fyne.CanvasObject, len(parts))
	for i, part := range parts {
		objects[i] = part.Object
	}
	return container.New(&arrangement{gap: gap, down: down, parts: parts}, objects...)
}

type arrangement struct {
	gap   float32
	down  bool
	parts []Part
	seams []*Ground // that paint the gaps; none for a row that leaves them open
}

// split returns a size as along and across the arrangement.
func (a *arrangement) split(size fyne.Size) (along, across float32) {
	if a.down {
		return size.Height, size.Width
	}
	return size.Width, size.Height
}

func (a *arrangement) join(along, across float32) fyne.Size {
	if a.down {
		return fyne.NewSize(across, along)
	}
	return fyne.NewSize(along, across)
}

func (a *arrangement) minimum(part Part) (along, across float32) {
	along, across = a.split(part.Object.MinSize())
	return max(along, part.Min), across
}

func (a *arrangement) MinSize([]fyne.CanvasObject) fyne.Size {
	var along, across float32
	shown := 0
	for _, part := range a.parts {
		if !part.Object.Visible() {
			continue
		}
		shown++
		l, c := a.minimum(part)
		along += l
		across = max(across, c)
	}
	return a.join(along+a.gap*float32(max(shown-1, 0)), across)
}

// Layout gives every part its least and shares what is left. A share counts
// from nothing where that gives the part at least its least, so that equal
// shares look equal.
func (a *arrangement) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	room, across := a.split(size)
	lengths := a.lengths(room)
	at, seams := float32(0), a.seams
	for i, part := range a.parts {
		if !part.Object.Visible() {
			continue
		}
		if at > 0 {
			seams = a.layoutSeam(seams, float32(int(at+0.5)), across)
		}
		from, to := float32(int(at+0.5)), float32(int(at+lengths[i]+0.5))
		part.Object.Resize(a.join(to-from, across))
		position := fyne.NewPos(from, 0)
		if a.down {
			position = fyne.NewPos(0, from)
		}
		part.Object.Move(position)
		at += lengths[i] + a.gap
	}
	for _, unused := range seams {
		unused.Hide()
	}
}

func (a *arrangement) lengths(room float32) []float32 {
	lengths := make([]float32, len(a.parts))
	fixed := make([]bool, len(a.parts))
	room += a.gap
	var shares float32
	for i, part := range a.parts {
		if !part.Object.Visible() {
			fixed[i] = true
			continue
		}
		room -= a.gap
		if part.Share > 0 {
			shares += part.Share
			continue
		}
		lengths[i], _ = a.minimum(part)
		fixed[i] = true
		room -= lengths[i]
	}
	for again := true; again; {
		again = false
		for i, part := range a.parts {
			minimum, _ := a.minimum(part)
			if fixed[i] || room*part.Share/shares >= minimum {
				continue
			}
			lengths[i], fixed[i], again = minimum, true, true
			room -= minimum
			shares -= part.Share
		}
	}
	for i, part := range a.parts {
		if !fixed[i] {
			lengths[i] = room * part.Share / shares
		}
	}
	switch {
	case a.down && room < 0:
		a.shorten(lengths, -room)
	case !a.down && room < -2:
		a.squeeze(lengths, -room)
	}
	return lengths
}

// shorten takes what is too much from the part of a column that scrolls, if there is one.
func (a *arrangement) shorten(lengths []float32, much float32) {
	for i, part := range a.parts {
		if _, scrolls := part.Object.(*container.Scroll); scrolls && part.Object.Visible() {
			lengths[i] = max(0, lengths[i]-much)
			return
		}
	}
}

// squeeze takes what is too much from the longest parts of a row, down to one
// length.
func (a *arrangement) squeeze(lengths []float32, much float32) {
	for much > 0.5 {
		longest, next, n := float32(0), float32(0), float32(0)
		for i, part := range a.parts {
			switch l := lengths[i]; {
			case !part.Object.Visible():
			case l > longest+0.1:
				longest, next, n = l, longest, 1
			case l > longest-0.1:
				n++
			default:
				next = max(next, l)
			}
		}
		if longest <= 0 {
			return
		}
		by := min(longest-next, much/n)
		for i := range lengths {
			if a.parts[i].Object.Visible() && lengths[i] > longest-0.1 {
				lengths[i] = max(0, lengths[i]-by)
			}
		}
		much -= by * n
	}
}

// Capped asks for no more than a width, whatever is in it: what has not got the room is made narrower.
func Capped(object fyne.CanvasObject, width float32) *fyne.Container {
	return container.New(capped(width), object)
}

type capped float32

// MinSize implements fyne.Layout.
func (c capped) MinSize(objects []fyne.CanvasObject) fyne.Size {
	size := objects[0].MinSize()
	return fyne.NewSize(min(size.Width, float32(c)), size.Height)
}

// Layout implements fyne.Layout.
func (c capped) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	objects[0].Resize(size)
	objects[0].Move(fyne.NewPos(0, 0))
}

// Away moves objects out of every window, however high; hiding them would refresh all others.
func Away(objects ...fyne.CanvasObject) {
	for _, object := range objects {
		object.Move(fyne.NewPos(0, -1e5))
	}
}

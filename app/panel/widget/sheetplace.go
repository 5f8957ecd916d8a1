package widget

import "fyne.io/fyne/v2"

// room is what is left of the window's size above the free lower edge.
func (o *Open) room(size fyne.Size) fyne.Size { return fyne.NewSize(size.Width, size.Height-o.free()) }

// openLayout places what is open, above the free lower edge.
type openLayout struct{ open *Open }

// MinSize implements fyne.Layout: what is open makes the window no larger.
func (openLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }

// Layout implements fyne.Layout.
func (l openLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	room := l.open.room(size)
	for _, object := range objects {
		if object == l.open.shield {
			continue
		}
		s, ok := object.(*Sheet)
		if !ok {
			object.Move(fyne.NewPos(0, 0))
			object.Resize(room)
			continue
		}
		size := s.size(room)
		s.Resize(size)
		s.Move(s.at(size, room))
	}
}

// size is how large a sheet is: a dialog is as wide as the part that it lies over, and no higher than from there
// to the lower edge.
func (s *Sheet) size(room fyne.Size) fyne.Size {
	if s.page == nil {
		room.Height -= s.open.top()
		return s.MinSize().Min(room)
	}
	width := max(s.MinSize().Width, SheetWidth+2*sheetEdge)
	if dock := s.open.dock; dock != nil {
		width = max(s.MinSize().Width, dock.Size().Width)
		room.Height -= s.open.dockTop()
	}
	width = min(width, room.Width)
	if s.fills {
		if dock := s.open.dock; dock != nil {
			room.Height = min(room.Height, dock.Size().Height)
		}
		return fyne.NewSize(width, room.Height)
	}
	return fyne.NewSize(width, min(s.page.heightAt(width), room.Height))
}

// at returns where a sheet of a size stands.
func (s *Sheet) at(size, room fyne.Size) fyne.Position {
	if dock := s.open.dock; s.page != nil && dock != nil {
		at := s.open.place(dock)
		right := at.X + dock.Size().Width
		return fyne.NewPos(max(0, min(right, room.Width)-size.Width), s.open.dockTop())
	}
	if s.beneath == nil {
		return fyne.NewPos(float32(int((room.Width-size.Width)/2)), float32(int((room.Height-size.Height)/2)))
	}
	at := s.open.place(s.beneath)
	y := at.Y + s.beneath.Size().Height + 3
	if y+size.Height > room.Height {
		y = min(at.Y-size.Height-3, room.Height-size.Height)
	}
	y = max(s.open.top(), y)
	return fyne.NewPos(max(0, min(at.X, room.Width-size.Width)), y)
}

// place is where an object of the window is in the layer.
func (o *Open) place(object fyne.CanvasObject) fyne.Position {
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject
	return at(object).Subtract(at(o.layer))
}

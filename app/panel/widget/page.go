package widget

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// SheetWidth is the width for which what is in a dialog is laid out: the least that the
// right-hand pane has, without the edges of the dialog. Where there is more, words make use of it.
const SheetWidth = 389

const (
	sheetEdge = 16 // at the sides, where the bar of a body that scrolls has its place too
	sheetGap  = 10 // between title, body and buttons, and above and below them
)

// page is what is in a dialog.
type page struct {
	object           *fyne.Container
	head, body, foot fyne.CanvasObject
	scroll           *container.Scroll
	focused          fyne.Focusable // at the last look
}

func newPage(title string, stops *Text, body fyne.CanvasObject, buttons []*Button) *page {
	heading := NewProse(title).Sized(HeadingText).Bold()
	p := &page{
		head: Row(12, Sharing(heading), Fixed(Column(0, Fixed(stops), Spring()))),
		body: Padded(body, sheetEdge, 2), // as much as a ring of what has the keyboard needs
		foot: rowOf(buttons),
	}
	p.scroll = NewVScroll(p.body)
	p.object = container.New(pageLayout{p}, p.head, p.scroll, p.foot)
	return p
}

// heightAt lays the parts out at a width, by which words wrap, and returns how high all of it is then.
func (p *page) heightAt(width float32) float32 {
	inner := width - 2*sheetEdge
	p.head.Resize(fyne.NewSize(inner, p.head.MinSize().Height))
	p.foot.Resize(fyne.NewSize(inner, p.foot.MinSize().Height))
	p.body.Resize(fyne.NewSize(width, p.body.MinSize().Height))
	return p.head.MinSize().Height + p.body.MinSize().Height + p.foot.MinSize().Height + 4*sheetGap
}

type pageLayout struct{ page *page }

// MinSize implements fyne.Layout: as wide as the widest part, as high as all of them at their last widths.
func (l pageLayout) MinSize([]fyne.CanvasObject) fyne.Size {
	p := l.page
	head, body, foot := p.head.MinSize(), p.body.MinSize(), p.foot.MinSize()
	return fyne.NewSize(max(head.Width+2*sheetEdge, body.Width, foot.Width+2*sheetEdge),
		head.Height+body.Height+foot.Height+4*sheetGap)
}

// Layout implements fyne.Layout: title and buttons stay where the body scrolls.
func (l pageLayout) Layout(_ []fyne.CanvasObject, size fyne.Size) {
	p := l.page
	inner := size.Width - 2*sheetEdge
	put := func(o fyne.CanvasObject, x, y, width, height float32) {
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(width, height))
	}
	head, foot := p.head.MinSize().Height, p.foot.MinSize().Height
	put(p.head, sheetEdge, sheetGap, inner, head)
	put(p.foot, sheetEdge, size.Height-sheetGap-foot, inner, foot)
	put(p.scroll, 0, head+2*sheetGap, size.Width, size.Height-head-foot-4*sheetGap)
	p.scroll.Refresh()
}

// fit lays out again a dialog in which something has become higher or lower, and scrolls to
// what has got the keyboard since.
func (o *Open) fit() {
	for _, s := range o.sheets {
		if s.page != nil && s.size(o.room(o.layer.Size())) != s.Size() {
			o.layer.Layout.Layout(o.layer.Objects, o.layer.Size())
			break
		}
	}
	if n := len(o.sheets); n > 0 && o.sheets[n-1].page != nil {
		o.sheets[n-1].page.follow(o.canvas.Focused())
	}
}

// follow scrolls once to what has got the keyboard.
func (p *page) follow(focused fyne.Focusable) {
	if focused == p.focused {
		return
	}
	p.focused = focused
	Walk(p.body, func(object fyne.CanvasObject) {
		if has, is := object.(fyne.Focusable); is && has == focused {
			at := fyne.CurrentApp().Driver().AbsolutePositionForObject
			top := at(object).Y - at(p.body).Y
			bringIntoView(p.scroll, top, top+object.Size().Height)
		}
	})
}

// ScrollUnder scrolls the dialog that an object is a part of, where its body has no room for all, and says whether it
// does.
func (o *Open) ScrollUnder(part fyne.CanvasObject, by *fyne.ScrollEvent) bool {
	for _, s := range o.sheets {
		within := false
		if s.page != nil && s.page.body.MinSize().Height > s.page.scroll.Size().Height {
			Walk(s.page.body, func(object fyne.CanvasObject) { within = within || object == part })
		}
		if within {
			s.page.scroll.Scrolled(by)
			return true
		}
	}
	return false
}

// Scroll scrolls the dialog that was opened last by parts of what is seen of its body.
func (o *Open) Scroll(parts float32) {
	if n := len(o.sheets); n > 0 && o.sheets[n-1].page != nil {
		scroll := o.sheets[n-1].page.scroll
		scroll.ScrollToOffset(scroll.Offset.AddXY(0, parts*scroll.Size().Height))
	}
}

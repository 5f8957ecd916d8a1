package widget

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/view"
)

// clicked is a window of three buttons beneath each other, with what is open over it, at a tick.
type clicked struct {
	t                      *testing.T
	window                 fyne.Window
	open                   *Open
	opener, beneath, apart *Button
	presses                map[string]int
	tick                   uint64
}

func openClicked(t *testing.T) *clicked {
	t.Helper()
	c := &clicked{t: t, presses: map[string]int{}}
	c.opener, c.beneath, c.apart = c.counted("opener"), c.counted("beneath"), c.counted("apart")
	body := Column(0, Fixed(c.opener), Part{Object: c.beneath, Share: 1}, Fixed(c.apart))
	c.window, _ = window(t, nil)
	c.open = NewOpen(c.window.Canvas(), func() float32 { return 0 })
	c.window.SetContent(container.NewStack(body, c.open.Object()))
	c.open.DockIn(body, body)
	c.pass(1)
	return c
}

// counted returns a button whose presses are counted by its name.
func (c *clicked) counted(name string) *Button {
	return NewButton(name, name, "", func() { c.presses[name]++ })
}

func (c *clicked) pass(ticks uint64) {
	c.tick += ticks
	c.open.Show(view.Now{Tick: c.tick})
}

// middle is where an object's middle is in the window.
func (c *clicked) middle(object fyne.CanvasObject) fyne.Position {
	size := object.Size()
	return fyne.CurrentApp().Driver().AbsolutePositionForObject(object).AddXY(size.Width/2, size.Height/2)
}

func (c *clicked) click(at fyne.Position) {
	test.MoveMouse(c.window.Canvas(), at)
	test.TapCanvas(c.window.Canvas(), at)
}

// doubleClick clicks twice, two ticks apart, on what opens or closes something; the second click must press nothing
// there, and one more after half a second presses what is there then, by name.
func (c *clicked) doubleClick(at fyne.Position, name string) {
	c.t.Helper()
	c.click(at)
	c.pass(2)
	c.click(at)
	if n := c.presses[name]; n != 0 {
		c.t.Errorf("%s is pressed %d times by a double click", name, n)
	}
	c.pass(SecondClickWithin)
	c.click(at)
	if n := c.presses[name]; n != 1 {
		c.t.Errorf("%s is pressed %d times half a second later", name, n)
	}
}

// sheetWith has a button open a sheet that a button of that name fills.
func (c *clicked) sheetWith(from *Button, name string) *Button {
	filling := c.counted(name)
	from.SetAct(func() {
		c.open.ShowSheet(name+"-sheet", name, Column(0, Part{Object: filling, Share: 1, Min: 350}),
			[]*Button{NewButton("Close", name+"-close", "", nil)}, nil)
	})
	return filling
}

// The second click of a double click on a line of a list presses nothing of what the list lay over. Beside it a click
// counts at once.
func TestASecondClickPressesNothingBeneath(t *testing.T) {
	c := openClicked(t)
	c.open.ShowItems("list", c.opener, []Item{{Words: "A line", Name: "line"}})
	var line fyne.CanvasObject
	for _, placed := range Inventory(c.open.Object()) {
		if placed.Name == "line" {
			line = placed.Object
		}
	}
	c.doubleClick(c.middle(line), "beneath")

	c.open.ShowItems("list", c.opener, []Item{{Words: "A line", Name: "line"}})
	c.click(c.middle(line))
	c.click(c.middle(c.apart))
	if c.open.Covers() || c.presses["apart"] != 1 {
		t.Errorf("the list is open: %v; beside it %d presses", c.open.Covers(), c.presses["apart"])
	}
}

// Nor does one on what opens a sheet press a button of the sheet, or one in a sheet answer the question that the first
// click opened over it.
func TestASecondClickPressesNothingJustOpened(t *testing.T) {
	c := openClicked(t)
	at := c.middle(c.beneath)
	inSheet := c.sheetWith(c.beneath, "in the sheet")
	c.doubleClick(at, "in the sheet")
	c.sheetWith(inSheet, "in the question")
	c.doubleClick(at, "in the question")
}

package widget

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/view"
)

// The second click of a double click on a line of a menu, or on a button that opens a sheet, presses nothing of what
// is seen there now; half a second later, or beside it, a click counts.
func TestASecondClickPressesNothingBeneath(t *testing.T) {
	var beneath, beside, sheet, question int
	opener := NewButton("Menu", "opener", "", nil)
	under := NewButton("Beneath", "beneath", "", func() { beneath++ })
	apart := NewButton("Beside", "beside", "", func() { beside++ })
	body := Column(0, Fixed(opener), Part{Object: under, Share: 1}, Fixed(apart))
	w, _ := window(t, nil)
	open := NewOpen(w.Canvas(), func() float32 { return 0 })
	w.SetContent(container.NewStack(body, open.Object()))
	open.DockIn(body, body)
	middle := func(object fyne.CanvasObject) fyne.Position {
		size := object.Size()
		return fyne.CurrentApp().Driver().AbsolutePositionForObject(object).AddXY(size.Width/2, size.Height/2)
	}
	tick := uint64(1)
	named := func(name string) fyne.CanvasObject {
		for _, placed := range Inventory(open.Object()) {
			if placed.Name == name {
				return placed.Object
			}
		}
		t.Fatalf("there is no %s", name)
		return nil
	}
	pass := func(ticks uint64) { tick += ticks; open.Show(view.Now{Tick: tick}) }

	pass(0)
	open.ShowItems("menu", opener, []Item{{Words: "A line", Name: "line"}})
	at := middle(named("line"))
	test.MoveMouse(w.Canvas(), at)
	test.TapCanvas(w.Canvas(), at)
	if open.Covers() {
		t.Fatal("the line closes no menu")
	}
	pass(2)
	test.TapCanvas(w.Canvas(), at)
	test.TapCanvas(w.Canvas(), middle(apart))
	if beneath != 0 || beside != 1 {
		t.Errorf("after a double click %d presses beneath, %d beside", beneath, beside)
	}
	pass(secondClickWithin)
	test.TapCanvas(w.Canvas(), at)
	if beneath != 1 {
		t.Errorf("half a second later %d presses beneath", beneath)
	}

	inSheet := NewButton("In the sheet", "in-sheet", "", func() { sheet++ })
	under.SetAct(func() {
		open.ShowSheet("sheet", "Sheet", Column(0, Part{Object: inSheet, Share: 1, Min: 350}),
			[]*Button{NewButton("Close", "close", "", nil)}, nil)
	})
	test.MoveMouse(w.Canvas(), at)
	test.TapCanvas(w.Canvas(), at)
	test.TapCanvas(w.Canvas(), at)
	if sheet != 0 {
		t.Error("a double click on what opens a sheet presses a button of the sheet")
	}
	pass(secondClickWithin)
	test.TapCanvas(w.Canvas(), at)
	if sheet != 1 {
		t.Errorf("half a second later the sheet's button is pressed %d times", sheet)
	}

	inSheet.SetAct(func() {
		over := NewButton("In the question", "in-question", "", func() { question++ })
		open.ShowSheet("question", "Question", Column(0, Part{Object: over, Share: 1, Min: 350}),
			[]*Button{NewButton("Close", "close-question", "", nil)}, nil)
	})
	test.MoveMouse(w.Canvas(), at)
	test.TapCanvas(w.Canvas(), at)
	test.TapCanvas(w.Canvas(), at)
	if question != 0 {
		t.Error("a double click in a sheet answers the question that the first click opened")
	}
	pass(secondClickWithin)
	test.TapCanvas(w.Canvas(), at)
	if question != 1 {
		t.Errorf("half a second later the question is answered %d times", question)
	}
}

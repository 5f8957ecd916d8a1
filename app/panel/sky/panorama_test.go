package sky

import (
	"bytes"
	"image"
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/desk"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
)

// place returns where axis angles lie in the plot.
func (r *rig) place(az, el float64) fyne.Position {
	plot := r.plot()
	return fyne.NewPos(float32(plot.X(deg(az))), float32(plot.Y(deg(el))))
}

func (r *rig) click(at fyne.Position) { test.TapAt(r.panorama, at) }

func TestClickShowsThenGoes(t *testing.T) {
	r := open(t, plotSize, nil)
	at := r.place(150, 30)
	r.click(at)
	r.none(t, "a click")
	if r.proposal.offer.Head != "azimuth 150.0°, elevation 30.0°" || !r.panorama.proposed.Visible() {
		t.Errorf("a click shows %+v", r.proposal.offer)
	}
	r.pass(againAfter - 1)
	r.click(at)
	r.none(t, "a double click")
	r.pass(1)
	r.click(at.AddXY(2, 1))
	r.one(t, "a second click", 150, 30)
	if r.proposal.by != nobody || r.panorama.proposed.Visible() {
		t.Error("what was sent is still proposed")
	}
}

func TestClickElsewhereShowsAnew(t *testing.T) {
	r := open(t, plotSize, nil)
	r.click(r.place(150, 30))
	r.pass(10)
	r.click(r.place(155, 30))
	r.none(t, "a click elsewhere")
	r.panorama.TypedKey(key(fyne.KeyReturn))
	r.one(t, "Enter", 155, 30)
}

func TestClickOnEachBranch(t *testing.T) {
	r := open(t, plotSize, nil)
	for _, az := range []float64{20, 380} {
		r.click(r.place(az, 70))
		r.pass(5)
		r.click(r.place(az, 70))
		r.one(t, "a click on this branch", az, 70)
	}
}

func TestWhatDropsAProposal(t *testing.T) {
	rows := []struct {
		name string
		drop func(r *rig)
	}{
		{"Esc", func(r *rig) { r.panorama.TypedKey(key(fyne.KeyEscape)) }},
		{"the focus is lost", func(r *rig) { r.window.Canvas().Unfocus() }},
		{"time", func(r *rig) { r.pass(proposalLives + 1) }},
	}
	for _, row := range rows {
		r := open(t, plotSize, nil)
		r.click(r.place(150, 30))
		r.pass(10)
		row.drop(r)
		r.panorama.TypedKey(key(fyne.KeyEnter))
		r.none(t, row.name)
		if r.panorama.bubble.ground.Visible() {
			t.Errorf("%s: it is still shown", row.name)
		}
	}
}

func TestClickWhereTheDishCannotGo(t *testing.T) {
	r := open(t, plotSize, nil)
	for name, at := range map[string]fyne.Position{"the cable's end": r.place(408, 30),
		"above the limit": r.place(150, 88), "the mast": r.place(204, 10)} {
		r.click(at)
		r.pass(5)
		r.click(at)
		r.none(t, name)
		if r.proposal.offer.Ready {
			t.Errorf("%s is offered: %+v", name, r.proposal.offer)
		}
	}
}

func TestClickOnABody(t *testing.T) {
	r := open(t, plotSize, func(s *desk.Status) { s.Activity = desk.Holding })
	hits := []struct {
		name    string
		az, el  float64
		dx, dy  float32
		want    desk.Order
		isPlace bool
	}{
		{"the Sun", 248.26, 25.76, 0, 0, desk.Choose{Body: desk.BodyChoice{Kind: desk.Sun}}, false},
		{"beside the Sun", 248.26, 25.76, 9, -5, desk.Choose{Body: desk.BodyChoice{Kind: desk.Sun}},
			false},
		{"not the Sun", 248.26, 25.76, 9, -9, desk.SlewTo{}, true},
		{"a source on the other branch", -46.6, 44.8, 0, 0,
			desk.Choose{Body: desk.BodyChoice{Kind: desk.Source, Name: "Cas A"}}, false},
		{"the target", 116.45, 40.68, 0, 0, desk.Track{On: true}, false},
	}
	for _, row := range hits {
		at := r.place(row.az, row.el).AddXY(row.dx, row.dy)
		r.click(at)
		r.none(t, row.name)
		r.pass(5)
		r.click(at)
		got := r.desk.Asked()
		if _, slew := stage.Only[desk.SlewTo](got); row.isPlace && !slew ||
			!row.isPlace && (len(got) != 1 || got[0] != row.want) {
			t.Errorf("%s: asks for %+v, want %+v", row.name, got, row.want)
		}
	}
}

// The words of a proposal keep up with the status.
func TestProposalFollowsTheStatus(t *testing.T) {
	r := open(t, plotSize, nil)
	r.click(r.place(150, 40.6))
	before := r.proposal.offer.Under
	r.change(func(s *desk.Status) { s.Axes[0].Position = deg(140) })
	if r.proposal.offer.Under == before {
		t.Errorf("nearer it still says %q", before)
	}
	r.change(func(s *desk.Status) { s.Lock = desk.Lock{Locked: true} })
	if r.proposal.offer.Ready {
		t.Error("it can be taken though the dish is locked out")
	}
}

// What is under the pointer is told in a corner, clear of the pointer, and moves nothing; the sky is shaded where
// asked.
func TestUnderThePointer(t *testing.T) {
	r := open(t, plotSize, nil)
	over := func(az, el float64) {
		r.panorama.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: r.place(az, el)}})
	}
	plain := r.ground(t).(*image.RGBA)
	over(380, 20)
	if got := r.panorama.reading.text.Text; got != "az 20.0°  el 20.0°  click to preview a slew" {
		t.Errorf("it reads %q", got)
	}
	right := r.panorama.reading.ground.Position().X
	over(385, 88)
	if r.panorama.reading.ground.Position().X >= right {
		t.Error("it lies under the pointer")
	}
	shading := &desk.Shading{LowestK: 20}
	for c := range shading.K {
		for row := range shading.K[c] {
			shading.K[c][row] = 20 + 80*float32(row)/float32(len(shading.K[c])-1)
		}
	}
	r.change(func(s *desk.Status) { s.Shading, s.Shaded = shading, true })
	over(380, 45)
	if got := r.panorama.reading.text.Text; got != "az 20.0°  el 45.0°  antenna 60 K  click to preview a slew" {
		t.Errorf("shaded it reads %q", got)
	}
	shaded := r.ground(t).(*image.RGBA)
	high, low := r.place(200, 80), r.place(200, 50)
	at := func(p *image.RGBA, q fyne.Position) uint8 { return p.RGBAAt(int(q.X)+3, int(q.Y)+3).G }
	if !(at(shaded, high) > at(shaded, low) && at(shaded, low) > at(plain, low)) {
		t.Errorf("brightness %d high, %d low, %d plain", at(shaded, high), at(shaded, low), at(plain, low))
	}
	r.panorama.MouseOut()
	if r.panorama.reading.text.Visible() {
		t.Error("it stays when the pointer has gone")
	}
	r.none(t, "the pointer")
}

// What doesn't move isn't drawn again.
func TestGroundIsKept(t *testing.T) {
	r := open(t, plotSize, nil)
	drawn, ground := 0, r.panorama.ground.Generator
	r.panorama.ground.Generator = func(w, h int) image.Image {
		drawn++
		return ground(w, h)
	}
	// again paints what lies still, and says whether the ground was drawn for it.
	again := func() bool {
		before := drawn
		r.panorama.lying.Picture.Generator(int(plotSize.Width), int(plotSize.Height))
		return drawn > before
	}
	again()
	r.pass(30)
	r.change(func(s *desk.Status) {
		s.Axes[0].Position, s.Axes[0].Setpoint = deg(180), deg(180)
		s.Target.Az, s.Bodies[0].Az = deg(117), deg(117)
	})
	if again() {
		t.Error("it is drawn anew though only the beam has moved")
	}
	r.change(func(s *desk.Status) { scene := *s.Scene; s.Scene = &scene })
	if !again() {
		t.Error("a new scene is not drawn")
	}
	fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(widget.Day()))
	r.panorama.Refresh() // as a real window does by itself
	if !again() {
		t.Error("a new palette is not drawn")
	}
}

// Words that are others, with the ground as it was, are painted.
func TestLetteringIsPainted(t *testing.T) {
	r := open(t, plotSize, nil)
	paint := func() []byte {
		picture := r.panorama.lying.Picture.Generator(int(plotSize.Width), int(plotSize.Height))
		return slices.Clone(picture.(*image.RGBA).Pix)
	}
	before := paint()
	if !bytes.Equal(paint(), before) {
		t.Fatal("it is another picture though nothing has changed")
	}
	r.change(func(s *desk.Status) {
		s.Bodies = slices.Clone(s.Bodies)
		s.Bodies[len(s.Bodies)-1].Name = "Another"
		s.Target.Name = "another" // they are arranged again
	})
	if bytes.Equal(paint(), before) {
		t.Error("a body of another name is named as before")
	}
}

func (r *rig) ground(t *testing.T) any {
	t.Helper()
	return r.panorama.drawGround(int(plotSize.Width), int(plotSize.Height))
}

func TestMarksStandOnWholeUnits(t *testing.T) {
	r := open(t, plotSize, nil)
	r.click(r.place(150.37, 33.3))
	whole := func(what string, at fyne.Position) {
		t.Helper()
		if at.X != float32(int(at.X)) || at.Y != float32(int(at.Y)) {
			t.Errorf("%s stands at %v", what, at)
		}
	}
	for _, mark := range r.panorama.symbol {
		whole("a mark", mark.raster.Position())
	}
	for _, object := range append(r.panorama.hair.cross(), r.panorama.hair.lines()...) {
		whole("the cross-hair", object.Position())
	}
	for _, text := range r.panorama.texts {
		whole("a word", text.Position())
	}
	whole("the want", r.panorama.setpoint.Position())
	whole("the bubble", r.panorama.bubble.ground.Position())
}

// No word lies on another or on a mark, whatever the size.
func TestWordsKeepApart(t *testing.T) {
	for _, size := range []fyne.Size{fyne.NewSize(827, 148), fyne.NewSize(845, 245), fyne.NewSize(895, 366),
		fyne.NewSize(1221, 475)} {
		r := open(t, size, nil)
		boxes := []box{}
		shown := map[string]bool{}
		for _, text := range r.panorama.texts {
			if text.Visible() {
				at, s := text.Position(), measured(label{words: text.Text, bold: text.TextStyle.Bold})
				boxes = append(boxes, box{at.X, at.Y, at.X + s.Width, at.Y + s.Height})
				shown[text.Text] = true
			}
		}
		for i, a := range boxes {
			if a.x0 < 0 || a.y0 < -1 || a.x1 > size.Width || a.y1 > size.Height+1 {
				t.Errorf("%v: a word at %+v", size, a)
			}
			for _, b := range boxes[i+1:] {
				if a.meets(b) {
					t.Errorf("%v: words at %+v and %+v", size, a, b)
				}
			}
			for _, place := range r.panorama.places {
				if a.meets(around(place, 7)) {
					t.Errorf("%v: a word at %+v on the mark at %v", size, a, place)
				}
			}
		}
		for _, name := range []string{"Moon", "Sun", "Cas A", "Tau A", "Vir A", "mast", "closed: village", "14", "22"} {
			if !shown[name] {
				t.Errorf("%v: %s is not named", size, name)
			}
		}
	}
}

func TestWayOfASlew(t *testing.T) {
	dots := func(r *rig) int { return r.panorama.course.dots() }
	r := open(t, plotSize, nil)
	if dots(r) != 0 || !r.panorama.setpoint.Visible() {
		t.Errorf("tracking shows %d dots, the want %v", dots(r), r.panorama.setpoint.Visible())
	}
	r.change(func(s *desk.Status) { s.Activity, s.Axes[0].Setpoint = desk.Slewing, deg(250) })
	far := dots(r)
	r.change(func(s *desk.Status) { s.Axes[0].Position = deg(220) })
	if near := dots(r); far < 15 || near >= far || near < 2 {
		t.Errorf("%d dots on the way, later %d", far, near)
	}
	r.change(func(s *desk.Status) { s.Link.State = desk.LinkLost })
	if dots(r) != 0 || r.panorama.setpoint.Visible() || !r.panorama.old {
		t.Error("without contact a want is shown as if it were known")
	}
}

func TestAlongWay(t *testing.T) {
	way := []fyne.Position{fyne.NewPos(0, 0), fyne.NewPos(60, 0), fyne.NewPos(60, 60)}
	points := alongWay(way)
	shorter := alongWay([]fyne.Position{fyne.NewPos(30, 0), way[1], way[2]})
	if len(points) < len(shorter) || len(shorter) == 0 {
		t.Fatalf("%d and %d points", len(points), len(shorter))
	}
	for i, point := range shorter {
		if distance(point, points[i]) > 0.01 {
			t.Errorf("point %d moved from %v to %v", i, points[i], point)
		}
	}
}

func BenchmarkTickWhileTracking(b *testing.B) {
	r := open(b, fyne.NewSize(895, 366), nil)
	for b.Loop() {
		r.pass(1)
	}
}

func BenchmarkTickWhileSlewing(b *testing.B) {
	r := open(b, fyne.NewSize(895, 366), nil)
	status := *r.desk.Status()
	az := 0.0
	for b.Loop() {
		az += 0.15
		status.Axes[0].Position, status.Axes[0].Setpoint = deg(az), deg(400)
		if az > 390 {
			az = 0
		}
		r.desk.Set(status)
		r.pass(1)
	}
}

func BenchmarkGround(b *testing.B) {
	r := open(b, fyne.NewSize(895, 366), nil)
	for b.Loop() {
		r.panorama.waysSeen++
		r.panorama.drawGround(895, 366)
	}
}

func TestGroundPicture(t *testing.T) {
	r := open(t, fyne.NewSize(478, 180), nil)
	for _, palette := range widget.Palettes() {
		fyne.CurrentApp().Settings().SetTheme(widget.NewTheme(palette))
		test.AssertImageMatches(t, "ground-"+palette.Name+".png", r.panorama.drawGround(478, 180).(*image.RGBA))
	}
}

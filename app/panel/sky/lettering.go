package sky

import (
	"image/color"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// lettering is the words in the plot. They are arranged again only when what
// they stand beside has moved by a pixel.
type lettering struct {
	texts  []*canvas.Text
	plates []*canvas.Rectangle // behind words that lie on a line
	tones  []view.Tone
	beside []fyne.Position
	key    letteringKey
}

// letteringKey is what the words depend on, but for the places of the marks.
type letteringKey struct {
	ways   uint64
	scene  *desk.Scene
	size   fyne.Size
	target string
	beam   fyne.Position // in coarse steps
}

// letter arranges the words when something they depend on has changed.
func (p *panorama) letter(now view.Now, plot view.SkyPlot) {
	l := &p.lettering
	beam := p.at(plot, view.Standing(now))
	const coarse = 6
	step := func(v float32) float32 { return float32(int(v/coarse) * coarse) }
	key := letteringKey{p.waysSeen, now.Scene, p.Size(), now.Target.Name, fyne.NewPos(step(beam.X), step(beam.Y))}
	if key == l.key && slices.Equal(p.places, l.beside) {
		return
	}
	l.key, l.beside = key, append(l.beside[:0], p.places...)
	labels := p.labels(plot)
	taken := make([]box, 0, len(p.places)+64)
	const arm, thick = crossGap + crossStroke, 4
	taken = append(taken, box{beam.X - arm, beam.Y - thick, beam.X + arm, beam.Y + thick},
		box{beam.X - thick, beam.Y - arm, beam.X + thick, beam.Y + arm})
	for _, place := range p.places {
		taken = append(taken, around(place, 8))
	}
	places := arrange(labels, taken, p.lines(plot), p.Size(), measured)
	for i, label := range labels {
		if i == len(l.texts) {
			text := canvas.NewText("", color.Transparent)
			text.TextSize = widget.SmallText
			l.texts, l.tones = append(l.texts, text), append(l.tones, view.Plain)
			l.plates = append(l.plates, canvas.NewRectangle(plateInk()))
		}
		text, plate, place := l.texts[i], l.plates[i], places[i]
		setVisible(text, place.found)
		setVisible(plate, place.onLine)
		if !place.found {
			continue
		}
		at := chart.Snap(p, float64(place.box.x0), float64(place.box.y0))
		text.Move(at)
		plate.Move(at)
		plate.Resize(fyne.NewSize(place.box.x1-place.box.x0, place.box.y1-place.box.y0+1))
		ink := widget.Current().Tint(label.tone)
		text.Text, text.TextStyle.Bold, text.Color = label.words, label.bold, ink
		l.tones[i] = label.tone
	}
	for i := len(labels); i < len(l.texts); i++ {
		setVisible(l.texts[i], false)
		setVisible(l.plates[i], false)
	}
	p.lying.Hold(append([]fyne.CanvasObject{p.ground}, l.objects()...)...)
}

// objects is what is drawn of the words.
func (l *lettering) objects() (all []fyne.CanvasObject) {
	for i, text := range l.texts {
		all = append(all, l.plates[i], text)
	}
	return all
}

// lines returns boxes along the ways, of which words keep clear.
func (p *panorama) lines(plot view.SkyPlot) []box {
	var boxes []box
	for _, way := range p.ways {
		for _, turns := range append([]int{0}, way.Others...) {
			var before fyne.Position
			for i, point := range way.Points {
				x, y := plot.X(point.Az+unit.AngleFromDeg(360*float64(turns))), plot.Y(point.El)
				at := fyne.NewPos(float32(x), float32(y))
				const half, apart = 1.5, 4
				if i > 0 && (p.holds(before) || p.holds(at)) {
					for d := distance(before, at); d > apart; d -= apart {
						part := (d - apart) / distance(before, at)
						boxes = append(boxes, around(
							fyne.NewPos(before.X+(at.X-before.X)*part, before.Y+(at.Y-before.Y)*part), half))
					}
				}
				boxes = append(boxes, around(at, half))
				before = at
			}
		}
	}
	return boxes
}

func (l *lettering) tint() {
	for i, text := range l.texts {
		text.Color = widget.Current().Tint(l.tones[i])
		l.plates[i].FillColor = plateInk()
	}
}

func plateInk() color.NRGBA { return widget.Fade(widget.Current().Well, 0.75) }

func measured(l label) fyne.Size {
	size := fyne.MeasureText(l.words, widget.SmallText, fyne.TextStyle{Bold: l.bold})
	return fyne.NewSize(size.Width, size.Height-2) // lines may stand close
}

// labels returns all words of the plot, those that matter most first.
func (p *panorama) labels(plot view.SkyPlot) []label {
	var labels, faint []label
	for i := len(p.marks) - 1; i >= 0; i-- { // the target is the last mark
		mark := p.marks[i]
		l := label{
			words: widget.Printable(mark.Name), tone: view.Faint, at: p.lettering.beside[i], clear: 11,
			sides: []side{rightOf, leftOf, above, below, aboveRight, aboveLeft, belowRight, belowLeft},
		}
		switch {
		case !mark.Chosen:
			l.tone = view.Old
			faint = append(faint, l)
			continue
		case mark.Target:
			// The lines of the cross-hair go right and down from here.
			l.bold, l.tone, l.clear = true, bodyTone(mark.Kind), 16
			l.sides = []side{aboveRight, aboveLeft, belowLeft, belowRight, above, leftOf, rightOf}
		}
		if mark.Kind == desk.Radec { // long: the moment that Plan shows, on a way as often as not
			l.far = []float32{8, 16, 24, 40, 56}
		}
		labels = append(labels, l)
	}
	labels = append(labels, p.areaLabels(plot)...)
	for _, way := range p.ways {
		if way.Target {
			labels = append(labels, p.hourLabels(plot, way)...)
		}
	}
	return append(labels, faint...)
}

func bodyTone(kind desk.BodyKind) view.Tone {
	switch kind {
	case desk.Moon:
		return view.MoonTone
	case desk.Sun:
		return view.SunTone
	}
	return view.Plain
}

// areaLabels names structures and closed sectors, on every branch.
func (p *panorama) areaLabels(plot view.SkyPlot) []label {
	scene := p.pane.now.Scene
	var labels []label
	name := func(words string, from, to, top unit.Angle) {
		width := (to - from).Mod1()
		for _, begin := range branches(plot, from, width) {
			at := p.at(plot, desk.AxisAngles{Az: begin + width/2, El: top})
			labels = append(labels, label{words: words, tone: view.Faint, at: at, clear: 2,
				sides: []side{above, aboveRight, aboveLeft, below}})
		}
	}
	for _, structure := range scene.Structures {
		name(structure.Name, structure.From, structure.To, structure.Min)
	}
	for _, sector := range scene.Closed {
		name("closed: "+widget.Printable(sector.Name), sector.From, sector.To, sector.ToEl)
	}
	return labels
}

// hourLabels names whole hours, every second or third where they are close
// together. They stand outside the way, away from its middle.
func (p *panorama) hourLabels(plot view.SkyPlot, way view.Way) []label {
	hours := way.Hours()
	if len(hours) < 2 {
		return nil
	}
	first, last := hours[0], hours[len(hours)-1]
	across := plot.X(last.Az) - plot.X(first.Az)
	every := 1
	for _, step := range []int{1, 2, 3, 4, 6} {
		every = step
		const apart = 34
		if across/float64(len(hours)-1)*float64(step) >= apart {
			break
		}
	}
	var labels []label
	for i, hour := range hours {
		if hourOf(hour.Words)%every != 0 {
			continue
		}
		l := label{words: hour.Words, tone: view.Faint, clear: 8,
			at: p.at(plot, desk.AxisAngles{Az: hour.Az, El: hour.El})}
		rising := i+1 < len(hours) && hours[i+1].El > hour.El || i+1 == len(hours) && hours[i-1].El < hour.El
		forwards := across >= 0
		switch {
		case rising == forwards:
			l.sides = []side{aboveLeft, above, leftOf, aboveRight, belowRight}
		default:
			l.sides = []side{aboveRight, above, rightOf, aboveLeft, belowLeft}
		}
		labels = append(labels, l)
	}
	return labels
}

// hourOf returns the hour of its two digits.
func hourOf(words string) int { return int(words[0]-'0')*10 + int(words[1]-'0') }

package commissioning

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/software"

	"beamhelm/app/commission"
	"beamhelm/app/desk"
	"beamhelm/app/panel/chart"
	"beamhelm/app/panel/widget"
)

// plot charts the speed of each axis against the drive, a point for each push
// and the line that is laid through them.
type plot struct {
	rasters [2]*canvas.Raster
	words   [2]*widget.Text
	object  fyne.CanvasObject
	points  [2][]chart.Point // drive 0 to 1, degrees a second
	figures [2]commission.Figures
	top     float64   // of the scale, degrees a second
	newest  time.Time // the push drawn last
	has     bool
}

func newPlot() *plot {
	p := &plot{}
	var sides []widget.Part
	for axis, name := range [2]string{"Azimuth", "Elevation"} {
		p.rasters[axis] = canvas.NewRaster(func(w, h int) image.Image { return p.draw(axis, w, h) })
		p.words[axis] = widget.NewLabel("").Elastic()
		sides = append(sides, widget.Sharing(widget.Column(2, widget.Fixed(widget.NewLabel(name+": °/s against drive")),
			widget.Part{Object: p.rasters[axis], Share: 1, Least: 110}, widget.Fixed(p.words[axis]))))
	}
	p.object = widget.Row(8, sides...)
	return p
}

func (p *plot) show(c *desk.Commissioning) {
	newest := time.Time{}
	if n := len(c.State.Pushes); n > 0 {
		newest = c.State.Pushes[n-1].At
	}
	is := [2]commission.Figures{c.State.Figures(c.Config, 0), c.State.Figures(c.Config, 1)}
	if p.has && newest.Equal(p.newest) && is == p.figures {
		return
	}
	p.has, p.newest, p.figures, p.top = true, newest, is, 0.1
	for axis := range p.points {
		f := p.figures[axis]
		p.points[axis] = nil
		for _, push := range c.State.Pushes {
			if push.Axis == axis && push.Steady {
				speed := math.Abs(push.PerS * f.DegPerCount)
				p.points[axis] = append(p.points[axis], chart.Point{X: math.Abs(push.Drive), Y: speed})
				p.top = max(p.top, 1.1*speed)
			}
		}
		p.top = max(p.top, 1.1*f.Top)
		words := "no steady push yet"
		if f.HasTop {
			words = fmt.Sprintf("%.2f°/s at full drive, from %.0f %%", f.Top, 100*f.Dead)
		}
		p.words[axis].SetWords(words)
	}
	for _, r := range p.rasters {
		r.Refresh()
	}
}

func (p *plot) draw(axis, w, h int) image.Image {
	ink := widget.Current()
	d := chart.New(w, h)
	d.FillAll(ink.Well)
	if w < 8 || h < 8 {
		return d.Picture()
	}
	unit := chart.PerUnit(w, p.rasters[axis])
	x := func(drive float64) float64 { return drive * (float64(w) - 4*unit) }
	y := func(speed float64) float64 { return float64(h) - 2*unit - speed/p.top*(float64(h)-4*unit) }
	for _, quarter := range []float64{0.25, 0.5, 0.75} {
		d.Line([]chart.Point{{X: x(quarter), Y: 0}, {X: x(quarter), Y: float64(h)}}, unit/2)
	}
	d.Paint(ink.Line)
	if f := p.figures[axis]; f.HasTop {
		d.Line([]chart.Point{{X: x(f.Dead), Y: y(0)}, {X: x(1), Y: y(f.Top)}}, 1.3*unit)
		d.Paint(ink.Want)
	}
	for _, point := range p.points[axis] {
		d.Disc(chart.Point{X: x(point.X), Y: y(point.Y)}, 2.5*unit)
	}
	d.Paint(ink.Is)
	return d.Picture()
}

// sheet is the report as a picture: its words but for the list of pushes, and the charts.
func sheet(c *desk.Commissioning) image.Image {
	words, _, _ := strings.Cut(c.State.Text(c.Config, c.Now), "\nPushes\n")
	var parts []widget.Part
	for i, line := range strings.Split(words, "\n") {
		text := widget.NewText(line).Small()
		if i == 0 {
			text = widget.NewText(line).Bold()
		}
		indent := float32(len(line)-len(strings.TrimLeft(line, " "))) * 5
		text.SetWords(strings.TrimSpace(line))
		parts = append(parts, widget.Fixed(widget.Row(0, widget.Space(indent), widget.Fixed(text))))
	}
	charts := newPlot()
	charts.show(c)
	parts = append(parts, widget.Part{Object: charts.object, Least: 200})
	body := widget.Padded(widget.Column(3, parts...), 20, 20)
	ground := widget.NewGround(func(p *widget.Palette) color.NRGBA { return p.Background }, 0)
	whole := container.NewStack(ground, body)
	whole.Resize(body.MinSize())
	return software.Render(whole, fyne.CurrentApp().Settings().Theme())
}

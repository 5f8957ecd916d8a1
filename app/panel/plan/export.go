package plan

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"github.com/adrg/xdg"

	"beamhelm/app/diary"
	"beamhelm/app/panel/widget"
	"beamhelm/app/settings/replace"
	"beamhelm/app/view"
)

// openExport asks where to write the month, and as what.
func (p *Pane) openExport() {
	plan := p.now.Plan
	if plan == nil {
		return
	}
	name := "beamhelm-" + view.Name(plan.Target) + "-" + plan.Month.Format("2006-01")
	path := widget.NewEntry("plan-path-entry", "/home/…/passes.csv")
	path.SetText(filepath.Join(xdg.Home, name+".csv"))
	wrong := widget.NewText(" ").Small().Named("plan-wrong")
	picture := p.picture()
	var shut func()
	write := func(ending string, text func() ([]byte, error)) func() {
		return func() {
			target := strings.TrimSuffix(strings.TrimSpace(path.Text), filepath.Ext(strings.TrimSpace(path.Text))) + ending
			body, err := text()
			if err == nil {
				err = replace.File(target, body)
			}
			if err != nil {
				wrong.Set(fmt.Sprintf("Not written: %v", err), view.Attention)
				return
			}
			shut()
			p.told.SetWords("written: " + target)
		}
	}
	table := write(".csv", func() ([]byte, error) { return diary.CSV(plan), nil })
	path.OnSubmitted = func(string) { table() }
	sheet := p.with.Open.ShowSheet("plan-dialog", "The month's passes in a file", widget.Column(6,
		widget.Fixed(widget.NewLabel("Path; its ending follows what is written. A file that is there is replaced.")),
		widget.Part{Object: path, Least: 30},
		widget.Fixed(widget.Row(0, widget.Space(460))),
		widget.Fixed(wrong),
		widget.Fixed(widget.Row(8,
			widget.Fixed(widget.NewButton("Cancel", "plan-cancel", "Close without writing (Esc also stops the dish)", func() { shut() })), widget.Spring(),
			widget.Fixed(widget.NewButton("Table, CSV", "plan-csv", "The passes as a table, RFC 4180 (Enter)", table)),
			widget.Fixed(widget.NewButton("Calendar", "plan-calendar", "The passes as a calendar, RFC 5545, each with an alarm half an hour before", write(".ics", func() ([]byte, error) {
				return diary.Calendar(plan, p.now.Station, p.now.At), nil
			}))),
			widget.Fixed(widget.NewButton("Picture, PNG", "plan-png", "The pane as a picture", write(".png", func() ([]byte, error) {
				var out bytes.Buffer
				err := png.Encode(&out, picture)
				return out.Bytes(), err
			})))))), path)
	shut = sheet.Close
}

// picture is the pane as it looks now.
func (p *Pane) picture() image.Image {
	driver := fyne.CurrentApp().Driver()
	c := driver.CanvasForObject(p.object)
	if c == nil {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	whole := c.Capture()
	at, size := driver.AbsolutePositionForObject(p.object), p.object.Size()
	pixels := func(v float32) int { return int(v * c.Scale()) }
	part := image.Rect(pixels(at.X), pixels(at.Y), pixels(at.X+size.Width), pixels(at.Y+size.Height)).Intersect(whole.Bounds())
	out := image.NewRGBA(image.Rect(0, 0, part.Dx(), part.Dy()))
	draw.Draw(out, out.Bounds(), whole, part.Min, draw.Src)
	return out
}

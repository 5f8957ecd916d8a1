// Package save asks where to write what a pane shows, and as what.
package save

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"path/filepath"
	"strings"

	"github.com/adrg/xdg"

	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Form is one form in which it can be written.
type Form struct {
	Words, Name, Tip string
	// Ending of the file's name, with its dot.
	Ending string
	// Body is called beside the window's goroutine: it must read nothing that changes.
	Body func() ([]byte, error)
}

// PNG is the form of a picture that has been taken already.
func PNG(name string, picture image.Image) Form {
	return Form{"Picture, PNG", name, "The pane as a picture", ".png", func() ([]byte, error) {
		var out bytes.Buffer
		err := png.Encode(&out, picture)
		return out.Bytes(), err
	}}
}

// Ask opens the sheet. pane names its controls, file the file in the user's own
// folder without an ending; told hears where it was written. Enter writes the first form.
func Ask(with widget.Context, pane, title, file string, forms []Form, told func(string)) {
	path := widget.NewEntry(pane+"-path-entry", "/home/…/"+file+forms[0].Ending)
	path.SetText(filepath.Join(xdg.Home, file+forms[0].Ending))
	wrong := widget.NewProse("").Small().Named(pane + "-wrong")
	w := &writing{path: path, wrong: wrong, told: told}
	path.OnSubmitted = func(string) { w.write(forms[0]) }
	path.OnChanged = func(string) {
		w.over = ""
		wrong.Set("", view.Faint) // it was said of another file
	}
	buttons := []*widget.Button{widget.NewButton("Cancel", pane+"-cancel", "Close without writing", nil)}
	for _, f := range forms {
		b := widget.NewButton(f.Words, f.Name, f.Tip, func() { w.write(f) })
		w.buttons = append(w.buttons, b)
		buttons = append(buttons, b)
	}
	w.job.Mark = w.busy
	sheet := with.Open.ShowSheet(pane+"-dialog", title, widget.Column(6,
		widget.Fixed(widget.NewNote("Path; its ending follows what is written")),
		widget.Part{Object: path, Min: 30},
		widget.Fixed(wrong)), buttons, path)
	w.shut = sheet.Close
	sheet.OnClosed(w.job.Cancel)
}

// writing is the sheet at work.
type writing struct {
	path    *widget.Entry
	wrong   *widget.Prose
	buttons []*widget.Button
	told    func(string)
	shut    func()
	job     offwindow.Job
	over    string // the file that may be replaced: asked for a second time
}

func (w *writing) busy(busy bool) {
	for _, b := range w.buttons {
		b.SetEnabled(!busy)
	}
	if busy {
		w.wrong.Set("Writing…", view.Faint)
	}
}

// write writes a form beside the window's goroutine.
func (w *writing) write(f Form) {
	typed := strings.TrimSpace(w.path.Text)
	target := strings.TrimSuffix(typed, filepath.Ext(typed)) + f.Ending
	over := w.over == target
	offwindow.Do(&w.job, offwindow.Usual, func(ctx offwindow.Context) (struct{}, error) {
		body, err := f.Body()
		if err == nil {
			err = offwindow.Write(ctx, target, body, over)
		}
		return struct{}{}, err
	}, func(_ struct{}, err error) {
		switch {
		case errors.Is(err, offwindow.ErrExists):
			w.over = target
			w.wrong.Set("There is such a file already: the same button again replaces it", view.Attention)
		case err != nil:
			w.wrong.Set(offwindow.Unwritten(err), view.Attention)
		default:
			w.shut()
			w.told("written: " + target)
		}
	})
}

// Package save asks where to write what a pane shows, and as what.
package save

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"path/filepath"
	"strings"

	"github.com/adrg/xdg"

	"beamhelm/app/panel/widget"
	"beamhelm/app/settings/replace"
	"beamhelm/app/view"
)

// Form is one form in which it can be written.
type Form struct {
	Words, Name, Tip string
	// Ending of the file's name, with its dot.
	Ending string
	Body   func() ([]byte, error)
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
	wrong := widget.NewText(" ").Small().Named(pane + "-wrong")
	var shut func()
	write := func(f Form) func() {
		return func() {
			typed := strings.TrimSpace(path.Text)
			target := strings.TrimSuffix(typed, filepath.Ext(typed)) + f.Ending
			body, err := f.Body()
			if err == nil {
				err = replace.File(target, body)
			}
			if err != nil {
				wrong.Set(fmt.Sprintf("Not written: %v", err), view.Attention)
				return
			}
			shut()
			told("written: " + target)
		}
	}
	path.OnSubmitted = func(string) { write(forms[0])() }
	buttons := []widget.Part{
		widget.Fixed(widget.NewButton("Cancel", pane+"-cancel", "Close without writing (Esc also stops the dish)", func() { shut() })), widget.Spring(),
	}
	for _, f := range forms {
		buttons = append(buttons, widget.Fixed(widget.NewButton(f.Words, f.Name, f.Tip, write(f))))
	}
	sheet := with.Open.ShowSheet(pane+"-dialog", title, widget.Column(6,
		widget.Fixed(widget.NewLabel("Path; its ending follows what is written. A file that is there is replaced.")),
		widget.Part{Object: path, Least: 30},
		widget.Fixed(widget.Row(0, widget.Space(460))),
		widget.Fixed(wrong),
		widget.Fixed(widget.Row(8, buttons...))), path)
	shut = sheet.Close
}

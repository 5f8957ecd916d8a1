// Package beamhelm holds what the program knows about itself: its name,
// version and icon, embedded from FyneApp.toml and assets/icons so that a
// built binary has them wherever it stands.
package beamhelm

import (
	_ "embed"
	"fmt"

	"fyne.io/fyne/v2"
	"github.com/pelletier/go-toml/v2"
)

//go:embed FyneApp.toml
var details []byte

//go:embed assets/icons/beamhelm-512.png
var icon []byte

// Metadata returns the program's name, version and icon, to be given to
// app.SetMetadata before app.New. It panics when FyneApp.toml, which is part of
// the program, can't be read.
func Metadata() fyne.AppMetadata {
	var file struct {
		Details struct {
			Name, ID, Version string
			Build             int
		}
	}
	if err := toml.Unmarshal(details, &file); err != nil {
		panic(fmt.Sprintf("reading the embedded FyneApp.toml: %v", err))
	}
	return fyne.AppMetadata{
		ID:      file.Details.ID,
		Name:    file.Details.Name,
		Version: file.Details.Version,
		Build:   file.Details.Build,
		Icon:    fyne.NewStaticResource("beamhelm.png", icon),
		// All access to the window is on Fyne's own goroutine already.
		Migrations: map[string]bool{"fyneDo": true},
	}
}

package panel

import (
	"beamhelm/app/panel/beam"
	"beamhelm/app/panel/noise"
	"beamhelm/app/panel/sky"
	"beamhelm/app/panel/widget"
)

// leftPanes returns the panorama, the beam view and the noise strip.
func leftPanes(with widget.Context) (panorama, beamView widget.Pane, strip *noise.Pane) {
	return sky.New(with), beam.New(with), noise.New(with)
}

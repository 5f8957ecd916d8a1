//go:build !cgo

package soundcard

import (
	"errors"

	"beamhelm/app/audio"
)

// System is no sound system: this build has none.
func System() audio.System { return system{} }

type system struct{}

var errBuild = errors.New("no sound in this build: it was made without a C compiler")

// Inputs implements audio.System.
func (system) Inputs() ([]audio.Device, error) { return nil, errBuild }

// Outputs implements audio.System.
func (system) Outputs() ([]audio.Device, error) { return nil, errBuild }

// Capture implements audio.System.
func (system) Capture(string, func([]float32)) (audio.Stream, error) { return nil, errBuild }

// Play implements audio.System.
func (system) Play(string, func([]float32)) (audio.Stream, error) { return nil, errBuild }

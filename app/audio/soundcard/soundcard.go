//go:build cgo

package soundcard

import (
	"fmt"
	"path/filepath"
	"runtime"
	"strings"
	"unsafe"

	"github.com/gen2brain/malgo"

	"beamhelm/app/audio"
)

// System is the computer's sound system.
func System() audio.System { return system{} }

type system struct{}

// backends are what this system may have, in the order in which they are tried.
// Each is asked alone: asked for all, the library falls to one that hears
// nothing, and on Linux to one that complains at length where there is no card.
func backends() []malgo.Backend {
	switch runtime.GOOS {
	case "windows":
		return []malgo.Backend{malgo.BackendWasapi, malgo.BackendDsound, malgo.BackendWinmm}
	case "darwin":
		return []malgo.Backend{malgo.BackendCoreaudio}
	case "linux":
		if cards, _ := filepath.Glob("/dev/snd/pcm*"); len(cards) > 0 {
			return []malgo.Backend{malgo.BackendPulseaudio, malgo.BackendAlsa}
		}
		return []malgo.Backend{malgo.BackendPulseaudio}
	}
	return []malgo.Backend{malgo.BackendPulseaudio, malgo.BackendSndio, malgo.BackendAudio4, malgo.BackendOss}
}

// connection is a connection to the sound system.
type connection struct {
	context *malgo.AllocatedContext
	backend malgo.Backend
}

func connect() (connection, error) {
	for _, b := range backends() {
		if b == malgo.BackendPulseaudio && !serverAnswers() {
			continue
		}
		if c, err := malgo.InitContext([]malgo.Backend{b}, malgo.ContextConfig{}, nil); err == nil {
			return connection{c, b}, nil
		}
	}
	return connection{}, audio.ErrNone
}

func (c connection) close() {
	_ = c.context.Uninit() // nothing is left to be done where it fails
	c.context.Free()
}

// id is an ID as text: the device's own name where the sound system has one.
func (c connection) id(d malgo.DeviceID) string {
	switch c.backend {
	case malgo.BackendPulseaudio, malgo.BackendAlsa, malgo.BackendCoreaudio, malgo.BackendSndio, malgo.BackendAudio4,
		malgo.BackendOss:
		text, _, _ := strings.Cut(string(d[:]), "\x00")
		return text
	}
	return d.String()
}

// devices of a kind, as malgo knows them.
func (c connection) devices(kind malgo.DeviceType) ([]malgo.DeviceInfo, error) {
	all, err := c.context.Devices(kind)
	if err != nil {
		return nil, fmt.Errorf("list the devices: %w", err)
	}
	kept := all[:0]
	for _, d := range all {
		if c.backend != malgo.BackendAlsa || c.id(d.ID) != "null" { // hears nothing and plays nothing
			kept = append(kept, d)
		}
	}
	return kept, nil
}

func devices(kind malgo.DeviceType) (found []audio.Device, err error) {
	c, err := connect()
	if err != nil {
		return nil, err
	}
	defer c.close()
	all, err := c.devices(kind)
	for _, d := range all {
		id := c.id(d.ID)
		monitor := kind == malgo.Capture && c.backend == malgo.BackendPulseaudio && strings.HasSuffix(id, ".monitor")
		found = append(found, audio.Device{ID: id, Name: d.Name(), Monitor: monitor})
	}
	return found, err
}

// Inputs implements audio.System.
func (system) Inputs() ([]audio.Device, error) { return devices(malgo.Capture) }

// Outputs implements audio.System.
func (system) Outputs() ([]audio.Device, error) { return devices(malgo.Playback) }

// Capture implements audio.System.
func (system) Capture(id string, got func([]float32)) (audio.Stream, error) {
	config := malgo.DefaultDeviceConfig(malgo.Capture)
	config.PeriodSizeInFrames = audio.InputFrames
	return start(id, &config, &config.Capture, func(_, in []byte, frames uint32) { got(samples(in, frames)) })
}

// Play implements audio.System.
func (system) Play(id string, fill func([]float32)) (audio.Stream, error) {
	config := malgo.DefaultDeviceConfig(malgo.Playback)
	config.PeriodSizeInFrames = audio.OutputFrames
	return start(id, &config, &config.Playback, func(out, _ []byte, frames uint32) { fill(samples(out, frames)) })
}

// samples are the library's own memory as samples, during a call.
func samples(raw []byte, frames uint32) []float32 {
	if len(raw) < int(frames)*4 || frames == 0 {
		return nil
	}
	return unsafe.Slice((*float32)(unsafe.Pointer(&raw[0])), frames)
}

// stream is an open device with its own connection, which doesn't outlive the sound system's server.
type stream struct {
	connection
	device *malgo.Device
}

// start opens a device and lets it run. side is the part of config that names the device.
func start(id string, config *malgo.DeviceConfig, side *malgo.SubConfig, handle malgo.DataProc) (audio.Stream, error) {
	c, err := connect()
	if err != nil {
		return nil, err
	}
	all, err := c.devices(config.DeviceType)
	if err != nil {
		c.close()
		return nil, err
	}
	for _, d := range all {
		if c.id(d.ID) != id {
			continue
		}
		// By its ID alone it stays with this device, and isn't moved to another when it goes.
		var kept runtime.Pinner
		kept.Pin(&d.ID)
		defer kept.Unpin()
		side.DeviceID = unsafe.Pointer(&d.ID)
		side.Format, side.Channels, config.SampleRate = malgo.FormatF32, 1, audio.Rate
		device, err := malgo.InitDevice(c.context.Context, *config, malgo.DeviceCallbacks{Data: handle})
		if err != nil {
			c.close()
			return nil, fmt.Errorf("open the device: %w", err)
		}
		s := stream{c, device}
		if err := device.Start(); err != nil {
			s.Close()
			return nil, fmt.Errorf("start the device: %w", err)
		}
		return s, nil
	}
	c.close()
	return nil, audio.ErrNotFound
}

// Close implements audio.Stream. Without Stop before it, Uninit never ends where the device is gone.
func (s stream) Close() {
	_ = s.device.Stop() // fails where the device is gone, and is needed all the same
	s.device.Uninit()
	s.connection.close()
}

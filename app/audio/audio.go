// Package audio hears the receiver and plays tones through the sound system:
// devices by name, blocks of samples whose time is known, devices that are
// unplugged and plugged in while it runs. Without a sound system it says so,
// and nothing else changes.
package audio

import (
	"errors"
	"slices"
	"strings"
	"time"
)

// Rate is the sample rate of every stream, Hz: the sound system is asked for it.
const Rate = 48000

// Frames in one block of an input and of an output. An input's 20 ms keep its
// time to a fraction of a millisecond; an output in blocks of less than 0.2 s
// runs dry on a loaded computer. Both were measured.
const (
	InputFrames  = Rate / 50
	OutputFrames = Rate / 5
)

// ErrNone says that there is no sound system.
var ErrNone = errors.New("no sound system is found")

// ErrNotFound says that the chosen device is not there.
var ErrNotFound = errors.New("the device is not plugged in")

// Device is a device of the sound system.
type Device struct {
	// ID stays the same when the device is unplugged and plugged in again. Name is for people.
	ID, Name string
	// Monitor says that this input gives what an output plays.
	Monitor bool
	// OnDemand says that this input is made as it is heard: it is open only while somebody listens (Input.Listen).
	OnDemand bool
}

// System is a way to the sound system. Each call makes a new connection, for a connection
// doesn't outlive a server. Calls may take long, or never end.
type System interface {
	// Inputs and Outputs are what is plugged in now.
	Inputs() ([]Device, error)
	Outputs() ([]Device, error)
	// Capture hands over mono samples, full scale 1, as they come. got must not
	// block, nor keep the slice.
	Capture(id string, got func(samples []float32)) (Stream, error)
	// Play asks for mono samples as they are needed. The slice holds zeros at first; fill must not block.
	Play(id string, fill func(samples []float32)) (Stream, error)
}

// Stream is an open device.
type Stream interface {
	// Close ends it. It may take long, or never end, where the device is gone.
	Close()
}

// Block is one block of an input's samples.
type Block struct {
	// At is the time of the first sample, by the monotonic clock. It is late by
	// the path's own delay, which is constant while the device is open.
	At time.Time
	// Samples are mono, full scale 1. The next block uses the slice again.
	Samples []float32
	// Filled says that these are zeros in place of samples that were lost.
	Filled bool
}

// Order puts devices in the order in which they are offered: by name, monitors last.
func Order(devices []Device) []Device {
	devices = slices.Clone(devices)
	slices.SortStableFunc(devices, func(a, b Device) int {
		if a.Monitor != b.Monitor {
			if a.Monitor {
				return 1
			}
			return -1
		}
		return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name))
	})
	return devices
}

// Find returns the device with an ID or else the only one with that name.
func Find(devices []Device, wanted string) (Device, error) {
	var named []Device
	for _, d := range devices {
		if d.ID == wanted {
			return d, nil
		}
		if strings.EqualFold(d.Name, wanted) {
			named = append(named, d)
		}
	}
	switch len(named) {
	case 0:
		return Device{}, ErrNotFound
	case 1:
		return named[0], nil
	}
	return Device{}, errors.New("several devices have this name: choose one in Set-up")
}

// Joined is several systems as one, such as a simulated receiver beside the sound card.
type Joined []System

// Inputs implements System. A system that fails is left out, unless all do.
func (j Joined) Inputs() ([]Device, error) { return j.devices(System.Inputs) }

// Outputs implements System, as Inputs.
func (j Joined) Outputs() ([]Device, error) { return j.devices(System.Outputs) }

func (j Joined) devices(of func(System) ([]Device, error)) (all []Device, err error) {
	worked := false
	for _, s := range j {
		devices, wrong := of(s)
		if wrong != nil {
			err = wrong
			continue
		}
		worked = true
		all = append(all, devices...)
	}
	if worked {
		err = nil
	}
	return all, err
}

// Capture implements System.
func (j Joined) Capture(id string, got func([]float32)) (Stream, error) {
	for _, s := range j {
		if devices, err := s.Inputs(); err == nil &&
			slices.ContainsFunc(devices, func(d Device) bool { return d.ID == id }) {
			return s.Capture(id, got)
		}
	}
	return nil, ErrNotFound
}

// Play implements System.
func (j Joined) Play(id string, fill func([]float32)) (Stream, error) {
	for _, s := range j {
		if devices, err := s.Outputs(); err == nil && slices.ContainsFunc(devices,
			func(d Device) bool { return d.ID == id }) {
			return s.Play(id, fill)
		}
	}
	return nil, ErrNotFound
}

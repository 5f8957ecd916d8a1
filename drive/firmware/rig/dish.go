package rig

import (
	"math"
	"time"

	"beamhelm/drive/replica/plant"
)

// The tracks of each quarter of a pulse, A and B.
var quarters = [4][2]bool{{false, false}, {true, false}, {true, true}, {false, true}}

// Turn lets the encoder of an axis come to a count during the next millisecond, edge by edge.
func (r *Rig) Turn(axis int, count int32) {
	left := count - r.shown[axis]
	edges := left
	if edges < 0 {
		edges = -edges
	}
	by := int32(1)
	if left < 0 {
		by = -1
	}
	for k := range edges {
		r.shown[axis] += by
		at := uint32((int64(k) + 1) * Millisecond / int64(edges+1))
		for track, high := range quarters[r.shown[axis]&3] {
			r.set(at, tracks[axis][track], high)
		}
	}
}

// set is Set among changes that are in order already.
func (r *Rig) set(at uint32, name string, high bool) {
	n := len(r.events)
	r.Set(at, name, high)
	if len(r.events) == n {
		return
	}
	for i := len(r.events) - 1; i > 0 && r.events[i-1].At > at; i-- {
		r.events[i-1], r.events[i] = r.events[i], r.events[i-1]
	}
}

// Driven is the drive that an axis' bridge or relays give its motor, -1 to 1.
func (r *Rig) Driven(axis int) float64 {
	name := [2]string{"AZ_", "EL_"}[axis]
	part := 0.0
	if n := r.Station.Values("speeds")[axis]; n > 0 {
		if r.High(name + "ENABLE") {
			k := 1
			if r.High(name + "PWM") {
				k++
			}
			if r.High(name + "SPEED") {
				k += 2
			}
			part = math.Floor(float64(k)*10000/float64(n)) / 10000
		}
	} else if r.High(name + "ENABLE") {
		part = float64(r.Seen.Duty[axis]) / float64(r.Seen.Period)
	}
	if r.High(name+"SENSE") != (r.Station.Values("reversed")[axis] != 0) {
		part = -part
	}
	return part
}

// Plant is the simulated dish of practice behind the pins.
type Plant struct {
	*plant.Plant
	Out  plant.Output
	base [2]int32
}

// NewPlant returns one, with the encoders' counts as the firmware begins to count them: from 0.
func NewPlant(r *Rig, c plant.Config) (*Plant, error) {
	dish, err := plant.New(c)
	if err != nil {
		return nil, err
	}
	p := &Plant{Plant: dish}
	p.Out = dish.Step(plant.Input{Elapsed: time.Millisecond})
	for i := range p.base {
		p.base[i] = p.Out.Axes[i].Counts
	}
	r.Analog(3, 3425) // 27.4 V of 40
	for channel := 4; channel <= 13; channel++ {
		r.Analog(channel, 2500) // 25 degrees of a thermistor
	}
	r.Dish = p.pass
	return p, nil
}

// Base is what the plant's counter held where the firmware's was 0.
func (p *Plant) Base() [2]int32 { return p.base }

// pass lets a millisecond pass for the dish, and shows the enclosure what came of it.
func (p *Plant) pass(r *Rig) {
	in := plant.Input{
		Elapsed: time.Millisecond, Contactor: r.High("CONTACTOR"), ByHand: p.Out.HandPanel && !p.Out.StopOpen,
		Permit: r.High("PERMIT"), Warning: r.High("WARNING"),
	}
	for i := range in.Applied {
		in.Applied[i] = r.Driven(i)
	}
	p.Out = p.Step(in)
	o := &p.Out
	for i, name := range [2]string{"AZ_", "EL_"} {
		r.Turn(i, o.Axes[i].Counts-p.base[i])
		r.set(0, name+"FAULT", o.Axes[i].DriveFault)
		r.set(0, name+"MARK", !o.Axes[i].OnMark)
		r.Analog(i, millivolts(2500+100*o.Axes[i].CurrentA)) // 50 A over 5 V
	}
	for _, contact := range []struct {
		name string
		open bool
	}{
		{"AZ_CLOCKWISE", o.Axes[0].EndHigh}, {"AZ_COUNTER", o.Axes[0].EndLow}, {"EL_UPPER", o.Axes[1].EndHigh},
		{"EL_LOWER", o.Axes[1].EndLow},
		{"STOP", o.StopOpen}, {"HAND", o.HandPanel}, {"DOOR", o.DoorOpen}, {"KEYED", !o.Keyed}, {"SUPPLY", !o.Powered},
		{"READY", !o.SupplyBack},
		{"HAND_CLOCKWISE", o.HandDrive[0] <= 0}, {"HAND_COUNTER", o.HandDrive[0] >= 0},
		{"HAND_UP", o.HandDrive[1] <= 0}, {"HAND_DOWN", o.HandDrive[1] >= 0},
	} {
		r.set(0, contact.name, contact.open)
	}
	if !math.IsNaN(o.DetectorUV) {
		r.Analog(2, millivolts(o.DetectorUV/1000))
	}
}

func millivolts(v float64) uint16 { return uint16(math.Round(max(0, min(5000, v)))) }

//go:build peers

package rig

import (
	"encoding/binary"
	"testing"
	"time"

	"beamhelm/drive/rtu"
)

// driven is a rig whose panel asks for drive ten times a second and reads every
// register between, on a fast line, whatever is answered.
type driven struct {
	*Rig
	t        *testing.T
	sequence uint16
	orders   uint16
	demand   [2]int16
	clear    uint16
	watchdog uint16
	silent   bool
	millis   int
	// asked is the time at which the last tick's request had come whole.
	asked uint64
	// override changes pins after the dish has shown its own.
	override func(r *Rig)
}

func newDriven(t *testing.T, body Body, rows map[string][]int64) *driven {
	all := everything()
	for name, values := range rows {
		all[name] = values
	}
	d := &driven{Rig: New(t, body, stationWith(t, all)), t: t, watchdog: 1000}
	turn := turning()
	d.Dish = func(r *Rig) {
		turn(r)
		if d.override != nil {
			d.override(r)
		}
	}
	return d
}

// turning is a dish that turns as its bridges drive it, 1000 counts a second at full drive.
func turning() func(*Rig) {
	var place [2]float64
	up := 0
	return func(r *Rig) {
		if r.High("CONTACTOR") {
			up++
		} else {
			up = 0
		}
		r.set(0, "SUPPLY", up < 50)
		for i := range place {
			place[i] += r.Driven(i) // counts in a millisecond
			r.Turn(i, int32(place[i]))
			r.Analog(i, 2500)
		}
	}
}

// pass lets a millisecond pass, in steps of that many cycles; seen is called after each.
func (d *driven) pass(cycles uint64, seen func()) {
	if !d.silent {
		switch d.millis % 100 {
		case 0:
			d.sequence++
			q := rtu.Request{Unit: 1, Function: rtu.ReadWrite, ReadAddress: 0x20, ReadCount: 22, WriteAddress: 0x10,
				Write: []uint16{d.sequence, d.orders, uint16(d.demand[0]), uint16(d.demand[1]), d.watchdog, d.clear}}
			frame := q.Append(nil)
			d.Send(frame)
			d.asked = d.now + uint64(len(frame))*d.Character()
		case 20, 50, 75:
			d.Send((&rtu.Request{Unit: 1, Function: rtu.ReadHolding, ReadCount: 0x60}).Append(nil))
		}
	}
	d.millis++
	d.Dish(d.Rig)
	for range Millisecond / cycles {
		d.step(uint32(cycles))
		if seen != nil {
			seen()
		}
	}
}

func (d *driven) run(t time.Duration) {
	for range t.Milliseconds() {
		d.pass(Millisecond, nil)
	}
}

// powerOn clears the trips, switches drive power on and asks for a drive; it returns when that is applied.
func (d *driven) powerOn(demand [2]int16) {
	d.t.Helper()
	d.orders, d.demand, d.clear = 0, [2]int16{}, 0x1FF
	d.run(300 * time.Millisecond)
	d.clear = 0
	d.run(200 * time.Millisecond)
	d.orders = 1
	d.run(300 * time.Millisecond)
	d.demand = demand
	d.run(1400 * time.Millisecond)
	for i, want := range demand {
		if got := d.Driven(i) * 10000; got < float64(want)-30 || got > float64(want)+30 {
			d.t.Fatalf("axis %d has the drive %.0f, not %d; trips %04X", i, got, want, d.register(0x2E))
		}
	}
}

// still says whether an axis' bridge has nothing on its pins.
func (d *driven) still(axis int) bool {
	name := [2]string{"AZ_", "EL_"}[axis]
	return d.Seen.Duty[axis] == 0 && !d.High(name+"PWM") && !d.High(name+"ENABLE")
}

// register reads one, by an exchange of its own.
func (d *driven) register(address uint16) uint16 {
	d.t.Helper()
	for len(d.waiting) > 0 {
		d.Run()
	}
	d.For(60 * time.Millisecond)
	d.Sent, d.SentAt = nil, nil
	d.Send((&rtu.Request{Unit: 1, Function: rtu.ReadHolding, ReadAddress: address, ReadCount: 1}).Append(nil))
	if !d.Until(100*time.Millisecond, func() bool { return len(d.Sent) == 7 }) {
		d.t.Fatalf("register %04X: the answer is % X", address, d.Sent)
	}
	return binary.BigEndian.Uint16(d.Sent[3:])
}

func milliseconds(cycles uint64) float64 { return float64(cycles) / Millisecond }

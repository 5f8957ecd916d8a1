package serve

import (
	"encoding/binary"
	"slices"
	"time"

	"beamhelm/drive/conform"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
)

type registers = [enclosure.RegisterCount]uint16

// mutant is an enclosure that breaks one rule of the page of registers, at one
// of its seams: what it is like at the start, how it lives, takes a write, shows
// itself, or passes frames.
type mutant struct {
	name, breaks string
	// needs is what it takes to see it, where that is more than the rule needs.
	needs conform.Need
	// inPermitOnly is the rule that tells it where no power may be switched.
	inPermitOnly string
	// endsBadly: it can't be switched off, and the test says so.
	endsBadly bool

	config         func(*Config)
	begin          func(*Enclosure)
	step           func(*Enclosure)
	write          func(e *Enclosure, w write) error
	show           func(*Enclosure, *registers)
	request, reply func(*wire, []byte) []byte
	early          bool
	instant        bool // its line takes no time for characters
	late           time.Duration
}

// write is a write with what stood before it.
type write struct {
	address uint16
	values  []uint16
	before  Enclosure
}

// value is what a write holds for a place from 0010 on.
func (w write) value(place int) (uint16, bool) {
	k := place - (int(w.address) - enclosure.AddressDemand)
	if k < 0 || k >= len(w.values) {
		return 0, false
	}
	return w.values[k], true
}

// with is the write with another value at a place.
func (w write) with(place int, v uint16) []uint16 {
	values := slices.Clone(w.values)
	values[place-(int(w.address)-enclosure.AddressDemand)] = v
	return values
}

// rises says whether an order changes from 0 to 1, and the trips that the write clears.
func (w write) rises(o enclosure.Orders) (rises bool, clear enclosure.Trips) {
	v, has := w.value(placeOrders)
	c, _ := w.value(placeClear)
	return has && enclosure.Orders(v)&^w.before.orders()&o != 0, enclosure.Trips(c)
}

// spoilt is the bank of a mutant.
type spoilt struct {
	*Enclosure
	mutant
}

func (s *spoilt) Run(to time.Duration) {
	for s.now+s.Enclosure.config.Step <= to {
		if s.mutant.step != nil {
			s.mutant.step(s.Enclosure)
			continue
		}
		s.Enclosure.step()
	}
}

func (s *spoilt) Write(address uint16, values []uint16) error {
	if s.mutant.write != nil {
		return s.mutant.write(s.Enclosure, write{address, slices.Clone(values), *s.Enclosure})
	}
	return s.Enclosure.Write(address, values)
}

func (s *spoilt) registers(badFrames uint16) registers {
	all := s.Enclosure.registers(badFrames)
	if s.show != nil {
		s.show(s.Enclosure, &all)
	}
	return all
}

// on has drive power coming on, or the permit given, as after an order.
func (e *Enclosure) forced(o enclosure.Orders) {
	if e.power == powerOff && !e.permit {
		e.fed = e.now
	}
	if o.Has(enclosure.OrderPower) && e.power == powerOff {
		e.power, e.coming = powerComingOn, e.now
	}
	if o.Has(enclosure.OrderPermit) {
		e.setPermit(true)
	}
}

// What follows makes a mutant of a line or two.

// taken is a write as the enclosure takes it.
func taken(e *Enclosure, w write) error { return e.Write(w.address, w.values) }

// shows has registers read otherwise.
func shows(f func(r *registers)) func(*Enclosure, *registers) {
	return func(_ *Enclosure, r *registers) { f(r) }
}

// reads has one register read one value.
func reads(address int, v uint16) func(*Enclosure, *registers) {
	return shows(func(r *registers) { r[address] = v })
}

// takes has a place of a write hold another value wherever spoils says so.
func takes(place int, spoils func(v uint16) bool, instead uint16) func(*Enclosure, write) error {
	return func(e *Enclosure, w write) error {
		if v, has := w.value(place); has && spoils(v) {
			return e.Write(w.address, w.with(place, instead))
		}
		return taken(e, w)
	}
}

// refuses has a write refused wherever spoils says so.
func refuses(spoils func(write) bool) func(*Enclosure, write) error {
	return func(e *Enclosure, w write) error {
		if spoils(w) {
			return rtu.IllegalDataValue
		}
		return taken(e, w)
	}
}

// afterWrite has something happen after every accepted write.
func afterWrite(f func(e *Enclosure, w write)) func(*Enclosure, write) error {
	return func(e *Enclosure, w write) error {
		err := taken(e, w)
		if err == nil {
			f(e, w)
		}
		return err
	}
}

// lives has something happen after every step, with what stood before it.
func lives(f func(e *Enclosure, before *Enclosure)) func(*Enclosure) {
	return func(e *Enclosure) {
		before := *e
		e.step()
		f(e, &before)
	}
}

// demands has every step see other written registers.
func demands(f func(e *Enclosure, written *[enclosure.WrittenCount]uint16)) func(*Enclosure) {
	return func(e *Enclosure) {
		kept := e.written
		f(e, &e.written)
		e.step()
		e.written = kept
	}
}

// tripped says whether the watchdog has tripped in a step.
func tripped(e, before *Enclosure) bool {
	return e.trips.Has(enclosure.TripWatchdog) && !before.trips.Has(enclosure.TripWatchdog)
}

// say has the slave reply at once with a frame, whatever was asked.
func (w *wire) say(frame ...byte) []byte {
	w.slave.n = copy(w.slave.reply[:], rtu.AppendCRC(frame, 0))
	w.slave.at = w.now + w.slave.delay
	return nil
}

// word is a word of a frame.
func word(p []byte, at int) int {
	if len(p) < at+2 {
		return -1
	}
	return int(binary.BigEndian.Uint16(p[at:]))
}

// where has the slave answer some requests to it in its own way.
func where(asked func(p []byte) bool, answer func(w *wire, p []byte) []byte) func(*wire, []byte) []byte {
	return func(w *wire, p []byte) []byte {
		if len(p) >= 4 && p[0] == 1 && rtu.CRCValid(p) && asked(p) {
			return answer(w, p)
		}
		return p
	}
}

// excepts answers with an exception.
func excepts(code byte) func(*wire, []byte) []byte {
	return func(w *wire, p []byte) []byte { return w.say(p[0], p[1]|0x80, code) }
}

func function(f byte) func([]byte) bool { return func(p []byte) bool { return p[1] == f } }

// readsFrom says whether a request of 03 reads from an address on.
func readsFrom(address, count int) func([]byte) bool {
	return func(p []byte) bool { return p[1] == 3 && word(p, 2) == address && word(p, 4) == count }
}

// writesAt says whether a request of 23 writes a number of registers from an address on.
func writesAt(address, count int) func([]byte) bool {
	return func(p []byte) bool { return p[1] == 23 && word(p, 6) == address && word(p, 8) == count }
}

// accepts answers a request of 23 as if all were well.
func accepts(w *wire, p []byte) []byte {
	reply := []byte{p[0], p[1], byte(2 * word(p, 4))}
	return w.say(append(reply, make([]byte, 2*word(p, 4))...)...)
}

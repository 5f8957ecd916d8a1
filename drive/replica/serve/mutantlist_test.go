package serve

import (
	"slices"
	"time"

	"beamhelm/drive/conform"
	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
)

const fittedAzimuth = enclosure.FittedAzimuth

// mutants are all of them.
func mutants() []mutant {
	return slices.Concat(lineMutants(), registerMutants(), writeMutants(), watchdogMutants(), orderMutants(),
		turnMutants())
}

func lineMutants() []mutant {
	held := false
	var before registers
	return []mutant{
		{name: "no more than 32 registers in a read", breaks: "map-whole",
			request: where(func(p []byte) bool { return p[1] == 3 && word(p, 4) > 32 && word(p, 4) < 126 },
				excepts(3))},
		{name: "function 04 unknown", breaks: "input-reads", request: where(function(4), excepts(1))},
		{name: "function 04 reads other registers", breaks: "input-reads",
			request: where(function(4), func(w *wire,
				p []byte) []byte {
				return w.say(append([]byte{1, 4, 24}, make([]byte, 24)...)...)
			})},
		{name: "beyond the map reads 0", breaks: "map-end",
			request: where(readsFrom(0x60, 1), func(w *wire, p []byte) []byte { return w.say(1, 3, 2, 0, 0) })},
		{name: "a range that runs out of the map is answered", breaks: "map-end",
			request: where(readsFrom(0x5F, 2), func(w *wire, p []byte) []byte { return w.say(1, 3, 4, 0, 0, 0, 0) })},
		{name: "beyond the map: exception 03", breaks: "map-end", request: where(readsFrom(0xFF00, 1), excepts(3))},
		{name: "function 06 unknown", breaks: "write-06", request: where(function(6), excepts(1))},
		{name: "function 16 unknown", breaks: "write-16", request: where(function(16), excepts(1))},
		{name: "function 23 unknown", breaks: "write-23", config: func(c *Config) { c.WithoutReadWrite = true }},
		{name: "function 23 reads before it writes", breaks: "write-23",
			request: where(function(23), func(w *wire, p []byte) []byte {
				before = w.slave.bank.registers(0)
				return p
			}),
			reply: func(w *wire, p []byte) []byte {
				if p[1] != 23 {
					return p
				}
				out := []byte{1, 23, p[2]}
				for _, v := range before[word(w.asked, 2):][:word(w.asked, 4)] {
					out = append(out, byte(v>>8), byte(v))
				}
				return rtu.AppendCRC(out, 0)
			}},
		{name: "a quantity of 0: exception 02", breaks: "quantities", request: where(readsFrom(0, 0), excepts(2))},
		{name: "a quantity of 126 is answered", breaks: "quantities",
			request: where(readsFrom(0, 126), func(w *wire,
				p []byte) []byte {
				return w.say(append([]byte{1, 3, 252}, make([]byte, 250)...)...)
			})},
		{name: "the byte count is not looked at", breaks: "quantities",
			request: where(func(p []byte) bool { return p[1] == 16 && word(p, 4)*2 != int(p[6]) },
				func(w *wire, p []byte) []byte { return w.say(p[:6]...) })},
		{name: "an unknown function: exception 03", breaks: "function-unknown",
			request: where(function(0x41), excepts(3))},
		{name: "an unknown function is not answered", breaks: "function-unknown",
			request: where(function(0x41), func(*wire, []byte) []byte { return nil })},
		{name: "a write to 0020 is accepted", breaks: "read-only", request: where(writesAt(0x20, 1), accepts)},
		{name: "a write out of the written registers is cut off", breaks: "read-only",
			request: where(func(p []byte) bool { return writesAt(0x1F, 2)(p) && word(p, 11) == 0 }, accepts)},
		{name: "a write to 000F: exception 03", breaks: "read-only", request: where(writesAt(0x0F, 1), excepts(3))},
		{name: "ranges are checked before quantities", breaks: "check-order",
			request: where(readsFrom(0xFF00, 0), excepts(2))},
		{name: "values are checked before the range read", breaks: "check-order",
			request: where(func(p []byte) bool { return writesAt(0x16, 1)(p) && word(p, 2) == 0xFF00 }, excepts(3))},
		{name: "values are checked before the range written", breaks: "check-order",
			request: where(func(p []byte) bool { return writesAt(0x1F, 2)(p) && word(p, 11) == 1 }, excepts(3))},
		{name: "what stands before a bad value is taken", breaks: "refused-whole",
			write: func(e *Enclosure, w write) error {
				err := taken(e, w)
				for n := len(w.values) - 1; err != nil && n > 0 && e.Write(w.address, w.values[:n]) != nil; n-- {
				}
				return err
			}},
		{name: "function 23 writes before it looks at what to read", breaks: "refused-whole", request: where(
			func(p []byte) bool { return p[1] == 23 && word(p, 2) == 0xFF00 && word(p, 6) == 0x10 },
			func(w *wire, p []byte) []byte {
				_ = w.slave.enclosure.Write(0x10, []uint16{uint16(word(p, 11))})
				return p
			})},
		{name: "any unit is answered", breaks: "other-unit", request: func(_ *wire, p []byte) []byte {
			if p[0] > 1 && rtu.CRCValid(p) {
				p[0] = 1
				p = rtu.AppendCRC(p[:len(p)-2], 0)
			}
			return p
		}},
		{name: "a broadcast is obeyed", breaks: "broadcast", request: func(w *wire, p []byte) []byte {
			if p[0] == 0 && p[1] == 6 {
				_ = w.slave.enclosure.Write(uint16(word(p, 2)), []uint16{uint16(word(p, 4))})
			}
			return p
		}},
		{name: "a broadcast is answered", breaks: "broadcast", request: func(w *wire, p []byte) []byte {
			if p[0] == 0 && p[1] == 6 {
				return w.say(0, 6, 0, 0x10, 0, 0)
			}
			return p
		}},
		{name: "the CRC is not looked at", breaks: "bad-crc", request: func(_ *wire, p []byte) []byte {
			if len(p) == 8 && p[0] == 1 {
				p = rtu.AppendCRC(p[:6], 0)
			}
			return p
		}},
		{name: "bad frames are not counted", breaks: "bad-crc-count", show: reads(0x3C, 0)},
		{name: "every byte of a bad frame counts", breaks: "bad-crc-count",
			show: shows(func(r *registers) { r[0x3C] *= 8 })},
		{name: "an unfinished frame is kept", breaks: "unfinished", request: func(_ *wire, p []byte) []byte {
			if held {
				held = false
				return nil
			}
			if held = len(p) == 5; held {
				return nil
			}
			return p
		}},
		{name: "what comes behind a bad frame is dropped with it", breaks: "behind-bad",
			request: func(_ *wire, p []byte) []byte {
				if len(p) == 16 && !rtu.CRCValid(p[:8]) {
					return nil
				}
				return p
			}},
		{name: "frames are told apart by silence alone", breaks: "pause", request: func(_ *wire, p []byte) []byte {
			if len(p) == 4 && !rtu.CRCValid(p) {
				return nil
			}
			return p
		}},
		{name: "the reply begins at once", breaks: "not-early", early: true},
		{name: "the reply begins after 60 ms", breaks: "not-late", late: 60 * ms},
	}
}

func registerMutants() []mutant {
	swap := func(address int) func(*Enclosure, *registers) {
		return shows(func(r *registers) { r[address], r[address+1] = r[address+1], r[address] })
	}
	bits := func(address int, set, clear uint16) func(*Enclosure, *registers) {
		return shows(func(r *registers) { r[address] = r[address]&^clear | set })
	}
	slow := func(e *Enclosure, r *registers) {
		millis := uint32((e.now - e.started).Milliseconds() * 9 / 10)
		r[0x2A], r[0x2B] = uint16(millis>>16), uint16(millis)
	}
	return []mutant{
		{name: "the permit is shown though it isn't given", breaks: "at-rest", endsBadly: true,
			show: bits(0x2F, 1<<6, 0)},
		{name: "a drive is shown at rest", breaks: "at-rest", show: reads(0x29, 300)},
		{name: "map version 2", breaks: "version", show: reads(0, 2)},
		{name: "no axis", breaks: "fitted", show: bits(1, 0, 3)},
		{name: "the time stands", breaks: "time", show: shows(func(r *registers) { r[0x2A], r[0x2B] = 0, 700 })},
		{name: "the time is slow by a tenth", breaks: "time", show: slow},
		{name: "the time has its low word first", breaks: "time", show: swap(0x2A)},
		{name: "the seconds since start stand", breaks: "uptime", show: reads(3, 0)},
		{name: "the seconds since start have their low word first", breaks: "uptime", show: swap(2)},
		{name: "0032 is not 0004", breaks: "starts", show: reads(0x32, 77)},
		{name: "counts a turn of an incremental encoder", breaks: "turn-counts", show: reads(0x0A, 4096)},
		{name: "000D reads 7", breaks: "identity-end", show: reads(0x0D, 7)},
		{name: "000F reads 005E", breaks: "identity-end", show: reads(0x0F, 0x5E)},
		{name: "0014 reads 0 after a start", breaks: "after-start",
			begin: func(e *Enclosure) { e.written[placeWatchdog] = 0 }},
		{name: "no trip 3 after a start", breaks: "after-start", begin: func(e *Enclosure) { e.trips = 0 }},
		{name: "an output on after a start", breaks: "after-start",
			begin: func(e *Enclosure) { e.written[placeOutputs] = 4 }},
		{name: "trip 3 doesn't clear", breaks: "clears",
			write: afterWrite(func(e *Enclosure, _ write) { e.trips |= enclosure.TripStarted })},
		{name: "0021 stands", breaks: "sequence-copies", show: reads(0x21, 0)},
		{name: "003F stands", breaks: "sequence-copies", show: reads(0x3F, 0)},
		{name: "0058 stands", breaks: "sequence-copies", show: reads(0x58, 0)},
		{name: "an axis that isn't fitted has a current of 0", breaks: "absent-state", config: bare,
			show: reads(0x27, 0)},
		{name: "an axis that isn't fitted has counts", breaks: "absent-state", config: bare, show: reads(0x25, 5)},
		{name: "an axis that isn't fitted has an open end", breaks: "absent-state", config: bare,
			show: bits(0x20, 1<<6, 0)},
		{name: "a detector that isn't fitted reads 0", breaks: "absent-rest", config: bare, show: reads(0x30, 0)},
		{name: "a band switch that isn't fitted reads 0", breaks: "absent-rest", config: bare, show: reads(0x3D, 0)},
		{name: "a feed turner that isn't fitted reads 0", breaks: "absent-rest", config: bare, show: reads(0x3E, 0)},
		{name: "a wind sensor that isn't fitted reads 0", breaks: "absent-rest", config: bare, show: reads(0x4D, 0)},
		{name: "0020 bit 1 set", breaks: "state-bits", show: bits(0x20, 2, 0)},
		{name: "002C stands at 0", breaks: "since-count", show: reads(0x2C, 0)},
		{name: "002D stands at 700", breaks: "since-count", show: reads(0x2D, 700)},
		{name: "0035 reads 0 without keying", breaks: "since-keyed", show: reads(0x35, 0)},
		{name: "the mean is always clean", breaks: "clean", show: bits(0x2F, 1<<7, 0)},
		{name: "the mean is never clean", breaks: "clean", show: bits(0x2F, 0, 1<<7)},
		{name: "the mean is clean after 100 ms", breaks: "clean", show: func(e *Enclosure, r *registers) {
			if e.now-e.changed >= 100*ms {
				r[0x2F] |= 1 << 7
			}
		}},
		{name: "the noise source stays on", breaks: "noise-source",
			step: lives(func(e, _ *Enclosure) { e.fedEver = e.now })},
		{name: "the noise source goes off after 3 s", breaks: "noise-source", step: lives(func(e, _ *Enclosure) {
			if e.now-e.fedEver >= 3*time.Second {
				e.setOutputs(e.outputs &^ enclosure.OutputNoiseSource)
			}
		})},
		{name: "0018 shows that the noise source went off", breaks: "noise-source",
			show: func(e *Enclosure, r *registers) {
				if e.now-e.fedEver >= maxNoiseSource {
					r[0x18] &^= 1
				}
			}},
		{name: "the gust is below the mean", breaks: "gust", show: shows(func(r *registers) { r[0x4D] = r[0x4C] - 3 })},
		{name: "005E reads 0", breaks: "spare-readings", show: reads(0x5E, 0)},
		{name: "bit 0 of 002F stands", breaks: "upward", show: bits(0x2F, 1, 0)},
		{name: "002C never begins anew", breaks: "since-turning", show: reads(0x2C, 65535)},
		{name: "002D is the time since the start", breaks: "since-turning",
			show: func(e *Enclosure, r *registers) { r[0x2D] = e.millisSince(e.started) }},
		{name: "the current has no sign", breaks: "current-sign",
			show: shows(func(r *registers) { r[0x26] = uint16(max(int16(r[0x26]), -int16(r[0x26]))) })},
		{name: "the greatest current reads 0", breaks: "peak-current", show: reads(0x5B, 0)},
		{name: "counts have their low word first", breaks: "azimuth", show: swap(0x22)},
		{name: "0012 reads what is applied", breaks: "demand-back",
			show: shows(func(r *registers) { r[0x12] = r[0x28] })},
		{name: "0028 and 0029 show the demand", breaks: "applied-truth",
			show: shows(func(r *registers) { r[0x28], r[0x29] = r[0x12], r[0x13] })},
		{name: "the permit is not shown", breaks: "permit", show: bits(0x2F, 0, 1<<6)},
		{name: "coming on is not shown", breaks: "coming-on", show: bits(0x2F, 0, 1<<8)},
		{name: "coming on is still shown when power is on", breaks: "coming-on",
			show: func(e *Enclosure, r *registers) {
				if e.power == powerOn {
					r[0x2F] |= 1 << 8
				}
			}},
	}
}

func writeMutants() []mutant {
	above := func(maximum uint16) func(uint16) bool { return func(v uint16) bool { return v > maximum } }
	is := func(values ...uint16) func(uint16) bool {
		return func(v uint16) bool { return slices.Contains(values, v) }
	}
	zeroes := func(e *Enclosure, w write) {
		for place := range enclosure.DemandCount {
			if _, has := w.value(place); !has && w.address < enclosure.AddressSlow && place != placeSequence &&
				place != placeWatchdog {
				e.written[place] = 0
			}
		}
	}
	minus := func(v int16) uint16 { return uint16(v) }
	return []mutant{
		{name: "bit 1 of the orders is taken", breaks: "orders", write: takes(placeOrders, is(2), 0)},
		{name: "bit 15 of the orders is taken", breaks: "orders", write: takes(placeOrders, is(1<<15), 0)},
		{name: "an azimuth demand of 10001 is taken", breaks: "azimuth-range", write: takes(placeAz, is(10001), 0)},
		{name: "an azimuth demand of -32768 is taken", breaks: "azimuth-range", write: takes(placeAz, is(1<<15), 0)},
		{name: "an elevation demand is not looked at", breaks: "elevation-range",
			write: takes(placeEl, is(10001, minus(-10001), 1<<15), 0)},
		{name: "an elevation demand of -10001 is taken", breaks: "elevation-range",
			write: takes(placeEl, is(minus(-10001)), 0)},
		{name: "a period of 199 ms is taken", breaks: "period-range", write: takes(placeWatchdog, is(199), 200)},
		{name: "a period of 0 is taken", breaks: "period-range", write: takes(placeWatchdog, is(0), 200)},
		{name: "a period of 65535 ms is taken", breaks: "period-range", write: takes(placeWatchdog, is(65535), 2000)},
		{name: "a period of 200 ms is refused", breaks: "period-range",
			write: refuses(func(w write) bool { v, has := w.value(placeWatchdog); return has && v == 200 })},
		{name: "a period of 2000 ms is refused", breaks: "period-range",
			write: refuses(func(w write) bool { v, has := w.value(placeWatchdog); return has && v == 2000 })},
		{name: "0016 takes anything", breaks: "zeros", write: takes(6, is(1), 0)},
		{name: "001F takes anything", breaks: "zeros", write: takes(15, is(1), 0)},
		{name: "001B can't be written", breaks: "zeros",
			write: refuses(func(w write) bool { _, has := w.value(11); return has })},
		{name: "outputs above bit 7 are taken", breaks: "output-range", write: takes(placeOutputs, above(255), 0)},
		{name: "a band of 16 is taken", breaks: "band-range", write: takes(placeBand, above(15), 0)},
		{name: "0015 reads back", breaks: "clear-reads",
			write: afterWrite(func(e *Enclosure, w write) { e.written[placeClear], _ = w.value(placeClear) })},
		{name: "0015 refuses bit 9 and above", breaks: "clear-reads",
			write: refuses(func(w write) bool { v, _ := w.value(placeClear); return v > 0x1FF })},
		{name: "a write of a part sets the rest to 0", breaks: "parts", write: afterWrite(zeroes)},
		{name: "no more than eleven registers in a write", breaks: "parts",
			write: refuses(func(w write) bool { return len(w.values) > 11 })},
		{name: "held-off bits read 0", breaks: "reads-back", show: shows(func(r *registers) { r[0x11] &^= 0x18 })},
		{name: "0014 reads 1000 always", breaks: "reads-back", show: reads(0x14, 1000)},
		{name: "a demand for an axis that isn't fitted is taken", breaks: "absent-demand", config: bare,
			write: takes(placeEl, is(1), 0)},
	}
}

func watchdogMutants() []mutant {
	var latched uint16
	var fed time.Duration
	late := false
	period := func(f func(uint16) uint16) func(*Enclosure) {
		return demands(func(_ *Enclosure, written *[enclosure.WrittenCount]uint16) {
			written[placeWatchdog] = f(written[placeWatchdog])
		})
	}
	feeds := func(e *Enclosure) { e.fed = e.now }
	idle := func(e *Enclosure) bool { return e.power == powerOff && !e.permit }
	return []mutant{
		{name: "the watchdog trips at rest", breaks: "dog-at-rest", step: lives(func(e, _ *Enclosure) {
			if idle(e) && e.now-e.fedEver >= time.Duration(e.written[placeWatchdog])*ms {
				e.trip(enclosure.TripWatchdog)
			}
		})},
		{name: "no watchdog", breaks: "dog", step: lives(func(e, _ *Enclosure) { feeds(e) })},
		{name: "no watchdog on the permit alone", breaks: "dog-permit", inPermitOnly: "dog",
			step: lives(func(e, _ *Enclosure) {
				if e.power == powerOff {
					feeds(e)
				}
			})},
		{name: "trip 0 goes when it is fed", breaks: "dog-stands", write: afterWrite(func(e *Enclosure, w write) {
			if e.written[placeSequence] != w.before.written[placeSequence] {
				e.trips &^= enclosure.TripWatchdog
			}
		})},
		{name: "clearing one trip clears all", breaks: "dog-stands", write: afterWrite(func(e *Enclosure, w write) {
			if v, _ := w.value(placeClear); v != 0 {
				e.trips = 0
			}
		})},
		{name: "trip 0 doesn't clear", breaks: "dog-stands",
			write: afterWrite(func(e *Enclosure, w write) { e.trips |= w.before.trips & enclosure.TripWatchdog })},
		{name: "0014 is ignored", breaks: "dog-period", step: period(func(uint16) uint16 { return 1000 })},
		{name: "half of the period", breaks: "dog-period", step: period(func(v uint16) uint16 { return v / 2 })},
		{name: "the period is never more than 1 s", breaks: "dog-period",
			step: period(func(v uint16) uint16 { return min(v, 1000) })},
		{name: "fed by a read", breaks: "dog-read", request: func(w *wire, p []byte) []byte {
			if p[1] == 3 {
				w.slave.Run(w.now)
				feeds(w.slave.enclosure)
			}
			return p
		}},
		{name: "fed by any write", breaks: "dog-any-write",
			write: afterWrite(func(e *Enclosure, _ write) { feeds(e) })},
		{name: "fed by an unchanged sequence", breaks: "dog-same", write: afterWrite(func(e *Enclosure, w write) {
			if _, has := w.value(placeSequence); has {
				feeds(e)
			}
		})},
		{name: "fed by a refused write", breaks: "dog-refused", write: func(e *Enclosure, w write) error {
			err := taken(e, w)
			if err != nil {
				feeds(e)
			}
			return err
		}},
		{name: "function 06 doesn't feed", breaks: "dog-functions",
			request: func(w *wire, p []byte) []byte { fed = w.slave.enclosure.fed; return p },
			reply: func(w *wire, p []byte) []byte {
				if p[1] == 6 {
					w.slave.enclosure.fed = fed
				}
				return p
			}},
		{name: "a write of the sequence alone doesn't feed", breaks: "dog-functions",
			write: afterWrite(func(e *Enclosure, w write) {
				if len(w.values) == 1 && w.address == 0x10 {
					e.fed = w.before.fed
				}
			})},
		{name: "a new period holds only from the next order", breaks: "dog-at-once",
			write: afterWrite(func(e *Enclosure, w write) {
				if idle(&w.before) {
					latched = e.written[placeWatchdog]
				}
			}), step: period(func(uint16) uint16 { return latched })},
		{name: "a new period holds only from the next feed", breaks: "dog-at-once",
			write: afterWrite(func(e *Enclosure, w write) {
				if e.fed != w.before.fed {
					latched = e.written[placeWatchdog]
				}
			}), step: period(func(uint16) uint16 { return latched })},
		{name: "the watchdog's time begins at the last changed sequence", breaks: "dog-begins",
			write: afterWrite(func(e *Enclosure, w write) {
				if idle(&w.before) && !idle(e) {
					e.fed = e.fedEver
				}
			})},
		{name: "the watchdog's time begins at the first feed after the order", breaks: "dog-begins",
			write: afterWrite(func(e *Enclosure, w write) {
				late = !idle(e) && (late || idle(&w.before)) &&
					(idle(&w.before) || e.written[placeSequence] == w.before.written[placeSequence])
			}), step: lives(func(e, _ *Enclosure) {
				if late {
					feeds(e)
				}
			})},
		{name: "power stays on at a trip", breaks: "trip-off", needs: conform.Moving,
			step: lives(func(e, before *Enclosure) {
				if e.trips.Has(enclosure.TripWatchdog) && before.power != powerOff {
					e.power = before.power
				}
			})},
		{name: "the permit stays at a trip", breaks: "trip-off", needs: conform.Permitting,
			step: lives(func(e, before *Enclosure) {
				if e.trips.Has(enclosure.TripWatchdog) && before.permit {
					e.permit = true
				}
			})},
		{name: "outputs read 0 after a trip", breaks: "trip-keeps", step: lives(func(e, before *Enclosure) {
			if tripped(e, before) {
				e.written[placeOutputs] = 0
			}
		})},
		{name: "no watchdog while power is coming on", breaks: "coming-dog", step: lives(func(e, _ *Enclosure) {
			if e.power == powerComingOn {
				feeds(e)
			}
		})},
		{name: "the noise source stays on at a trip", breaks: "noise-trip", step: lives(func(e, before *Enclosure) {
			if tripped(e, before) && before.outputs&enclosure.OutputNoiseSource != 0 {
				e.outputs, e.changed = before.outputs, before.changed
			}
		})},
	}
}

// obeys gives an order that must not be obeyed, where wrongly says so.
func obeys(o enclosure.Orders, wrongly func(e *Enclosure, w write, rises bool, clear enclosure.Trips) bool) func(
	*Enclosure, write) error {
	return afterWrite(func(e *Enclosure, w write) {
		rises, clear := w.rises(o)
		if e.orders().Has(o) && wrongly(e, w, rises, clear) {
			e.forced(o)
		}
	})
}

func orderMutants() []mutant {
	withTrip := func(e *Enclosure, _ write, rises bool, clear enclosure.Trips) bool {
		return rises && clear == 0 && e.trips != 0
	}
	whileClearing := func(e *Enclosure, _ write, rises bool, clear enclosure.Trips) bool {
		return rises && clear != 0 && e.trips == 0
	}
	byLevel := func(e *Enclosure, _ write, _ bool, clear enclosure.Trips) bool {
		return clear == 0 && e.trips == 0 && e.written[placeAz] == 0 && e.written[placeEl] == 0
	}
	withDemand := func(place int) func(*Enclosure, write, bool, enclosure.Trips) bool {
		return func(e *Enclosure, _ write, rises bool, clear enclosure.Trips) bool {
			return rises && clear == 0 && e.trips == 0 && e.written[place] != 0
		}
	}
	return []mutant{
		{name: "the permit needs power", breaks: "permit",
			write: afterWrite(func(e *Enclosure, _ write) { e.setPermit(e.permit && e.power != powerOff) })},
		{name: "the permit stays when it is withdrawn", breaks: "permit", endsBadly: true,
			write: afterWrite(func(e *Enclosure, w write) {
				e.setPermit(e.permit || w.before.permit)
			})},
		{name: "the mean stays clean as the permit changes", breaks: "permit-clean",
			write: afterWrite(func(e *Enclosure, w write) {
				if e.outputs == w.before.outputs {
					e.changed = w.before.changed
				}
			})},
		{name: "permit with a trip standing", breaks: "permit-trip", write: obeys(enclosure.OrderPermit, withTrip)},
		{name: "permit in a write that clears", breaks: "permit-clear",
			write: obeys(enclosure.OrderPermit, whileClearing)},
		{name: "permit by level", breaks: "permit-change", write: obeys(enclosure.OrderPermit, byLevel)},
		{name: "power doesn't come on", breaks: "power",
			write: afterWrite(func(e *Enclosure, _ write) { e.power = powerOff })},
		{name: "power stays on", breaks: "power-off", endsBadly: true, write: afterWrite(func(e *Enclosure, w write) {
			if w.before.power == powerOn && e.trips == 0 {
				e.power = powerOn
			}
		})},
		{name: "a demand is obeyed while power is coming on", breaks: "coming-demand",
			step: lives(func(e, _ *Enclosure) {
				for i := range e.applied {
					if e.power == powerComingOn {
						e.applied[i] = float64(int16(e.written[placeAz+i])) / enclosure.FullDrive
					}
				}
			})},
		{name: "coming on can't be called off", breaks: "coming-off", write: afterWrite(func(e *Enclosure, w write) {
			if w.before.power == powerComingOn {
				e.power = powerComingOn
			}
		})},
		{name: "power with a trip standing", breaks: "power-trip", write: obeys(enclosure.OrderPower, withTrip)},
		{name: "power in a write that clears", breaks: "power-clear",
			write: obeys(enclosure.OrderPower, whileClearing)},
		{name: "power with an azimuth demand", breaks: "power-demand",
			write: obeys(enclosure.OrderPower, withDemand(placeAz))},
		{name: "power with an elevation demand", breaks: "power-demand",
			write: obeys(enclosure.OrderPower, withDemand(placeEl))},
		{name: "power by level", breaks: "power-change", write: obeys(enclosure.OrderPower, byLevel)},
	}
}

func turnMutants() []mutant {
	demand := func(place int, f func(int) int) func(*Enclosure) {
		return demands(func(_ *Enclosure, written *[enclosure.WrittenCount]uint16) {
			written[place] = uint16(max(-10000, min(10000, f(int(int16(written[place]))))))
		})
	}
	holds := func(o uint16) func(*Enclosure) {
		return demands(func(_ *Enclosure, written *[enclosure.WrittenCount]uint16) { written[placeOrders] &^= o })
	}
	return []mutant{
		{name: "azimuth turns the other way", breaks: "azimuth", step: demand(placeAz, func(d int) int { return -d })},
		{name: "azimuth is driven twice as much as asked", breaks: "azimuth",
			step: demand(placeAz, func(d int) int { return 2 * d })},
		{name: "elevation doesn't turn", breaks: "elevation", step: demand(placeEl, func(int) int { return 0 })},
		{name: "elevation only lifts", breaks: "elevation",
			step: demand(placeEl, func(d int) int { return max(0, d) })},
		{name: "no ramp", breaks: "ramp", config: func(c *Config) { c.Ramp = [2]time.Duration{} },
			show: reads(7, 1000)},
		{name: "a slower ramp than told", breaks: "ramp", config: func(c *Config) { c.Ramp[1] = 5 * time.Second },
			show: reads(8, 1000)},
		{name: "the nearest speed", breaks: "speeds", config: func(c *Config) { c.FixedSpeeds = [2]uint8{4, 4} },
			step: demand(placeAz, func(d int) int { return (d+11250)/2500*2500 - 10000 })},
		{name: "azimuth held off is ignored", breaks: "held-off", step: holds(1 << 3)},
		{name: "elevation held off is ignored", breaks: "held-off", step: holds(1 << 4)},
		{name: "the drive goes on for a moment when power is ordered off", breaks: "off-applied",
			write: afterWrite(func(e *Enclosure, w write) {
				if w.before.power == powerOn && e.power == powerOff {
					e.applied = w.before.applied
				}
			})},
		{name: "the drive ramps down at a trip", breaks: "trip-applied", step: lives(func(e, before *Enclosure) {
			for i := range e.applied {
				if e.trips.Has(enclosure.TripWatchdog) && before.applied[i] != 0 {
					e.applied[i] = before.applied[i] * 0.99
				}
			}
		})},
	}
}

package serve

import (
	"beamhelm/drive/enclosure"
	"beamhelm/drive/rtu"
)

// The places of the written registers, from 0010 on.
const (
	placeSequence = 0
	placeOrders   = 1
	placeAz       = 2
	placeEl       = 3
	placeWatchdog = 4
	placeClear    = 5
	placeOutputs  = 8
	placeBand     = 9
	placeFeed     = 10
)

// writable says whether a write lies within the written registers.
func writable(address uint16, count int) bool {
	return address >= enclosure.AddressDemand && int(address)+count <= enclosure.AddressDemand+enclosure.WrittenCount
}

// valid says whether every value may be written.
func (e *Enclosure) valid(address uint16, values []uint16) bool {
	for k, v := range values {
		ok := true
		switch place := int(address) - enclosure.AddressDemand + k; place {
		case placeSequence, placeClear, placeFeed:
		case placeOrders:
			ok = enclosure.Orders(v)&^enclosure.AllOrders == 0
		case placeAz, placeEl:
			d := int(int16(v))
			ok = d >= -enclosure.FullDrive && d <= enclosure.FullDrive &&
				(d == 0 || e.config.Fitted.Axis(place-placeAz))
		case placeWatchdog:
			ok = v >= enclosure.MinWatchdog && v <= enclosure.MaxWatchdog
		case placeOutputs:
			ok = enclosure.Outputs(v)&^enclosure.AllOutputs == 0
		case placeBand:
			ok = v <= enclosure.MaxBand
		default:
			ok = v == 0
		}
		if !ok {
			return false
		}
	}
	return true
}

// Write takes a write of registers in, all of it or nothing.
func (e *Enclosure) Write(address uint16, values []uint16) error {
	if !writable(address, len(values)) {
		return rtu.IllegalDataAddress
	}
	if !e.valid(address, values) {
		return rtu.IllegalDataValue
	}
	first := int(address) - enclosure.AddressDemand
	before := e.written
	copy(e.written[first:], values)
	holds := func(place int) bool { return place >= first && place < first+len(values) }
	if e.written[placeSequence] != before[placeSequence] {
		e.fed, e.fedEver = e.now, e.now
	}
	clear := enclosure.Trips(e.written[placeClear])
	e.written[placeClear] = 0
	e.clear(clear)
	if holds(placeOrders) {
		rises := e.orders() &^ enclosure.Orders(before[placeOrders])
		e.order(rises, clear == 0)
	}
	if holds(placeOutputs) {
		e.setOutputs(enclosure.Outputs(e.written[placeOutputs]))
	}
	if e.written[placeBand] != before[placeBand] {
		e.changed = e.now
	}
	return nil
}

// clear clears the trips whose cause is gone.
func (e *Enclosure) clear(asked enclosure.Trips) {
	if e.seen.StopOpen {
		asked &^= enclosure.TripStop
	}
	if e.seen.HandPanel {
		asked &^= enclosure.TripHand
	}
	if !e.seen.SupplyBack {
		asked &^= enclosure.TripPower
	}
	for i := range e.lost {
		if e.seen.Axes[i].DriveFault {
			asked &^= enclosure.DriveTrip(i)
		}
		if asked.Has(enclosure.EncoderTrip(i)) {
			e.lost[i], e.driven[i] = false, e.now
		}
	}
	e.trips &^= asked
}

// order turns power and the leave to transmit on where they are newly ordered
// and nothing is against it, and off where they are not ordered.
func (e *Enclosure) order(rises enclosure.Orders, clearsNothing bool) {
	ordered := e.orders()
	may := clearsNothing && e.trips == 0
	running := e.power != powerOff || e.permit
	if !ordered.Has(enclosure.OrderPower) && e.power != powerOff {
		e.power = powerOff
		if !e.byHand() {
			e.applied = [2]float64{}
		}
	}
	if rises.Has(enclosure.OrderPower) && may && !e.seen.StopOpen && !e.seen.HandPanel &&
		e.written[placeAz] == 0 && e.written[placeEl] == 0 {
		e.power, e.coming = powerComingOn, e.now
	}
	switch {
	case !ordered.Has(enclosure.OrderPermit):
		e.setPermit(false)
	case rises.Has(enclosure.OrderPermit) && may:
		e.setPermit(true)
	}
	if !running {
		e.fed = e.now // the watchdog's time starts here
	}
}

// Package stage is a desk on which nothing is real: tests set what it shows and
// read what was asked of it.
package stage

import (
	"sync"

	"beamhelm/app/desk"
)

// Desk is the desk of a test. It may be used from several goroutines.
type Desk struct {
	mutex  sync.Mutex
	status *desk.Status
	orders []desk.Order
	events []desk.Event
	noise  []desk.NoiseSample
	alive  int
}

// New returns a desk that shows a status.
func New(status desk.Status) *Desk {
	d := &Desk{}
	d.Set(status)
	return d
}

// Set shows a new status.
func (d *Desk) Set(status desk.Status) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	if d.status != nil {
		status.Number = d.status.Number + 1
	}
	status.LastEvent = uint64(len(d.events))
	d.status = &status
}

// Happen adds an event; it is seen with the next status.
func (d *Desk) Happen(event desk.Event) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	event.Number = uint64(len(d.events)) + 1
	d.events = append(d.events, event)
}

// Hear adds a noise sample.
func (d *Desk) Hear(sample desk.NoiseSample) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	sample.Number = uint64(len(d.noise)) + 1
	d.noise = append(d.noise, sample)
}

// Status implements view.Desk.
func (d *Desk) Status() *desk.Status {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	return d.status
}

// Ask implements view.Desk: keeps the order.
func (d *Desk) Ask(order desk.Order) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	d.orders = append(d.orders, order)
}

// Asked returns the orders since the last call.
func (d *Desk) Asked() []desk.Order {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	orders := d.orders
	d.orders = nil
	return orders
}

// NoiseSince implements view.Desk.
func (d *Desk) NoiseSince(number uint64, into []desk.NoiseSample) []desk.NoiseSample {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	return append(into, d.noise[min(number, uint64(len(d.noise))):]...)
}

// EventsSince implements view.Desk.
func (d *Desk) EventsSince(number uint64, into []desk.Event) []desk.Event {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	return append(into, d.events[min(number, uint64(len(d.events))):]...)
}

// Alive implements view.Desk: counts the signs of life.
func (d *Desk) Alive() {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	d.alive++
}

// Signs returns how many signs of life came.
func (d *Desk) Signs() int {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	return d.alive
}

// Only is the one order that there is; false where it is of another type, or there are more or none.
func Only[T desk.Order](orders []desk.Order) (o T, ok bool) {
	if len(orders) == 1 {
		o, ok = orders[0].(T)
	}
	return o, ok
}

package link

import (
	"context"
	"errors"
	"testing"
	"testing/synctest"
	"time"

	"beamhelm/drive/enclosure"
	"beamhelm/drive/replica/serve"
	"beamhelm/drive/rtu"
)

// A port that is lent is closed after power has gone off, is not opened while
// it is lent, and is opened again when it is given back.
func TestLentPortIsClosedAtRest(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		pipe := serve.NewPipe()
		server, e := newServer(t, pipe.Far())
		ctx, endServer := context.WithCancel(t.Context())
		served := make(chan error)
		go func() { served <- server.Run(ctx) }()
		opened := 0
		c, end, ended := newCaller(t, func() (rtu.Line, error) { opened++; return pipe.OpenNear(), nil })
		c.good(time.Second, enclosure.Demand{Clear: enclosure.AllTrips})
		c.good(time.Second, enclosure.Demand{Orders: enclosure.OrderPower})
		for range 10 {
			time.Sleep(100 * ms)
			c.ask(enclosure.Demand{Orders: enclosure.OrderPower, Az: 5000})
		}
		back, err := c.port.Lend(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		var m enclosure.Motion
		server.Do(func() { m = e.Motion() })
		if m.Applied[0] != 0 || m.State&enclosure.StatePower != 0 || m.Trips != 0 {
			t.Errorf("lent with the enclosure at %+v", m)
		}
		time.Sleep(time.Minute)
		if r := c.ask(enclosure.Demand{}); !errors.Is(r.Err, ErrNotConnected) {
			t.Errorf("an exchange while it is lent: %v", r.Err)
		}
		if s := c.port.Status(); s.Open || s.Trouble != ErrLent.Error() || opened != 1 {
			t.Errorf("while it is lent: %+v, opened %d times", s, opened)
		}
		back()
		c.good(time.Second, enclosure.Demand{})
		if s := c.port.Status(); !s.Open || s.Trouble != "" || opened != 2 {
			t.Errorf("given back: %+v, opened %d times", s, opened)
		}
		end()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		endServer()
		if err := <-served; err != nil {
			t.Error(err)
		}
	})
}

// A port that can't be opened is lent too; the end of the link doesn't wait for it.
func TestPortThatIsNotOpenIsLent(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c, end, ended := newCaller(t, func() (rtu.Line, error) { return nil, errors.New("there is none") })
		back, err := c.port.Lend(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		end()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		back()
		short, cancel := context.WithTimeout(t.Context(), time.Second)
		defer cancel()
		if _, err := c.port.Lend(short); !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("lent by a link that has ended: %v", err)
		}
	})
}

//go:build unix

package transceiver

import (
	"context"
	"errors"
	"io"
	"math"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

// families runs a test for both.
func families(t *testing.T, run func(t *testing.T, fresh func() *radio)) {
	for name, framed := range map[string]bool{"framed": true, "ASCII": false} {
		t.Run(name, func(t *testing.T) {
			run(t, func() *radio { return &radio{framed: framed, hz: [2]int64{144123450, 144120000}} })
		})
	}
}

// Whatever the line does to single bytes, the dial is read, and never is a figure believed that the radio didn't show.
func TestTheDialIsRead(t *testing.T) {
	families(t, func(t *testing.T, fresh func() *radio) {
		for name, spoil := range map[string]func(*radio){
			"a good line":     func(*radio) {},
			"own echo":        func(r *radio) { r.hears = true },
			"byte by byte":    func(r *radio) { r.bytewise = true },
			"slow":            func(r *radio) { r.slow = 100 * time.Millisecond },
			"bytes lost":      func(r *radio) { r.lost = 0.02 },
			"bytes spoilt":    func(r *radio) { r.spoilt = 0.02 },
			"own echo, lossy": func(r *radio) { r.hears, r.lost, r.spoilt, r.bytewise = true, 0.01, 0.01, true },
		} {
			t.Run(name, func(t *testing.T) {
				r := fresh()
				r.split = true
				spoil(r)
				tr := control(t, r, func(c *Config) { c.Every, c.Patience = 5*time.Millisecond, 200*time.Millisecond })
				count := 0
				var newest time.Time
				until(t, "the dial is read twenty times", func() bool {
					got := tr.reading0()
					if got.Has && got.At != newest {
						newest = got.At
						count++
						if got.ReceiveHz != 144123450 || got.TransmitHz != 144120000 || !got.Split {
							t.Fatalf("read %+v", got)
						}
					}
					return count >= 20 || strings.HasPrefix(name, "slow") && count >= 2
				})
			})
		}
	})
}

// reading0 is the newest reading, however old.
func (t *Transceiver) reading0() Reading {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.reading
}

// A radio that can't be understood gets one line, the same all the time, and no reading.
func TestOneClearLine(t *testing.T) {
	families(t, func(t *testing.T, fresh func() *radio) {
		for want, spoil := range map[string]func(*radio){
			"radio at radio: no answer; is it on, and are family, address and baud rate right?": func(
				r *radio) {
				r.silent = true
			},
			"radio at radio: its answers are no frequencies; are family and baud rate right?": func(
				r *radio) {
				r.babble = true
			},
		} {
			r := fresh()
			spoil(r)
			tr := control(t, r, func(c *Config) { c.Patience = 20 * time.Millisecond })
			until(t, want, func() bool { return tr.Trouble() == want })
			if got := tr.Reading(); got.Has {
				t.Errorf("%s: read %+v", want, got)
			}
			r.mu.Lock()
			r.silent, r.babble = false, false
			r.mu.Unlock()
			until(t, "it is well again", func() bool {
				return tr.Trouble() == "" &&
					tr.Reading().ReceiveHz == 144123450
			})
		}
	})
}

func TestATurnedDialIsFollowed(t *testing.T) {
	families(t, func(t *testing.T, fresh func() *radio) {
		r := fresh()
		r.turning = true
		tr := control(t, r, nil)
		until(t, "the dial has moved by 5 kHz", func() bool { return tr.Reading().ReceiveHz > 144128450 })
		r.mu.Lock()
		r.turning, r.hz[0] = false, 432100000
		r.mu.Unlock()
		until(t, "the band has changed", func() bool { return tr.Reading().ReceiveHz == 432100000 })
	})
}

// Unless setting is switched on nothing is ever written but questions.
func TestNothingIsSetUnlessSwitchedOn(t *testing.T) {
	families(t, func(t *testing.T, fresh func() *radio) {
		r := fresh()
		tr := control(t, r, func(c *Config) {
			c.Wanted = func() Wanted { return Wanted{Has: true, ReceiveHz: 144130000, TransmitHz: 144130000} }
		})
		var first time.Time
		until(t, "several readings", func() bool {
			got := tr.Reading()
			if first.IsZero() {
				first = got.At
			}
			return got.Has && got.At.Sub(first) > 100*time.Millisecond
		})
		if got := r.taken(); got != "" {
			t.Errorf("set %s", got)
		}
	})
}

// The dial is set once in a period, to 10 Hz; the transmitter's only in split; never while transmitting.
func TestTheDialIsSet(t *testing.T) {
	families(t, func(t *testing.T, fresh func() *radio) {
		r := fresh()
		r.split = true
		var wanted atomic.Pointer[Wanted]
		period := time.Unix(100, 0)
		wanted.Store(&Wanted{Has: true, Keyed: true, Period: period, ReceiveHz: 144130003, TransmitHz: 144118996})
		tr := control(t, r, func(c *Config) { c.Set, c.Wanted = true, func() Wanted { return *wanted.Load() } })
		until(t, "read", func() bool { return tr.Reading().Has })
		first := tr.Reading().At
		until(t, "read for a while", func() bool { return tr.Reading().At.Sub(first) > 100*time.Millisecond })
		if got := r.taken(); got != "" {
			t.Fatalf("set %s while transmitting", got)
		}
		wanted.Store(&Wanted{Has: true, Period: period, ReceiveHz: 144130003, TransmitHz: 144118996})
		until(t, "both are set", func() bool { return r.taken() == "0 144130000,1 144119000" })
		r.mu.Lock()
		r.hz[0] = 144131234 // by the operator, who has the last word
		r.mu.Unlock()
		until(t, "the operator's dial is read", func() bool { return tr.Reading().ReceiveHz == 144131234 })
		first = tr.Reading().At
		until(t, "read for a while", func() bool { return tr.Reading().At.Sub(first) > 100*time.Millisecond })
		wanted.Store(&Wanted{Has: true, Period: period.Add(time.Minute), ReceiveHz: 144130050, TransmitHz: 144119000})
		until(t, "set in the next period", func() bool { return r.taken() == "0 144130000,1 144119000,0 144130050" })
		if words := tr.Trouble(); words != "" {
			t.Error(words)
		}
	})
}

// Without split operation the other frequency is somebody else's.
func TestOnlyTheReceiverIsSetWithoutSplit(t *testing.T) {
	families(t, func(t *testing.T, fresh func() *radio) {
		r := fresh()
		var period atomic.Int64
		period.Store(1)
		control(t, r, func(c *Config) {
			c.Set, c.Wanted = true, func() Wanted {
				n := period.Load()
				return Wanted{Has: true, Period: time.Unix(n, 0), ReceiveHz: 144130000 + 100*float64(n),
					TransmitHz: 144119000}
			}
		})
		for until(t, "set once", func() bool { return r.taken() == "0 144130100" }); period.Load() < 3; {
			period.Add(1)
			until(t, "set again", func() bool {
				return strings.HasSuffix(r.taken(),
					"0 144130"+string(rune('0'+period.Load()))+"00")
			})
		}
		if got := r.taken(); got != "0 144130100,0 144130200,0 144130300" {
			t.Errorf("set %s", got)
		}
	})
}

func TestWhatCannotBeSetIsTold(t *testing.T) {
	families(t, func(t *testing.T, fresh func() *radio) {
		for name, row := range map[string]struct {
			spoil func(*radio)
			toHz  float64
			want  string
		}{
			"another band": {func(*radio) {}, 1296000000, "MHz away"},
			"refused":      {func(r *radio) { r.refuses = true }, 144130000, "not set: it"},
			"not a number": {func(*radio) {}, math.NaN(), "MHz away"},
		} {
			r := fresh()
			row.spoil(r)
			tr := control(t, r, func(c *Config) {
				c.Set, c.Wanted = true, func() Wanted {
					return Wanted{Has: true, Period: time.Unix(1, 0),
						ReceiveHz: row.toHz}
				}
			})
			until(t, name, func() bool { return strings.Contains(tr.Trouble(), row.want) })
			if got := r.taken(); got != "" {
				t.Errorf("%s: set %s", name, got)
			}
			if !tr.Reading().Has {
				t.Errorf("%s: no longer read", name)
			}
		}
	})
}

// A port that goes is opened again, and one that can't be opened is told.
func TestALostPort(t *testing.T) {
	tr := control(t, &radio{}, func(c *Config) {
		c.Open = func(context.Context) (io.ReadWriteCloser, error) {
			return nil,
				errors.New("opening it: no such file")
		}
	})
	until(t, "told", func() bool { return tr.Trouble() == "radio at radio: opening it: no such file" })
	r := &radio{framed: true, hz: [2]int64{144123450}}
	var opened atomic.Int32
	tr = control(t, r, func(c *Config) {
		open := c.Open
		c.Open = func(ctx context.Context) (io.ReadWriteCloser, error) {
			port, err := open(ctx)
			if err == nil && opened.Add(1) == 1 {
				return &cut{ReadWriteCloser: port}, nil
			}
			return port, err
		}
	})
	until(t, "opened again and read", func() bool { return opened.Load() == 2 && tr.Reading().Has })
}

// cut is a port that is lost at the tenth write.
type cut struct {
	io.ReadWriteCloser
	writes int
}

func (c *cut) Write(p []byte) (int, error) {
	if c.writes++; c.writes == 10 {
		return 0, io.ErrClosedPipe
	}
	return c.ReadWriteCloser.Write(p)
}

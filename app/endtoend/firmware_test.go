//go:build window

package endtoend

import (
	"context"
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/settings"
	"beamhelm/drive/firmware"
	"beamhelm/drive/firmware/rig"
	"beamhelm/drive/replica/plant"
	"beamhelm/drive/rtu"
)

// chip is the enclosure's own firmware on an emulated chip with a dish behind
// its pins, in real time at the end of a pseudo-terminal.
type chip struct {
	*enclosure
	served *rig.Served
	rig    *rig.Rig
	dish   *rig.Plant
	end    context.CancelFunc
	over   chan error
	wire   wire
}

// wire is what passed between the panel and the chip; mu guards what is read while it runs.
type wire struct {
	mu      sync.Mutex
	request []byte
	reply   []byte
	demand  [2]float64
	// motion is what the newest tick's reply held, registers 0020 to 0035.
	motion []uint16
	ticks  int
	// bad counts runs of input that the firmware could not use, as it tells in 003C.
	bad uint16
	// piled counts requests that came several at once: the panel sends none before the last was answered or given
	// up, so the computer's kernel, which carries the line, had held them.
	piled int
}

// requestsIn counts the whole requests with which bytes begin.
func requestsIn(p []byte) (n int) {
	for ; len(p) >= 8; n++ {
		long := 8
		if p[1] == 23 && len(p) > 10 {
			long = 13 + int(p[10])
		}
		if len(p) < long {
			break
		}
		p = p[long:]
	}
	return n
}

// pass takes in bytes of a request or a reply.
func (w *wire) pass(p []byte, toEnclosure bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if toEnclosure {
		if n := requestsIn(p); n > 1 {
			w.piled += n
		}
		if len(w.reply) > 0 {
			w.request, w.reply = w.request[:0], w.reply[:0]
		}
		w.request = append(w.request, p...)
		// Function 23 that writes 0010 to 0013 at least.
		if q := w.request; len(q) > 19 && q[1] == 23 && word(q, 6) == 0x10 && word(q, 8) >= 4 && rtu.CRCValid(q) {
			w.demand = [2]float64{float64(int16(word(q, 15))) / 10000, float64(int16(word(q, 17))) / 10000}
		}
		return
	}
	w.reply = append(w.reply, p...)
	r := w.reply
	if len(w.request) < 6 || len(r) < 5 || len(r) < 5+int(r[2]) || r[1] != 23 || !rtu.CRCValid(r) {
		return
	}
	registers := make([]uint16, int(r[2])/2)
	for i := range registers {
		registers[i] = word(r, 3+2*i)
	}
	switch first := word(w.request, 2); {
	case first == 0x20 && len(registers) == 0x16:
		w.motion = registers
		w.ticks++
	case first <= 0x3C && int(first)+len(registers) > 0x3C:
		w.bad = registers[0x3C-first]
	}
}

func word(p []byte, at int) uint16 { return uint16(p[at])<<8 | uint16(p[at+1]) }

// openChip starts the firmware ten degrees before a direction.
func openChip(t *testing.T, az, el float64) *chip {
	t.Helper()
	station := firmware.UsualStation()
	for _, name := range []string{"marks", "brakes", "hand_panel", "ready_input", "door_input", "warning",
		"fault_input"} {
		values := station.Values(name)
		for i := range values {
			values[i] = 1
		}
		if err := station.Set(name, values...); err != nil {
			t.Fatal(err)
		}
	}
	c := &chip{enclosure: &enclosure{t: t}, rig: rig.New(t, rig.Chip, station), over: make(chan error, 1)}
	config := plant.Default()
	config.Start = time.Now().UTC()
	config.Axes[0].Place, config.Axes[1].Place = unit.AngleFromDeg(az-10), unit.AngleFromDeg(el)
	var err error
	if c.dish, err = rig.NewPlant(c.rig, config); err != nil {
		t.Fatal(err)
	}
	if c.served, err = c.rig.Serve(); err != nil {
		t.Fatal(err)
	}
	c.link = c.served.Path
	c.served.Tap, c.served.Watch, c.served.WatchEvery = c.wire.pass, c.watch, 20*time.Millisecond
	ctx, end := context.WithCancel(context.Background())
	c.end = end
	go func() { c.over <- c.served.Run(ctx) }()
	t.Cleanup(c.stop)
	c.until(10*time.Second, "a first line", func(truthLine) bool { return true })
	return c
}

// stop ends the chip's life; what it came to can be read then.
func (c *chip) stop() {
	if c.end == nil {
		return
	}
	c.end()
	c.end = nil
	if err := <-c.over; err != nil {
		c.t.Errorf("the chip's line: %v", err)
	}
	c.rig.Stop()
	lived := time.Duration(c.rig.Seen.Cycle/rig.Millisecond) * time.Millisecond
	c.t.Logf("%v of the chip's time; it took %.0f %% of one core, and was behind the clock by %v at most (%d times "+
		"by more than %v); %d ticks answered, %d bytes overrun, %d bad frames, %d restarts",
		lived.Round(time.Second), 100*c.rig.Used().Seconds()/lived.Seconds(), c.served.Late.Round(time.Millisecond),
		c.served.Lates, rig.LateFrom, c.wire.ticks,
		c.rig.Seen.Overrun, c.wire.bad, c.rig.Seen.Resets)
}

// watch takes down the truth.
func (c *chip) watch(r *rig.Rig) {
	truth := c.dish.Truth()
	line := truthLine{arrived: time.Now(), t: truth.Elapsed.Seconds(), az: truth.Azimuth.Deg(),
		el:    truth.Elevation.Deg(),
		power: c.dish.Out.Powered && r.High("CONTACTOR")}
	for i := range line.axes {
		line.axes[i], line.applied[i] = truth.Axis[i].Deg(), r.Driven(i)
	}
	c.wire.mu.Lock()
	line.demand = c.wire.demand
	c.wire.mu.Unlock()
	c.mu.Lock()
	defer c.mu.Unlock()
	c.all = append(c.all, line)
}

// TestFirmwareInTheWindow: a real window drives the firmware's very image on an
// emulated chip, in real time: referenced, slewed, stopped by Esc, tracked, and
// stopped by Esc. Positions, demands, counts and the line are judged by what the
// dish and the wire say; the panel must find nothing wrong meanwhile.
func TestFirmwareInTheWindow(t *testing.T) {
	s := underTheMoon(t)
	az, el := moonAt(t, s, time.Now())
	home := t.TempDir()
	c := openChip(t, az, el)
	p := openPanel(t, home, "-settings", writeSettings(t, home, s,
		func(o *settings.Settings) { o.Bands = o.Bands[:1] })(c.link))
	began := time.Now()
	t.Cleanup(func() {
		if t.Failed() {
			t.Log(readLog(t, home+"/state"))
		}
	})
	p.await(10*time.Second, "a good link", goodLink)
	p.trust(c.enclosure)
	keys := openKeyboard(t)
	p.slew(c.enclosure)
	if l := c.now(); math.Abs(l.applied[0]-l.demand[0]) > 0.1 {
		t.Errorf("the bridge gives %.3f, demanded %.3f", l.applied[0], l.demand[0])
	}
	stopped(t, c.enclosure, p, keys.press(t, "Escape"))
	c.shown(p)

	p.powerOn(c.enclosure)
	p.click("moon")
	p.click("track")
	greatest, near, on := 0.0, 0, false
	for next := time.Now(); !on || time.Since(began) < firmwareLasts; next = next.Add(time.Second) {
		// Once a second: to ask for the Moon's place is work, of which the chip must not feel anything.
		l := c.until(5*time.Second, "the next second", func(l truthLine) bool { return l.arrived.After(next) })
		az, el := moonAt(t, s, l.arrived)
		off := apart(l.az, l.el, az, el)
		if near++; off > 0.15 {
			near = 0
		}
		switch on = on || near == 3; { // it stays there, and doesn't pass by
		case on:
			greatest = max(greatest, off)
		case time.Since(began) > 3*time.Minute:
			t.Fatalf("the beam never came to the Moon, %.3f degrees off", off)
		}
		if greatest > onTheMoon {
			t.Fatalf("after %v the beam is %.3f degrees off the Moon", time.Since(began), greatest)
		}
		if words := p.look().Controls["activity"].Words; on && !strings.Contains(strings.ToLower(words), "tracking") {
			t.Fatalf("after %v: %s", time.Since(began), words)
		}
	}
	stopped(t, c.enclosure, p, keys.press(t, "Escape"))
	c.shown(p)
	c.faultless(p, home, greatest)
}

var linkErrors = regexp.MustCompile(`(\d+) errors?\b`)

var degrees = regexp.MustCompile(`-?\d+\.\d+`)

// shown compares the positions that the window shows with those of the dish, which stands.
func (c *chip) shown(p *panel) {
	c.t.Helper()
	for i, name := range []string{"azimuth-position", "elevation-position"} {
		words := p.control(name).Words
		is, err := strconv.ParseFloat(strings.ReplaceAll(degrees.FindString(words), "−", "-"), 64)
		// One count is 0.088 degree; the reference is good to half of one.
		if off := math.Abs(math.Remainder(is-c.now().axes[i], 360)); err != nil || off > 0.12 {
			c.t.Errorf("%s shows %q, the axis stands at %.3f", name, words, c.now().axes[i])
		}
	}
}

// A Stop is a warning of the log, too. What else it warns of is a fault, but for
// what comes of a computer that lets the panel wait, as the panel says then.
var (
	stopLogged = regexp.MustCompile(`cause="stopped by the operator"`)
	overloaded = regexp.MustCompile(`Control loop late: CPU overloaded`)
	comesOfIt  = regexp.MustCompile(`Control loop late|LinkWaiting|LinkLost|No reply from the enclosure"`)
)

// faultless looks for anything that went wrong, after the dish has come to rest.
func (c *chip) faultless(p *panel, home string, greatest float64) {
	t := c.t
	t.Helper()
	link, log := p.look().Controls["link-state-more"].Words, readLog(t, home+"/state")
	c.stop()
	c.wire.mu.Lock()
	defer c.wire.mu.Unlock()
	held := c.served.Lates + c.wire.piled
	waits := 0
	for line := range strings.Lines(log) {
		warns := strings.Contains(line, "level=WARN") || strings.Contains(line, "level=ERROR")
		switch {
		case !warns, stopLogged.MatchString(line), overloaded.MatchString(log) && comesOfIt.MatchString(line):
		case strings.Contains(line, "LinkWaiting"):
			waits++
		default:
			t.Errorf("the log: %s", line)
		}
	}
	if waits > held {
		t.Errorf("the panel waited %d times for a reply, the chip was late %d times", waits, held)
	}
	// An exchange fails where the computer lets the chip or the line wait, and only there; its late reply spoils the
	// next one too.
	errors, known := 0, linkErrors.FindStringSubmatch(link)
	if known != nil {
		errors, _ = strconv.Atoi(known[1])
	}
	if known == nil || errors > 2*held {
		t.Errorf("the link: %s; the chip was %d times more than %v behind the clock, and %d requests came piled up",
			link, c.served.Lates, rig.LateFrom, c.wire.piled)
	}
	m := c.wire.motion
	for i := range c.dish.Out.Axes {
		counts := int32(uint32(m[2+2*i])<<16 | uint32(m[3+2*i]))
		if want := c.dish.Out.Axes[i].Counts - c.dish.Base()[i]; counts != want || m[0x13+i] != 0 {
			t.Errorf("axis %d: %d counts, the dish's encoder gave %d; %d impossible", i, counts, want, m[0x13+i])
		}
	}
	seen := c.rig.Seen
	if seen.Resets > 0 || seen.Overrun > 0 || c.rig.Undriven > 0 || int(c.wire.bad) > held || m[0xE] != 0 {
		t.Errorf("%d restarts, %d bytes overrun, %d sent with the transceiver off, %d bad frames, trips %04X",
			seen.Resets,
			seen.Overrun, c.rig.Undriven, c.wire.bad, m[0xE])
	}
	t.Logf("%d ticks, greatest distance from the Moon %.3f degrees; %s", c.wire.ticks, greatest, link)
}

//go:build window && linux

package endtoend

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"beamhelm/app/audio/soundserver"
	"beamhelm/app/practice"
)

// dials are those of a radio, Hz on the air.
type dials struct{ transmit, receive float64 }

// readDials reads the figures for the radio's dials on the sheet, which are below the band by what the transverter
// takes.
func (p *panel) readDials(transverterMHz float64) dials {
	p.t.Helper()
	words := p.look().Controls["own-echo-dials"].Words
	said := regexp.MustCompile(`TX (\d+\.\d{3} \d{3}), RX (\d+\.\d{3} \d{3}) MHz`).FindStringSubmatch(words)
	if said == nil {
		p.t.Fatalf("no dials in %q", words)
	}
	var mhz [2]float64
	for i := range mhz {
		if _, err := fmt.Sscan(strings.ReplaceAll(said[i+1], " ", ""), &mhz[i]); err != nil {
			p.t.Fatal(err)
		}
	}
	return dials{(mhz[0] + transverterMHz) * 1e6, (mhz[1] + transverterMHz) * 1e6}
}

// overhead is the Moon over a station, with a radio on its dials: what the transmitter sends comes back as late and
// shifted as the program's own command says of the path, in the noise of a receiver that is muted while it transmits.
type overhead struct {
	t       *testing.T
	station station
	moon    *practice.Moon

	mu      sync.Mutex
	returns practice.Return
}

// openOverhead begins it. Nothing comes back before the dials are set.
func openOverhead(t *testing.T, x *transmitter, s station) (*overhead, *tones) {
	t.Helper()
	o := &overhead{t: t, station: s, returns: practice.Return{DBHz: math.Inf(-1)}}
	o.moon = practice.NewMoon(3, func(time.Time, time.Duration) practice.Return {
		o.mu.Lock()
		defer o.mu.Unlock()
		return o.returns
	})
	x.receive(o.moon)
	heard := recordSink(t, x.toned, func(at time.Time, block []float32) {
		if !x.port.Now().RTS {
			clear(block)
		}
		o.moon.Send(at, block)
	})
	return o, heard
}

// The echo: its C/N0, its width, and by how much the Moon's near face is nearer than its centre, there and back (radius
// 1737.4 km, IAU 2015).
const (
	echoDBHz, echoHz = 32, 8
	nearFace         = 11591 * time.Microsecond
)

// tune sets the radio's dials: from then on the Moon returns what is sent.
func (o *overhead) tune(d dials) {
	o.t.Helper()
	out, err := exec.Command(binary, "echo", "-lat", fmt.Sprint(o.station.lat), "-lon", fmt.Sprint(o.station.lon),
		"-height", "100", "-mhz", fmt.Sprint(d.transmit/1e6), "-at", time.Now().UTC().Format(time.RFC3339),
		"-csv").Output()
	if err != nil {
		o.t.Fatalf("asking for the path: %v", err)
	}
	rows, err := csv.NewReader(bytes.NewReader(out)).ReadAll()
	if err != nil || len(rows) != 2 {
		o.t.Fatalf("the path is not a header and a row: %v\n%s", err, out)
	}
	figure := func(name string) float64 {
		value, err := strconv.ParseFloat(rows[1][slices.Index(rows[0], name)], 64)
		if err != nil {
			o.t.Fatal(err)
		}
		return value
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	o.returns = practice.Return{DBHz: echoDBHz, SpreadHz: echoHz, MHz: d.transmit / 1e6,
		Delay:     time.Duration(figure("own_delay_s")*float64(time.Second)) - nearFace,
		DopplerHz: figure("own_doppler_hz") + d.transmit - d.receive}
}

// unkeyed is how long after Esc the keying line has fallen; untoned how long after it the tone has ended, of which the
// sound system has been handed some blocks.
const (
	unkeyed = 300 * time.Millisecond
	untoned = 500 * time.Millisecond
)

// countsAny is what the sheet says when a cycle of the run has been counted.
var countsAny = regexp.MustCompile(`^[1-9]\d* of \d+ cycles count`)

// TestOwnEchoOverASoundServer: a measurement of the own echo by a dish, a port and a sound system that the panel takes
// for real ones. The tone goes out by the sound system while the line keys, and at no other time; what the Moon returns
// is found. Esc in the middle of a transmission lowers the line and ends the tone.
func TestOwnEchoOverASoundServer(t *testing.T) {
	server := soundserver.New(t)
	s, x := underTheMoon(t), newTransmitter(t, server, "")
	moon, heard := openOverhead(t, x, s)
	e, p := openBoth(t, t.TempDir(), s, nil, x.settings)
	x.connect(e)
	keys := openKeyboard(t)
	p.powerOn(e)
	p.click("moon")
	p.clickUntil("track", "the way to the Moon", shows("activity", "the Moon"))
	p.click("pane-echo")
	p.clickUntil("echo-own", "the sheet", visible("own-echo-dialog"))
	p.await(60*time.Second, "the beam on the Moon", shows("own-echo-state", "Ready"))
	moon.tune(p.readDials(1152))
	for _, c := range x.port.Changes()[2:] {
		t.Errorf("before the start the lines became %v", c.Lines)
	}
	var again time.Time
	begun := p.measuresUntil(60*time.Second, "the middle of a transmission after a cycle that counts",
		func(l layout, begun time.Time) bool {
			rises := x.rises(begun)
			if len(rises) < 2 || !x.port.Now().RTS || !countsAny.MatchString(l.Controls["own-echo-count"].Words) {
				return false
			}
			again = rises[len(rises)-1]
			on := time.Since(again)
			return on > 1200*time.Millisecond && on < 1800*time.Millisecond
		})
	rose := x.keyed(0, begun)
	fell := x.fallen(0, rose)
	pressed := keys.press(t, "Escape")
	escapedAt := x.fallen(5*time.Second, again)
	heard.silent(t)
	sent := heard.bursts(begun)
	t.Logf("tones after the key: %s", describe(sent, rose))
	if n := len(x.rises(begun)); len(sent) != n || n < 2 {
		t.Fatalf("%d tones of %d transmissions", len(sent), n)
	}
	whole, cut := sent[0], sent[len(sent)-1]
	line, tone := escapedAt.Sub(pressed), cut.to.Sub(pressed)
	busy := e.longestSilence(pressed, cut.to)
	t.Logf("the line fell %v after Esc, the tone ended after %v; the computer kept others waiting for up to %v",
		line, tone, busy)
	if line > unkeyed+busy || tone > untoned+busy {
		t.Errorf("the line fell %v after Esc, the tone ended after %v", line, tone)
	}
	if lasts := whole.to.Sub(whole.from); whole.from.Before(rose.Add(300*time.Millisecond)) || whole.to.After(fell) ||
		lasts < 1500*time.Millisecond {
		t.Errorf("the tone lasts %v, from %v after the key to %v before its end", lasts, whole.from.Sub(rose),
			fell.Sub(whole.to))
	}
	// Dithered by up to 91 Hz, and measured to 2 Hz.
	if math.Abs(whole.hz-1500) > 93 || math.Abs(cut.hz-1500) > 93 || math.Abs(whole.hz-cut.hz) < 2 {
		t.Errorf("tones of %.1f and %.1f Hz", whole.hz, cut.hz)
	}
	p.await(5*time.Second, "a closed sheet", func(l layout) bool { return !visible("own-echo-dialog")(l) })
	p.clickUntil("echo-own", "the sheet", visible("own-echo-dialog"))
	l := p.await(10*time.Second, "an echo", shows("own-echo-head", "Echo found,"))
	t.Logf("found: %s, %s", l.Controls["own-echo-before-0"].Words, l.Controls["own-echo-4-note"].Words)
	x.staysLow(escapedAt, time.Until(escapedAt.Add(7*time.Second))) // the next cycle would have begun
}

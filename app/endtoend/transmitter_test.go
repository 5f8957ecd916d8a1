//go:build linux && (window || planted)

package endtoend

import (
	"bytes"
	bits "encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"beamhelm/app/audio"
	"beamhelm/app/audio/soundserver"
	"beamhelm/app/keying/serialport"
	"beamhelm/app/practice"
	"beamhelm/app/settings"
)

// transmitter is what surrounds a panel that keys: a port whose RTS keys the transmitter of the simulated enclosure,
// and a sound server with two sinks: the panel's tone goes to one, and hears the monitor of the other.
type transmitter struct {
	t    *testing.T
	port *serialport.Port
	// toned is the sink for the tone, heard the one that stands for the receiver.
	toned, heard string
	// modules are the two in the server, for Unplug.
	modules [2]string

	mu   sync.Mutex
	dish io.Writer
}

// newTransmitter plugs its sinks into a server. They bear its name.
func newTransmitter(t *testing.T, server *soundserver.Server, name string) *transmitter {
	t.Helper()
	x := &transmitter{t: t, toned: "ether" + name, heard: "receiver" + name}
	x.modules = [2]string{server.Plug(x.toned, x.toned), server.Plug(x.heard, x.heard)}
	x.port = serialport.New(t, x.key)
	return x
}

// settings are those of a panel that works with it.
func (x *transmitter) settings(s *settings.Settings) {
	s.Audio.Input = x.heard + ".monitor"
	s.Keying.Port, s.Keying.Output = x.port.Path, x.toned
	s.Keying.Line, s.Keying.LeadS, s.Keying.SoundS = settings.RTSKeys, 0.4, 0.3
}

// connect gives the keying line to an enclosure.
func (x *transmitter) connect(e *enclosure) {
	x.mu.Lock()
	x.dish = e.dish
	x.mu.Unlock()
	x.key(x.port.Now())
}

// key hands the line on.
func (x *transmitter) key(l serialport.Lines) {
	word := "unkey"
	if l.RTS {
		word = "key"
	}
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.dish != nil {
		fmt.Fprintln(x.dish, word) // an enclosure that has ended needs none
	}
}

// keyed waits until the line is high, and returns when it rose. DTR must stay low.
func (x *transmitter) keyed(within time.Duration, since time.Time) time.Time {
	x.t.Helper()
	return x.becomes(within, since, true)
}

// fallen is the same of the line's fall.
func (x *transmitter) fallen(within time.Duration, since time.Time) time.Time {
	x.t.Helper()
	return x.becomes(within, since, false)
}

func (x *transmitter) becomes(within time.Duration, since time.Time, high bool) time.Time {
	x.t.Helper()
	for end := time.Now().Add(within); ; <-time.After(time.Millisecond) {
		for _, c := range x.port.Since(since) {
			if c.DTR {
				x.t.Fatalf("%v after: %v", c.At.Sub(since), c.Lines)
			}
			if c.RTS == high {
				return c.At
			}
		}
		if time.Now().After(end) {
			x.t.Fatalf("the line is not %v within %v: %v", high, within, x.port.Now())
		}
	}
}

// rises are the moments since another at which the line rose.
func (x *transmitter) rises(since time.Time) (all []time.Time) {
	high := false
	for _, c := range x.port.Since(since) {
		if c.RTS && !high {
			all = append(all, c.At)
		}
		high = c.RTS
	}
	return all
}

// staysLow checks that the line doesn't rise any more for some time, more than a cycle.
func (x *transmitter) staysLow(since time.Time, lasts time.Duration) {
	x.t.Helper()
	<-time.After(lasts)
	for _, c := range x.port.Since(since) {
		if c.RTS || c.DTR {
			x.t.Errorf("%v later: %v", c.At.Sub(since), c.Lines)
		}
	}
}

// receive has a receiver heard: noise, and what a moon returns, if any; it is muted while the line keys.
func (x *transmitter) receive(moon *practice.Moon) {
	x.t.Helper()
	receiver := practice.NewReceiver(2, func() practice.Heard {
		return practice.Heard{Muted: x.port.Now().RTS, ToneDBHz: math.Inf(-1)}
	}, moon)
	stream, err := receiver.Capture("", speak(x.t, x.heard))
	if err != nil {
		x.t.Fatal(err)
	}
	x.t.Cleanup(stream.Close)
}

// speak plays on a sink by a program of the sound server's own until the test ends. What it doesn't take in time, as
// before it begins, is dropped: what is played stays of now.
func speak(t *testing.T, sink string) func(block []float32) {
	t.Helper()
	play := exec.Command("pacat", "--playback", "--device="+sink, "--raw", "--format=float32le", "--channels=1",
		fmt.Sprintf("--rate=%d", audio.Rate), "--latency-msec=100")
	from, to, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := unix.FcntlInt(to.Fd(), unix.F_SETPIPE_SZ, 1<<14); err != nil {
		t.Fatal(err)
	}
	play.Stdin = from
	if err := play.Start(); err != nil {
		t.Fatalf("playing (Debian's package pulseaudio-utils): %v", err)
	}
	from.Close()
	blocks, done := make(chan []byte, 1), make(chan struct{})
	ended := make(chan struct{})
	t.Cleanup(func() { close(ended); _ = play.Process.Kill(); _ = play.Wait(); to.Close(); <-done })
	go func() {
		defer close(done)
		for {
			select {
			case raw := <-blocks:
				if _, err := to.Write(raw); err != nil {
					return
				}
			case <-ended:
				return
			}
		}
	}()
	return func(block []float32) {
		var raw bytes.Buffer
		_ = bits.Write(&raw, bits.LittleEndian, block)
		select {
		case blocks <- raw.Bytes():
		default:
		}
	}
}

// toneBlock is how long a piece of what is listened to is.
const toneBlock = 20 * time.Millisecond

// heardTone is a piece of what goes out by a sink.
type heardTone struct {
	at time.Time // when it began, less what the sound server takes
	// level is its greatest sample, full scale 1; hz of a tone, 0 in silence.
	level, hz float64
}

// tones is what is heard at the monitor of a sink.
type tones struct {
	mu  sync.Mutex
	all []heardTone
}

// recordSink records the monitor of a sink by a program of the sound server's own until the test ends; each block goes
// to also, if any.
func recordSink(t *testing.T, sink string, also func(at time.Time, block []float32)) *tones {
	t.Helper()
	record := exec.Command("parec", "--device="+sink+".monitor", "--raw", "--format=float32le", "--channels=1",
		fmt.Sprintf("--rate=%d", audio.Rate), "--latency-msec=20")
	out, err := record.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := record.Start(); err != nil {
		t.Fatalf("recording (Debian's package pulseaudio-utils): %v", err)
	}
	h, done := &tones{}, make(chan struct{})
	t.Cleanup(func() { _ = record.Process.Kill(); <-done; _ = record.Wait() })
	go func() {
		defer close(done)
		raw := make([]byte, 4*audio.Rate/int(time.Second/toneBlock))
		var origin time.Time // of the first sample: no block comes before its end
		for n := 0; ; n++ {
			if _, err := io.ReadFull(out, raw); err != nil {
				return
			}
			block := make([]float32, len(raw)/4)
			for i := range block {
				block[i] = math.Float32frombits(bits.LittleEndian.Uint32(raw[4*i:]))
			}
			came := time.Now().Add(-time.Duration(n+1) * toneBlock)
			if origin.IsZero() || came.Before(origin) {
				origin = came
			}
			at := origin.Add(time.Duration(n) * toneBlock)
			h.take(at, block)
			if also != nil {
				also(at, block)
			}
		}
	}()
	return h
}

func (h *tones) take(at time.Time, block []float32) {
	piece := heardTone{at: at}
	first, last, count := 0.0, 0.0, 0 // where it passes zero upwards
	for i, x := range block {
		piece.level = max(piece.level, math.Abs(float64(x)))
		if i > 0 && block[i-1] < 0 && x >= 0 {
			last = float64(i) - float64(x)/float64(x-block[i-1])
			if count++; count == 1 {
				first = last
			}
		}
	}
	if count > 1 {
		piece.hz = float64(count-1) * audio.Rate / (last - first)
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	h.all = append(h.all, piece)
}

// audible is the level above which there is a tone: its own is a half.
const audible = 0.01

// burst is a tone from its beginning to its end.
type burst struct {
	from, to time.Time
	hz       float64 // in its middle
}

// shortPause is what a busy computer's sound server may leave out in the middle of a tone.
const shortPause = 100 * time.Millisecond

// bursts are the tones from a moment on; one that is still heard ends with what was last heard.
func (h *tones) bursts(since time.Time) (all []burst) {
	h.mu.Lock()
	defer h.mu.Unlock()
	var hz []float64
	for _, piece := range h.all {
		if piece.at.Before(since) || piece.level < audible {
			continue
		}
		if len(all) == 0 || piece.at.Sub(all[len(all)-1].to) > shortPause {
			all, hz = append(all, burst{from: piece.at}), nil
		}
		b := &all[len(all)-1]
		hz = append(hz, piece.hz)
		b.to, b.hz = piece.at.Add(toneBlock), hz[len(hz)/2]
	}
	return all
}

// silent waits until nothing has been heard for a second, which the recording must have gone through.
func (h *tones) silent(t *testing.T) {
	t.Helper()
	for end := time.Now().Add(10 * time.Second); ; <-time.After(toneBlock) {
		h.mu.Lock()
		n, quiet := len(h.all), int(time.Second/toneBlock)
		for i := n - 1; i >= 0 && n-i <= quiet && h.all[i].level < audible; i-- {
			if n-i == quiet {
				h.mu.Unlock()
				return
			}
		}
		h.mu.Unlock()
		if time.Now().After(end) {
			t.Fatalf("no silence in %d blocks", n)
		}
	}
}

// describe tells bursts by their distance from a moment.
func describe(all []burst, from time.Time) string {
	var b strings.Builder
	for _, one := range all {
		fmt.Fprintf(&b, "%.0f Hz from %.2f to %.2f s; ", one.hz, one.from.Sub(from).Seconds(),
			one.to.Sub(from).Seconds())
	}
	return b.String()
}

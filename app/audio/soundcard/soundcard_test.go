//go:build cgo && linux

package soundcard

import (
	"context"
	"math"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"beamhelm/app/audio"
	"beamhelm/app/audio/soundserver"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// await waits until something holds.
func await(t *testing.T, what string, holds func() bool) {
	t.Helper()
	for end := time.Now().Add(60 * time.Second); !holds(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("%s: not within a minute", what)
		}
	}
}

// runner is an Input or an Output.
type runner interface{ Run(context.Context) }

// run lets it run until the result is called, or the test ends.
func run(t *testing.T, r runner) (end func()) {
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { defer close(ended); r.Run(ctx) }()
	end = sync.OnceFunc(func() {
		cancel()
		select {
		case <-ended:
		case <-time.After(20 * time.Second):
			t.Error("it doesn't end")
		}
	})
	t.Cleanup(end)
	return end
}

// ear is what an input hears, with the time of its first sample.
type ear struct {
	mu     sync.Mutex
	blocks []audio.Block
}

func (e *ear) hear(b audio.Block) {
	e.mu.Lock()
	defer e.mu.Unlock()
	b.Samples = append([]float32(nil), b.Samples...)
	e.blocks = append(e.blocks, b)
}

func (e *ear) take() []audio.Block {
	e.mu.Lock()
	defer e.mu.Unlock()
	taken := e.blocks
	e.blocks = nil
	return taken
}

func TestDevices(t *testing.T) {
	server := soundserver.New(t)
	server.Plug("radio", "Radio")
	inputs, err := audio.Inputs(t.Context(), System())
	if err != nil || len(inputs) != 1 || inputs[0] != (audio.Device{
		ID: "radio.monitor", Name: "Monitor of Radio", Monitor: true}) {
		t.Errorf("inputs %+v, %v", inputs, err)
	}
	outputs, err := audio.Outputs(t.Context(), System())
	if err != nil || len(outputs) != 1 || outputs[0] != (audio.Device{ID: "radio", Name: "Radio"}) {
		t.Errorf("outputs %+v, %v", outputs, err)
	}
	if _, err := System().Capture("other", func([]float32) {}); err != audio.ErrNotFound {
		t.Errorf("an input that isn't there: %v", err)
	}
}

// Without a sound system it is said, and nothing else happens.
func TestNoSoundSystem(t *testing.T) {
	t.Setenv("PULSE_SERVER", "unix:"+filepath.Join(t.TempDir(), "none"))
	if cards, _ := filepath.Glob("/dev/snd/pcm*"); len(cards) == 0 {
		if _, err := audio.Inputs(t.Context(), System()); err != audio.ErrNone {
			t.Errorf("%v", err)
		}
	}
	in := audio.NewInput(System(), "radio.monitor", func(audio.Block) { t.Error("something is heard") })
	end := run(t, in)
	await(t, "trouble", func() bool { return in.Status().Trouble != "" })
	end()
}

// The device is unplugged and plugged in again, and the server dies, while it is heard.
func TestPlugging(t *testing.T) {
	server := soundserver.New(t)
	module := server.Plug("radio", "Radio")
	var e ear
	in := audio.NewInput(System(), "Monitor of Radio", e.hear)
	end := run(t, in)
	heard := func() bool { return in.Status().Trouble == "" && len(e.take()) > 0 }
	silent := func() bool { s := in.Status(); return s.Trouble != "" && s.Device == (audio.Device{}) }
	await(t, "heard", heard)
	if got := in.Status().Device; got.ID != "radio.monitor" {
		t.Errorf("device %+v", got)
	}
	await(t, "zeros are told", func() bool { return in.Status().Level.Dead })

	server.Unplug(module)
	await(t, "unplugged", silent)
	server.Plug("other", "Another one") // it isn't taken in its place
	await(t, "not found", func() bool { return strings.Contains(in.Status().Trouble, "not plugged in") })
	server.Plug("radio", "Radio")
	await(t, "heard again", heard)

	server.Kill()
	await(t, "no server", silent)
	server.Start()
	server.Plug("radio", "Radio")
	await(t, "heard from the new server", heard)

	in.Choose("")
	await(t, "none is wanted", func() bool { return in.Status() == (audio.InputStatus{Level: in.Status().Level}) })
	in.Choose("radio.monitor")
	await(t, "wanted again", heard)
	end()
}

// onset is the time at which a burst begins: where its energy passes half of what it has over so many samples.
func onset(blocks []audio.Block, length int) (at time.Time, found bool) {
	for _, b := range blocks {
		for i, x := range b.Samples {
			if math.Abs(float64(x)) > 0.1 {
				return b.At.Add(time.Duration(i) * time.Second / audio.Rate), true
			}
		}
	}
	return at, false
}

// A tone is sent at a given time and heard by the monitor of the same sink. The delay between the two time axes
// repeats from start to start to 5 ms: it is the sound system's own.
func TestTimeOfATone(t *testing.T) {
	server := soundserver.New(t)
	server.Plug("ether", "Ether")
	tone := make([]float32, audio.Rate/10)
	for i := range tone {
		tone[i] = 0.5
	}
	var minimum, greatest time.Duration
	for start := range 5 {
		var e ear
		in := audio.NewInput(System(), "ether.monitor", e.hear)
		out := audio.NewOutput(System(), "ether")
		endIn, endOut := run(t, in), run(t, out)
		await(t, "both run", func() bool { return out.Ready() && in.Status().Trouble == "" && len(e.take()) > 0 })
		at := time.Now().Add(audio.MaxAhead + time.Second)
		if err := out.PlayAt(at, tone); err != nil {
			t.Fatal(err)
		}
		var delay time.Duration
		await(t, "the tone", func() bool {
			began, found := onset(e.take(), len(tone))
			delay = began.Sub(at)
			return found
		})
		endIn()
		endOut()
		t.Logf("start %d: heard %v after it was due; %d frames lost", start, delay, in.Status().LostFrames)
		if start == 0 {
			minimum, greatest = delay, delay
		}
		minimum, greatest = min(minimum, delay), max(greatest, delay)
	}
	if greatest-minimum > 5*time.Millisecond || minimum < 0 || greatest > time.Second {
		t.Errorf("the delay lies between %v and %v: it does not repeat to 5 ms", minimum, greatest)
	}
}

// What is too late is refused, not played late.
func TestTooLate(t *testing.T) {
	server := soundserver.New(t)
	server.Plug("ether", "Ether")
	out := audio.NewOutput(System(), "ether")
	end := run(t, out)
	if err := out.PlayAt(time.Now().Add(time.Minute), nil); err == nil {
		t.Error("taken before the output runs")
	}
	await(t, "it runs", out.Ready)
	if err := out.PlayAt(time.Now().Add(time.Second), nil); err == nil {
		t.Error("taken too late")
	}
	end()
}

package practice

import (
	"sync"
	"time"

	"beamhelm/app/audio"
	"beamhelm/app/settings"
	"beamhelm/ending"
)

// Transmitter is the simulated transmitter's audio, an output beside those of the sound system.
type Transmitter struct {
	sent func(at time.Time, block []float32)
}

// NewTransmitter returns a transmitter. sent gets what is played, as it is played.
func NewTransmitter(sent func(at time.Time, block []float32)) *Transmitter { return &Transmitter{sent} }

// Inputs implements audio.System: there is none.
func (*Transmitter) Inputs() ([]audio.Device, error) { return nil, nil }

// Outputs implements audio.System.
func (*Transmitter) Outputs() ([]audio.Device, error) {
	return []audio.Device{{ID: settings.SimulatedTransmitter, Name: settings.SimulatedTransmitter}}, nil
}

// Capture implements audio.System.
func (*Transmitter) Capture(string, func([]float32)) (audio.Stream, error) {
	return nil, audio.ErrNotFound
}

// Play implements audio.System.
func (t *Transmitter) Play(_ string, fill func([]float32)) (audio.Stream, error) {
	p := &playing{sent: t.sent, ended: make(chan struct{})}
	p.rest.Go("simulated transmitter", func() { p.run(fill) })
	return p, nil
}

// playing is its stream.
type playing struct {
	sent  func(time.Time, []float32)
	rest  ending.Group
	once  sync.Once
	ended chan struct{}
}

// Close implements audio.Stream.
func (p *playing) Close() {
	p.once.Do(func() { close(p.ended) })
	p.rest.Wait()
}

// run asks for blocks when they are due, as a sound card does.
func (p *playing) run(fill func([]float32)) {
	block := make([]float32, audio.Rate/10)
	lasts := time.Second / 10
	ticker := time.NewTicker(lasts)
	defer ticker.Stop()
	for began, count := time.Now(), 0; ; {
		select {
		case <-p.ended:
			return
		case <-ticker.C:
		}
		ending.Here("simulated transmitter")
		for ; time.Since(began) >= time.Duration(count)*lasts; count++ {
			clear(block)
			fill(block)
			p.sent(began.Add(time.Duration(count)*lasts), block)
		}
	}
}

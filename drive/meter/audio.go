package meter

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os/exec"
	"strings"
	"sync"
	"time"

	"gonum.org/v1/gonum/dsp/fourier"
)

// blocks of audio are a tenth of a second.
const blocksPerSecond = 10

// clipped is from what sample on, of 32768, audio counts as clipping, and
// maxClipped how many such samples a block may have.
const (
	clipped    = 32700
	maxClipped = 3
)

// listen turns audio into levels: the power between two frequencies, a mean of each block.
func (m *Meter) listen(port io.Reader) error {
	n := m.config.Rate / blocksPerSecond
	raw, values := make([]byte, 2*n), make([]float64, n)
	transform := fourier.NewFFT(n)
	steady := steadiness{bandHz: m.config.HighHz - m.config.LowHz}
	for {
		if _, err := io.ReadFull(port, raw); err != nil {
			if errors.Is(err, io.ErrUnexpectedEOF) {
				err = io.EOF
			}
			return err
		}
		lasts := time.Second / blocksPerSecond
		s := Sample{At: time.Now().Add(-lasts / 2), Lasts: lasts}
		high := 0
		for i := range values {
			v := int16(binary.LittleEndian.Uint16(raw[2*i:]))
			if v >= clipped || v <= -clipped {
				high++
			}
			values[i] = float64(v) / 32768
		}
		power := bandPower(transform, values, float64(m.config.Rate), m.config.LowHz, m.config.HighHz)
		switch {
		case high > maxClipped:
			s.Flaw = Overloaded
			steady.forget()
		case steady.regulated(power):
			s.Flaw = Regulated
		}
		m.putAudio(s, power)
	}
}

// steadyBlocks is how many blocks are averaged to tell automatic gain: five
// seconds, longer than it takes to act.
const steadyBlocks = 50

// steadiness finds automatic gain: noise of a bandwidth B averaged over a time T
// scatters by 1/sqrt(B T) of its power (the radiometer equation); a level that
// scatters much less is held by something.
type steadiness struct {
	bandHz float64
	sum    float64 // of the mean under way
	blocks int
	means  [60]float64 // of steadyBlocks each, the last
	count  int
}

func (s *steadiness) forget() { *s = steadiness{bandHz: s.bandHz} }

// regulated takes the power of a block in and reports whether the last minutes were too steady.
func (s *steadiness) regulated(power float64) bool {
	s.sum += power / steadyBlocks
	if s.blocks++; s.blocks == steadyBlocks {
		s.means[s.count%len(s.means)] = s.sum
		s.count++
		s.sum, s.blocks = 0, 0
	}
	if s.count < len(s.means) {
		return false
	}
	// Differences from one mean to the next, so that a level that drifts does not hide it.
	mean, scatter := 0.0, 0.0
	for i, v := range s.means {
		mean += v / float64(len(s.means))
		if before := s.means[(i+len(s.means)-1)%len(s.means)]; (s.count-1-i)%len(s.means) != len(s.means)-1 {
			scatter += (v - before) * (v - before) / 2 / float64(len(s.means)-1)
		}
	}
	// Three tenths of the variance that noise has: by chance some five times in a million.
	return mean > 0 && scatter < 0.3*mean*mean/(s.bandHz*steadyBlocks/blocksPerSecond)
}

// putAudio takes the power of a block in; no power at all is a dead input.
func (m *Meter) putAudio(s Sample, power float64) {
	if power <= 0 {
		m.put(s, math.NaN())
		return
	}
	value := power
	if !m.config.Linear {
		value = 10 * math.Log10(power)
	}
	m.put(s, value)
}

// bandPower is the mean square of what lies between two frequencies.
func bandPower(transform *fourier.FFT, values []float64, rate, low, high float64) float64 {
	n := float64(len(values))
	sum := 0.0
	for i, c := range transform.Coefficients(nil, values) {
		f := float64(i) * rate / n
		if f < low || f > high {
			continue
		}
		part := real(c)*real(c) + imag(c)*imag(c)
		if i > 0 && f < rate/2 {
			part *= 2 // the other half of the spectrum
		}
		sum += part
	}
	return sum / (n * n)
}

// Recorder opens a program that writes samples to its standard output until it
// is ended, such as the system's own recorder.
func Recorder(command string) func(ctx context.Context) (io.ReadWriteCloser, error) {
	return func(ctx context.Context) (io.ReadWriteCloser, error) {
		words := strings.Fields(command)
		if len(words) == 0 {
			return nil, errors.New("no program is set that records")
		}
		c := exec.CommandContext(ctx, words[0], words[1:]...)
		c.WaitDelay = time.Second
		out, err := c.StdoutPipe()
		if err != nil {
			return nil, err
		}
		var said tail
		c.Stderr = &said
		if err := c.Start(); err != nil {
			return nil, fmt.Errorf("recording: %w", err)
		}
		return &recording{c: c, out: out, said: &said}, nil
	}
}

// recording is a program that records.
type recording struct {
	c     *exec.Cmd
	out   io.ReadCloser
	said  *tail
	ended sync.Once
}

// end waits for the program to be gone: whoever comes first.
func (r *recording) end() { r.ended.Do(func() { r.c.Wait() }) }

// Read implements io.Reader; at the program's end it tells what the program said.
func (r *recording) Read(p []byte) (int, error) {
	n, err := r.out.Read(p)
	if err != nil && n == 0 {
		r.end()
		if words := strings.TrimSpace(string(*r.said)); words != "" {
			return 0, errors.New(words)
		}
	}
	return n, err
}

// Write implements io.Writer: there is nothing to be told.
func (r *recording) Write(p []byte) (int, error) { return 0, errors.New("a recording takes no words") }

// Close ends the program.
func (r *recording) Close() error {
	r.c.Process.Kill()
	r.end()
	return nil
}

// tail keeps the last words of what is written to it.
type tail []byte

func (t *tail) Write(p []byte) (int, error) {
	*t = append(*t, p...)
	if n := len(*t); n > 200 {
		*t = (*t)[n-200:]
	}
	return len(p), nil
}

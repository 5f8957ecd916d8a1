// Package wavfile reads and writes recordings of the receiver as WAV files.
package wavfile

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"
)

// MaxBytes is the largest file that is read: an hour and a half of 48 kHz, 16 bit, mono.
const MaxBytes = 512 << 20

// Audio is a recording of one channel, full scale 1.
type Audio struct {
	RateHz  float64
	Samples []float64
}

var errNoSamples = errors.New("it is not a WAV file with samples")

// Formats of samples in a WAV file.
const (
	integers   = 1
	floats     = 3
	extensible = 0xFFFE
)

// Read reads the first channel of a WAV file: integers of 8 to 32 bits, or floats of 32 or 64.
// The file must not be longer than MaxBytes.
func Read(r io.ReadSeeker) (a Audio, err error) {
	// The decoder trusts what a file says of itself.
	defer func() {
		if p := recover(); p != nil {
			a, err = Audio{}, fmt.Errorf("the file is damaged: %v", p)
		}
	}()
	size, err := r.Seek(0, io.SeekEnd)
	if err != nil {
		return Audio{}, err
	}
	if size > MaxBytes {
		return Audio{}, fmt.Errorf("the file has %d MB: at most %d", size>>20, MaxBytes>>20)
	}
	extended, err := subFormat(r, size)
	if err != nil {
		return Audio{}, err
	}
	d := wav.NewDecoder(r)
	if !d.IsValidFile() {
		return Audio{}, errNoSamples
	}
	if d.WavAudioFormat == extensible {
		d.WavAudioFormat = extended
	}
	full, convert, err := sampleFormat(d)
	if err != nil {
		return Audio{}, err
	}
	a = Audio{RateHz: float64(d.SampleRate)}
	frame := int(d.NumChans)
	if d.BitDepth == 64 { // which the decoder does not read: it reads two halves of 32
		d.BitDepth = 32
		frame *= 2
	}
	buffer := &audio.IntBuffer{Data: make([]int, frame*4096), Format: d.Format()}
	for {
		n, err := d.PCMBuffer(buffer)
		if err != nil {
			return Audio{}, fmt.Errorf("read the samples: %w", err)
		}
		if n == 0 {
			return a, nil
		}
		for i := 0; i+frame <= n; i += frame {
			a.Samples = append(a.Samples, convert(buffer.Data[i:i+frame])/full)
		}
	}
}

// subFormat is what an extensible format says of its samples in the first two bytes of its sub-format, which the
// decoder does not read; 0 for other files. Source: Multiple Channel Audio Data and WAVE Files, Microsoft 2001. A chunk
// before the samples that says it is longer than the file is refused: the decoder would take memory for all of it.
func subFormat(r io.ReadSeeker, size int64) (code uint16, err error) {
	var riff [12]byte
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return 0, err
	}
	if _, err := io.ReadFull(r, riff[:]); err != nil || string(riff[:4]) != "RIFF" || string(riff[8:]) != "WAVE" {
		return 0, errNoSamples
	}
	at := int64(len(riff))
	for {
		var chunk struct {
			Name [4]byte
			Size uint32
		}
		if _, err := r.Seek(at, io.SeekStart); err != nil {
			return 0, err
		}
		if err := binary.Read(r, binary.LittleEndian, &chunk); err != nil {
			return 0, errNoSamples
		}
		at += 8
		long, name := int64(chunk.Size), string(chunk.Name[:])
		switch {
		case name == "data":
			_, err := r.Seek(0, io.SeekStart)
			return code, err
		case long > size-at:
			return 0, fmt.Errorf("the file is damaged: its part %q has %d bytes, of which %d are there", name, long,
				max(0, size-at))
		case name == "fmt " && long >= 40:
			var format [26]byte
			if _, err := io.ReadFull(r, format[:]); err != nil {
				return 0, err
			}
			code = binary.LittleEndian.Uint16(format[24:])
		}
		at += long + long%2
	}
}

// sampleFormat says what the first sample of a frame means, and what is full scale.
func sampleFormat(d *wav.Decoder) (full float64, convert func(frame []int) float64, err error) {
	switch {
	case d.NumChans == 0 || d.NumChans > 32 || d.SampleRate == 0:
		return 0, nil, fmt.Errorf("%d channels at %d Hz cannot be", d.NumChans, d.SampleRate)
	case d.WavAudioFormat == floats && d.BitDepth == 32:
		return 1, func(frame []int) float64 { return finite(float64(math.Float32frombits(uint32(frame[0])))) }, nil
	case d.WavAudioFormat == floats && d.BitDepth == 64:
		return 1, func(frame []int) float64 {
			return finite(math.Float64frombits(uint64(uint32(frame[1]))<<32 | uint64(uint32(frame[0]))))
		}, nil
	case d.WavAudioFormat == floats:
		return 0, nil, fmt.Errorf("floats of %d bits are not read: use 32 or 64", d.BitDepth)
	case d.WavAudioFormat != integers:
		return 0, nil, fmt.Errorf("samples of WAV format %d are not read: use PCM", d.WavAudioFormat)
	case d.BitDepth == 8:
		return 128, func(frame []int) float64 { return float64(frame[0]) - 128 }, nil
	case d.BitDepth == 16, d.BitDepth == 24, d.BitDepth == 32:
		return math.Exp2(float64(d.BitDepth) - 1), func(frame []int) float64 { return float64(frame[0]) }, nil
	}
	return 0, nil, fmt.Errorf("samples of %d bits are not read: use 8, 16, 24 or 32", d.BitDepth)
}

// finite is a sample; what is no number, or without end, is silence.
func finite(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return x
}

// Write writes a recording as 16 bit PCM, its comment in the file's own header. What is beyond
// full scale is clipped.
func Write(w io.WriteSeeker, a Audio, comment string) error {
	e := wav.NewEncoder(w, int(math.Round(a.RateHz)), 16, 1, integers)
	e.Metadata = &wav.Metadata{Comments: comment}
	b := &audio.IntBuffer{Format: &audio.Format{NumChannels: 1, SampleRate: int(math.Round(a.RateHz))},
		SourceBitDepth: 16}
	b.Data = make([]int, len(a.Samples))
	for i, x := range a.Samples {
		b.Data[i] = int(math.Round(max(-1, min(1, x)) * 32767))
	}
	if err := e.Write(b); err != nil {
		return fmt.Errorf("write the samples: %w", err)
	}
	return e.Close()
}

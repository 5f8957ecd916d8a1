package sound

import (
	"bytes"
	"encoding/binary"
	"math"
)

// rate of the samples, a second.
const rate = 22050

// Wave is a sound as a WAV file: one channel of 16 bits.
func Wave(s Sound) []byte {
	var samples []int16
	switch s {
	case Once:
		samples = append(pip(660, 0.16), pip(0, 0.05)...)
	case Again:
		for _, hz := range [...]float64{880, 660, 880} {
			samples = append(append(samples, pip(hz, 0.18)...), pip(0, 0.07)...)
		}
	}
	var body bytes.Buffer
	size := uint32(2 * len(samples))
	for _, part := range []any{
		[]byte("RIFF"), 36 + size, []byte("WAVEfmt "), uint32(16), uint16(1), uint16(1),
		uint32(rate), uint32(2 * rate), uint16(2), uint16(16), []byte("data"), size, samples,
	} {
		_ = binary.Write(&body, binary.LittleEndian, part) // a buffer takes everything
	}
	return body.Bytes()
}

// pip is a tone that begins and ends softly; silence at 0 Hz.
func pip(hz, lasts float64) []int16 {
	out := make([]int16, int(lasts*rate))
	for i := range out {
		edge := min(1, float64(min(i, len(out)-1-i))/(0.01*rate))
		out[i] = int16(0.4 * 32767 * edge * math.Sin(2*math.Pi*hz*float64(i)/rate))
	}
	return out
}

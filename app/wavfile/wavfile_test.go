package wavfile

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestWrittenIsReadBack(t *testing.T) {
	file, err := os.Create(filepath.Join(t.TempDir(), "a.wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	want := Audio{RateHz: 12000, Samples: []float64{0, 0.5, -0.5, 2, -2}}
	if err := Write(file, want, "1296 MHz"); err != nil {
		t.Fatal(err)
	}
	got, err := Read(file)
	if err != nil {
		t.Fatal(err)
	}
	for i, x := range []float64{0, 0.5, -0.5, 1, -1} {
		if math.Abs(got.Samples[i]-x) > 1e-4 {
			t.Errorf("sample %d is %g, not %g", i, got.Samples[i], x)
		}
	}
	if got.RateHz != 12000 || len(got.Samples) != 5 {
		t.Errorf("%g Hz, %d samples", got.RateHz, len(got.Samples))
	}
}

// header is a WAV file by the format's own description (Multimedia Programming Interface
// and Data Specifications 1.0, IBM and Microsoft 1991).
func header(format, channels uint16, rate uint32, bits uint16, samples []byte) []byte {
	var b bytes.Buffer
	put := func(v any) { _ = binary.Write(&b, binary.LittleEndian, v) }
	b.WriteString("RIFF")
	put(uint32(36 + len(samples)))
	b.WriteString("WAVEfmt ")
	put(uint32(16))
	put([]uint16{format, channels})
	put([]uint32{rate, rate * uint32(channels) * uint32(bits) / 8})
	put([]uint16{channels * bits / 8, bits})
	b.WriteString("data")
	put(uint32(len(samples)))
	b.Write(samples)
	return b.Bytes()
}

// extended is the same with the longer description (Multiple Channel Audio Data and WAVE Files, Microsoft 2001), after
// a chunk of an odd length that says nothing of the samples.
func extended(subFormat uint16, rate uint32, bits uint16, samples []byte) []byte {
	var b bytes.Buffer
	put := func(v any) { _ = binary.Write(&b, binary.LittleEndian, v) }
	b.WriteString("RIFF")
	put(uint32(72 + len(samples)))
	b.WriteString("WAVEjunk")
	put(uint32(3))
	b.WriteString("fmt\x00fmt ")
	put(uint32(40))
	put([]uint16{0xFFFE, 1})
	put([]uint32{rate, rate * uint32(bits) / 8})
	put([]uint16{bits / 8, bits, 22, bits, 0, 0, subFormat})
	b.WriteString("\x00\x00\x00\x00\x10\x00\x80\x00\x00\xAA\x00\x38\x9B\x71data")
	put(uint32(len(samples)))
	b.Write(samples)
	return b.Bytes()
}

func TestFormats(t *testing.T) {
	half := math.Float32bits(0.5)
	double := func(values ...float64) (b []byte) {
		for _, v := range values {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
		}
		return b
	}
	for _, c := range []struct {
		name string
		file []byte
		want float64
	}{
		{"8 bit", header(1, 1, 8000, 8, []byte{192, 192}), 0.5},
		{"16 bit, two channels", header(1, 2, 48000, 16, []byte{0, 0x40, 0, 0, 0, 0x40, 0, 0}), 0.5},
		{"24 bit", header(1, 1, 48000, 24, []byte{0, 0, 0x40, 0, 0, 0x40}), 0.5},
		{"32 bit", header(1, 1, 48000, 32, []byte{0, 0, 0, 0x40, 0, 0, 0, 0x40}), 0.5},
		{"float", header(3, 1, 48000, 32, binary.LittleEndian.AppendUint32(binary.LittleEndian.AppendUint32(nil, half),
			half)), 0.5},
		{"float of 64 bit", header(3, 1, 48000, 64, double(-0.1, 1)), -0.1},
		{"float of 64 bit, two channels", header(3, 2, 48000, 64, double(0.3, 9, 0.3, 9)), 0.3},
		{"float of 64 bit, no number", header(3, 1, 48000, 64, double(math.NaN(), 1)), 0},
		{"extended, float of 64 bit", extended(3, 48000, 64, double(0.7, 0.7)), 0.7},
		{"extended, 16 bit", extended(1, 48000, 16, []byte{0, 0x40, 0, 0x40}), 0.5},
		{"extended, float", extended(3, 48000, 32, binary.LittleEndian.AppendUint32(
			binary.LittleEndian.AppendUint32(nil, half), half)), 0.5},
	} {
		got, err := Read(bytes.NewReader(c.file))
		if err != nil || len(got.Samples) != 2 || math.Abs(got.Samples[0]-c.want) > 1e-6 {
			t.Errorf("%s: %v, %v", c.name, got, err)
		}
	}
	for _, c := range []struct {
		file []byte
		want string
	}{
		{[]byte("RIFF"), "not a WAV file"},
		{nil, "not a WAV file"},
		{header(7, 1, 8000, 8, []byte{1, 2}), "format 7"},
		{[]byte("RIFF\x64\x00\x00\x00WAVEfmt \x10\x08\xff\xff\x00\x00at\x7f\xbb\x00\x00\xdc\x05\x00\x00"),
			"damaged"},
		{extended(7, 8000, 8, []byte{1, 2}), "format 7"},
		{header(1, 1, 8000, 12, []byte{1, 2}), "12 bits"},
		{header(1, 1, 8000, 64, double(1)), "64 bits"},
		{header(3, 1, 8000, 16, []byte{1, 2}), "floats of 16 bits"},
		{header(1, 0, 8000, 16, []byte{1, 2}), "not a WAV"},
	} {
		if _, err := Read(bytes.NewReader(c.file)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.20q: %v, not %q", c.file, err, c.want)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(header(1, 1, 8000, 16, []byte{1, 2, 3, 4}))
	f.Add(header(3, 2, 48000, 32, make([]byte, 64)))
	f.Add(header(3, 2, 48000, 64, make([]byte, 64)))
	f.Fuzz(func(t *testing.T, b []byte) {
		a, err := Read(bytes.NewReader(b))
		if err == nil && len(a.Samples) > len(b) {
			t.Errorf("%d samples of %d bytes", len(a.Samples), len(b))
		}
	})
}

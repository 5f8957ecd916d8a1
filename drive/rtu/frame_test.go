package rtu

import (
	"bytes"
	"encoding/hex"
	"testing"
	"time"
)

func fromHex(t testing.TB, text string) []byte {
	t.Helper()
	b, err := hex.DecodeString(text)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestCRC(t *testing.T) {
	rows := []struct {
		name, source string
		frame        []byte
		want         uint16
	}{
		{"02 07", "MODBUS over Serial Line V1.02, 6.2.2: sent as 41 12", []byte{2, 7}, 0x1241},
		{"123456789", "CRC-16/MODBUS check value, catalogue of parametrised CRC algorithms", []byte("123456789"),
			0x4B37},
	}
	for _, row := range rows {
		if got := CRC(row.frame); got != row.want {
			t.Errorf("CRC of %s is %04X, want %04X (%s)", row.name, got, row.want, row.source)
		}
		if !CRCValid(AppendCRC(bytes.Clone(row.frame), 0)) {
			t.Errorf("%s with its CRC is not whole", row.name)
		}
	}
}

// published are the examples of MODBUS Application Protocol V1.1b3, sections
// 6.3, 6.4, 6.6, 6.12 and 6.17, with unit 11h and the CRC put around them.
func published() []struct {
	name           string
	request        Request
	sent, answered string
	registers      []uint16
} {
	return []struct {
		name           string
		request        Request
		sent, answered string
		registers      []uint16
	}{
		{"03", Request{Unit: 0x11, Function: ReadHolding, ReadAddress: 0x6B, ReadCount: 3}, "1103006B00037687",
			"110306022B00000064C8BA", []uint16{0x22B, 0, 0x64}},
		{"04", Request{Unit: 0x11, Function: ReadInput, ReadAddress: 8, ReadCount: 1}, "110400080001B298",
			"110402000AF8F4", []uint16{10}},
		{"06", Request{Unit: 0x11, Function: WriteOne, WriteAddress: 1, Write: []uint16{3}}, "1106000100039A9B",
			"1106000100039A9B", nil},
		{"16", Request{Unit: 0x11, Function: WriteMany, WriteAddress: 1, Write: []uint16{10, 0x102}},
			"11100001000204000A0102C6F0", "1110000100021298", nil},
		{
			"23", Request{Unit: 0x11, Function: ReadWrite, ReadAddress: 3, ReadCount: 6, WriteAddress: 14,
				Write: []uint16{255, 255, 255}},
			"111700030006000E00030600FF00FF00FF4B54", "11170C00FE0ACD00010003000D00FF0D75",
			[]uint16{0xFE, 0xACD, 1, 3, 13, 0xFF},
		},
	}
}

func TestPublishedFrames(t *testing.T) {
	for _, row := range published() {
		sent, answered := fromHex(t, row.sent), fromHex(t, row.answered)
		if got := row.request.Append(nil); !bytes.Equal(got, sent) {
			t.Errorf("request of %s is % X, want % X", row.name, got, sent)
		}
		if got := row.request.ReplyLength(); got != len(answered) {
			t.Errorf("reply of %s has %d bytes, want %d", row.name, got, len(answered))
		}
		line := &playback{reply: answered}
		registers, err := NewMaster(line, line.clock).Exchange(&row.request, time.Second)
		if err != nil || !equal(registers, row.registers) {
			t.Errorf("reply of %s gives %v, %v, want %v", row.name, registers, err, row.registers)
		}
		listener := Listener{Unit: 0x11}
		listener.Put(sent, 0)
		if frame, ok := listener.Next(0); !ok || !bytes.Equal(frame, sent) {
			t.Errorf("the listener finds % X, %v, want % X", frame, ok, sent)
		}
	}
}

// TestPublishedExceptions: the exception frame of the application protocol, section 7, for functions 03 and 23.
func TestPublishedExceptions(t *testing.T) {
	for i, answered := range map[int]string{0: "118302C134", 4: "119702CE34"} {
		row := published()[i]
		line := &playback{reply: fromHex(t, answered)}
		if _, err := NewMaster(line, line.clock).Exchange(&row.request, time.Second); err != IllegalDataAddress {
			t.Errorf("%s to function %s gives %v, want exception 02", answered, row.name, err)
		}
	}
}

func equal(a, b []uint16) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// playback is a line in virtual time that answers each request with the next
// of its replies, byte by byte, one each millisecond.
type playback struct {
	reply   []byte   // to the next request
	replies [][]byte // to those after it
	pending []byte
	arrived bool // the first of the pending is there already
	now     time.Duration
	wait    time.Duration
	sent    [][]byte
}

func (p *playback) clock() time.Duration { return p.now }
func (p *playback) Close() error         { return nil }

func (p *playback) SetReadTimeout(d time.Duration) error {
	p.wait = d
	return nil
}

func (p *playback) Write(b []byte) (int, error) {
	p.sent = append(p.sent, bytes.Clone(b))
	p.pending = append(p.pending, p.reply...)
	p.reply = nil
	if len(p.replies) > 0 {
		p.reply, p.replies = p.replies[0], p.replies[1:]
	}
	return len(b), nil
}

func (p *playback) Read(b []byte) (int, error) {
	if len(p.pending) == 0 || p.wait <= 0 && !p.arrived {
		p.now += p.wait
		return 0, nil
	}
	if !p.arrived {
		p.now += time.Millisecond
	}
	p.arrived = false
	b[0] = p.pending[0]
	p.pending = p.pending[1:]
	return 1, nil
}

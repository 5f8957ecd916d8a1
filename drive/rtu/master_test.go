package rtu

import (
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"
)

// answer is a reply of unit 1 to function 23.
func answer(registers ...uint16) []byte {
	frame := []byte{1, 23, byte(2 * len(registers))}
	for _, v := range registers {
		frame = binary.BigEndian.AppendUint16(frame, v)
	}
	return AppendCRC(frame, 0)
}

func tick(sequence uint16) *Request {
	return &Request{
		Unit: 1, Function: ReadWrite, ReadAddress: 0x20, ReadCount: 2, WriteAddress: 0x10, Write: []uint16{sequence},
		CheckSequence: true, SequenceAt: 1, Sequence: sequence,
	}
}

func TestWhatCounts(t *testing.T) {
	good, stale := answer(77, 8), answer(66, 7)
	damaged := slices.Clone(good)
	damaged[4] ^= 4
	rows := []struct {
		name  string
		input []byte
		want  error
	}{
		{"the reply", good, nil},
		{"a stale reply first", slices.Concat(stale, good), nil},
		{"only a stale one", stale, ErrStale},
		{"rubbish first", slices.Concat([]byte{1, 23, 0, 0xFF}, good), nil},
		{"the beginning of a reply first", slices.Concat(good[:5], good), nil},
		{"a reply of another unit first", slices.Concat(AppendCRC([]byte{2, 23, 4, 0, 1, 0, 8}, 0), good), nil},
		{"a reply to another function first", slices.Concat(AppendCRC([]byte{1, 3, 4, 0, 1, 0, 8}, 0), good), nil},
		{"a reply of another length first", slices.Concat(answer(1, 8, 3), good), nil},
		{"twice", slices.Concat(good, good), nil},
		{"a damaged one first", slices.Concat(damaged, good), nil},
		{"only a damaged one", damaged, ErrDamaged},
		{"a reply cut short", good[:8], ErrDamaged},
		{"nothing", nil, ErrSilent},
		{"an exception", AppendCRC([]byte{1, 23 | 0x80, 3}, 0), IllegalDataValue},
		{"an exception to another function, then the reply", slices.Concat(AppendCRC([]byte{1, 0x83, 2}, 0), good),
			nil},
		{"an unknown exception", AppendCRC([]byte{1, 23 | 0x80, 6}, 0), Exception(6)},
	}
	for _, row := range rows {
		line := &playback{reply: row.input}
		m := NewMaster(line, line.clock)
		registers, err := m.Exchange(tick(8), 500*time.Millisecond)
		if !errors.Is(err, row.want) || err == nil && registers[0] != 77 {
			t.Errorf("%s: %v, %v, want %v", row.name, registers, err, row.want)
		}
		if line.now > 500*time.Millisecond {
			t.Errorf("%s: the exchange ended at %v, after its deadline", row.name, line.now)
		}
		if c := m.Counts; c.Requests != 1 || c.Good+c.Silent+c.Damaged+c.Exceptions+c.StaleOnly+c.NotSent != 1 {
			t.Errorf("%s: one exchange is counted as %+v", row.name, c)
		}
	}
}

// TestDrain: after an exchange that went wrong the line is left alone until 20 ms of silence.
func TestDrain(t *testing.T) {
	late := answer(66, 7)
	line := &playback{replies: [][]byte{answer(77, 8)}}
	m := NewMaster(line, line.clock)
	if _, err := m.Exchange(tick(7), 100*time.Millisecond); !errors.Is(err, ErrSilent) {
		t.Fatalf("without a reply: %v", err)
	}
	line.pending, line.arrived = late, true
	began := line.now
	if _, err := m.Exchange(tick(8), line.now+200*time.Millisecond); err != nil {
		t.Fatalf("after a late reply: %v", err)
	}
	if want := began + time.Duration(len(late)-1)*time.Millisecond + 20*time.Millisecond; m.Sent() != want {
		t.Errorf("the request left at %v, want %v: 20 ms after the last stray byte", m.Sent(), want)
	}
	if m.Counts.DiscardedBytes != uint64(len(late)) {
		t.Errorf("%d bytes discarded, want %d", m.Counts.DiscardedBytes, len(late))
	}
}

// TestBabble: on a line that is never silent a request still goes out, after half of its time.
func TestBabble(t *testing.T) {
	line := &playback{pending: make([]byte, 5000)}
	m := NewMaster(line, line.clock)
	if _, err := m.Exchange(tick(8), 90*time.Millisecond); !errors.Is(err, ErrDamaged) {
		t.Errorf("on a babbling line: %v", err)
	}
	if len(line.sent) != 1 || m.Sent() > 46*time.Millisecond || line.now > 91*time.Millisecond {
		t.Errorf("%d requests, the last at %v, ended at %v", len(line.sent), m.Sent(), line.now)
	}
}

func TestWithoutFunction23(t *testing.T) {
	refusal := AppendCRC([]byte{1, 23 | 0x80, 1}, 0)
	written := AppendCRC([]byte{1, 16, 0, 0x10, 0, 1}, 0)
	read := answer(77, 8)
	read[1] = 3
	read = AppendCRC(read[:len(read)-2], 0)
	line := &playback{reply: refusal, replies: [][]byte{written, read, written, read}}
	m := NewMaster(line, line.clock)
	for i, want := range []int{3, 5} {
		registers, err := m.Exchange(tick(8), line.now+300*time.Millisecond)
		if err != nil || registers[0] != 77 || !m.Split {
			t.Fatalf("exchange %d: %v, %v", i, registers, err)
		}
		if len(line.sent) != want {
			t.Errorf("%d requests after exchange %d, want %d: 23 is not tried again", len(line.sent), i, want)
		}
	}
}

// One that refuses everything for a moment says nothing of what it knows: function 23 is tried again.
func TestRefusesEverythingOnce(t *testing.T) {
	refusal := func(function byte) []byte { return AppendCRC([]byte{1, function | 0x80, 1}, 0) }
	line := &playback{reply: refusal(23), replies: [][]byte{refusal(16), answer(77, 8)}}
	m := NewMaster(line, line.clock)
	if _, err := m.Exchange(tick(8), line.now+300*time.Millisecond); !errors.Is(err, IllegalFunction) || m.Split {
		t.Fatalf("all refused: %v, split %v", err, m.Split)
	}
	registers, err := m.Exchange(tick(8), line.now+300*time.Millisecond)
	if err != nil || registers[0] != 77 || m.Split || len(line.sent) != 3 {
		t.Errorf("after it: %v, %v, split %v, %d requests", registers, err, m.Split, len(line.sent))
	}
}

// broken is a line whose other side is gone.
type broken struct{ playback }

func (b *broken) Read([]byte) (int, error)  { return 0, errUnplugged }
func (b *broken) Write([]byte) (int, error) { return 0, errUnplugged }

var errUnplugged = errors.New("unplugged")

func TestUnplugged(t *testing.T) {
	line := &broken{}
	if _, err := NewMaster(line, line.clock).Exchange(tick(8), time.Second); !errors.Is(err, errUnplugged) {
		t.Errorf("on a line without a plug: %v", err)
	}
}

func TestExchangeAllocatesNothing(t *testing.T) {
	line := &loop{reply: answer(77, 8)}
	m, q := NewMaster(line, line.clock), tick(8)
	if n := testing.AllocsPerRun(100, func() {
		if _, err := m.Exchange(q, line.now+time.Second); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("an exchange allocates %v times", n)
	}
}

func BenchmarkExchange(b *testing.B) {
	registers := make([]uint16, 22)
	registers[1] = 8
	line := &loop{reply: answer(registers...)}
	q := &Request{Unit: 1, Function: ReadWrite, ReadAddress: 0x20, ReadCount: 22, WriteAddress: 0x10,
		Write: make([]uint16, 6), CheckSequence: true, SequenceAt: 1, Sequence: 8}
	m := NewMaster(line, line.clock)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.Exchange(q, line.now+time.Second); err != nil {
			b.Fatal(err)
		}
	}
}

// loop answers every request at once.
type loop struct {
	reply []byte
	full  bool
	now   time.Duration
	wait  time.Duration
}

func (l *loop) clock() time.Duration                 { return l.now }
func (l *loop) Close() error                         { return nil }
func (l *loop) SetReadTimeout(d time.Duration) error { l.wait = d; return nil }
func (l *loop) Write(b []byte) (int, error)          { l.full = true; return len(b), nil }
func (l *loop) Read(b []byte) (int, error) {
	if !l.full {
		l.now += l.wait
		return 0, nil
	}
	l.full = false
	return copy(b, l.reply), nil
}

// FuzzReply: whatever comes in, a reply that counts is one whose CRC and
// sequence are right, and the exchange ends by its deadline.
func FuzzReply(f *testing.F) {
	f.Add(answer(77, 8), uint16(8))
	f.Add(append([]byte{1, 23, 4}, answer(66, 7)...), uint16(8))
	f.Add(AppendCRC([]byte{1, 23 | 0x80, 3}, 0), uint16(1))
	f.Fuzz(func(t *testing.T, input []byte, sequence uint16) {
		if len(input) > 2000 {
			return
		}
		line := &playback{reply: input}
		m := NewMaster(line, line.clock)
		registers, err := m.Exchange(tick(sequence), 3*time.Second)
		if line.now > 3*time.Second {
			t.Fatalf("ended at %v", line.now)
		}
		if err == nil {
			want := fmt.Sprintf("%x", answer(registers...))
			if registers[1] != sequence || !containsHex(input, want) {
				t.Fatalf("accepted %v of % X", registers, input)
			}
		}
	})
}

func containsHex(input []byte, want string) bool {
	return len(want) > 0 && len(input)*2 >= len(want) && slices.Contains(windows(input, len(want)/2), want)
}

func windows(input []byte, n int) []string {
	var all []string
	for i := 0; i+n <= len(input); i++ {
		all = append(all, fmt.Sprintf("%x", input[i:i+n]))
	}
	return all
}

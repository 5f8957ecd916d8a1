//go:build unix

package transceiver

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"

	"beamhelm/app/transceiver/codec"
	"beamhelm/drive/link"
)

// radio is a simulated radio at a pseudo-terminal. It reads and writes its protocol by itself, apart from the codec.
type radio struct {
	mu     sync.Mutex
	framed bool
	hz     [2]int64
	split  bool
	sets   []string // what was set, as "0 144100000"

	// What is wrong with it or its line.
	hears                   bool // its own wire: the question comes back
	silent, refuses, babble bool
	lost, spoilt            float64 // share of bytes
	bytewise                bool
	slow                    time.Duration
	turning                 bool // somebody turns the dial
	chance                  *rand.Rand
}

// plug connects the radio and returns the terminal's path; it ends with the test.
func (r *radio) plug(t *testing.T) string {
	t.Helper()
	master, slave, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	r.chance = rand.New(rand.NewPCG(1, 2))
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		var came []byte
		piece := make([]byte, 64)
		for {
			n, err := master.Read(piece)
			if err != nil {
				return
			}
			came = r.serve(master, append(came, piece[:n]...))
		}
	}()
	t.Cleanup(func() {
		slave.Close()
		master.Close()
		<-ended
	})
	return slave.Name()
}

// serve answers what is whole and returns the rest.
func (r *radio) serve(to io.Writer, came []byte) []byte {
	end := byte(';')
	if r.framed {
		end = 0xFD
	}
	for {
		at := bytes.IndexByte(came, end)
		if at < 0 {
			return came
		}
		question := came[:at+1]
		r.mu.Lock()
		var out []byte
		if r.hears {
			out = append(out, question...)
		}
		switch {
		case r.silent:
			out = nil
		case r.babble:
			for range 40 {
				out = append(out, byte(r.chance.UintN(256)))
			}
		case r.framed:
			out = append(out, r.frame(question)...)
		default:
			out = append(out, r.line(string(question))...)
		}
		r.send(to, out)
		r.mu.Unlock()
		came = came[at+1:]
	}
}

func (r *radio) send(to io.Writer, out []byte) {
	if r.slow > 0 {
		<-time.After(r.slow)
	}
	var sent []byte
	for _, b := range out {
		if r.chance.Float64() < r.lost {
			continue
		}
		if r.chance.Float64() < r.spoilt {
			b ^= 1 << r.chance.UintN(8)
		}
		sent = append(sent, b)
	}
	if !r.bytewise {
		_, _ = to.Write(sent)
		return
	}
	for i := range sent {
		_, _ = to.Write(sent[i : i+1])
	}
}

// frame answers a frame of the binary family.
func (r *radio) frame(q []byte) []byte {
	reply := func(body ...byte) []byte { return append(append([]byte{0xFE, 0xFE, 0xE0, 0x94}, body...), 0xFD) }
	if len(q) < 6 || q[2] != 0x94 || q[3] != 0xE0 {
		return nil
	}
	digits := func(hz int64) (d []byte) {
		text := fmt.Sprintf("%010d", hz)
		for i := 8; i >= 0; i -= 2 {
			v, _ := strconv.ParseUint(text[i:i+2], 16, 8)
			d = append(d, byte(v))
		}
		return d
	}
	set := func(v int, d []byte) []byte {
		if r.refuses {
			return reply(0xFA)
		}
		text := ""
		for i := len(d) - 1; i >= 0; i-- {
			text += fmt.Sprintf("%02x", d[i])
		}
		r.take(v, text)
		return reply(0xFB)
	}
	r.turn()
	switch body := q[4 : len(q)-1]; {
	case len(body) == 1 && body[0] == 0x03:
		return reply(append([]byte{3}, digits(r.hz[0])...)...)
	case len(body) == 1 && body[0] == 0x0F:
		return reply(0x0F, map[bool]byte{true: 1}[r.split])
	case len(body) == 2 && body[0] == 0x25 && body[1] == 1:
		return reply(append([]byte{0x25, 1}, digits(r.hz[1])...)...)
	case len(body) == 6 && body[0] == 0x05:
		return set(0, body[1:])
	case len(body) == 7 && body[0] == 0x25:
		return set(1, body[2:])
	}
	return reply(0xFA)
}

// line answers a command of the ASCII family.
func (r *radio) line(q string) string {
	r.turn()
	switch {
	case q == "FA;":
		return fmt.Sprintf("FA%011d;", r.hz[0])
	case q == "FB;":
		return fmt.Sprintf("FB%011d;", r.hz[1])
	case q == "FR;":
		return "FR0;"
	case q == "FT;":
		return map[bool]string{true: "FT1;", false: "FT0;"}[r.split]
	case strings.HasPrefix(q, "FA") && !r.refuses:
		r.take(0, q[2:len(q)-1])
		return ""
	case strings.HasPrefix(q, "FB") && !r.refuses:
		r.take(1, q[2:len(q)-1])
		return ""
	}
	return "?;"
}

func (r *radio) turn() {
	if r.turning {
		r.hz[0] += 100
	}
}

func (r *radio) take(v int, digits string) {
	hz, err := strconv.ParseInt(digits, 10, 64)
	if err != nil {
		return
	}
	r.hz[v] = hz
	r.sets = append(r.sets, fmt.Sprintf("%d %d", v, hz))
}

func (r *radio) taken() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return strings.Join(r.sets, ",")
}

// control runs a transceiver at the radio until the test ends.
func control(t *testing.T, r *radio, change func(*Config)) *Transceiver {
	t.Helper()
	path := r.plug(t)
	c := Config{Name: "radio", Every: 15 * time.Millisecond, Patience: 300 * time.Millisecond,
		Pause: 2 * time.Millisecond}
	c.Protocol = new(codec.ASCII)
	if r.framed {
		c.Protocol = &codec.Framed{Address: 0x94}
	}
	open := link.Serial(link.Settings{Path: path, Baud: 4800, Slow: true, Parity: link.NoParity, StopBits: 1,
		Lines: link.LinesLow})
	c.Open = func(context.Context) (io.ReadWriteCloser, error) { return open() }
	if change != nil {
		change(&c)
	}
	tr, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	ctx, end := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { defer close(ended); tr.Run(ctx) }()
	t.Cleanup(func() {
		end()
		select {
		case <-ended:
		case <-time.After(5 * time.Second):
			t.Error("it didn't end")
		}
	})
	return tr
}

// until waits for a condition.
func until(t *testing.T, what string, is func() bool) {
	t.Helper()
	deadline := time.After(20 * time.Second)
	for !is() {
		select {
		case <-deadline:
			t.Fatalf("never: %s", what)
		case <-time.After(2 * time.Millisecond):
		}
	}
}

//go:build peers

package flash

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"

	"beamhelm/drive/firmware"
	"beamhelm/drive/link"
)

// loader stands in for a board's boot loader at the other end of a
// pseudo-terminal. Frames and commands: AVR068, STK500 Communication Protocol
// (Atmel, 2006), version 2.
type loader struct {
	flash     []byte
	signature [3]byte
	address   int
	// after, where not 0, is after how many pages it answers no more.
	after, pages int
	// bent changes a byte as it is read back.
	bent bool
	// at, where set, is called as each page comes.
	at func(page int)
}

const (
	commandSignOn       = 0x01
	commandGetParameter = 0x03
	commandLoadAddress  = 0x06
	commandProgram      = 0x13
	commandRead         = 0x14
	commandReadFuse     = 0x18
	commandReadLock     = 0x19
	commandReadOSCCAL   = 0x1A
	commandSignature    = 0x1B
	commandSPI          = 0x1D
)

// answer is the reply to a command, nil for silence.
func (l *loader) answer(body []byte) []byte {
	reply := []byte{body[0], 0}
	switch body[0] {
	case commandSignOn:
		return append(reply, "\x08AVRISP_2"...)
	case commandGetParameter:
		return append(reply, 2)
	case commandLoadAddress:
		l.address = 2 * (int(body[1]&0x7F)<<24 | int(body[2])<<16 | int(body[3])<<8 | int(body[4]))
	case commandProgram:
		if l.pages++; l.after > 0 && l.pages > l.after {
			return nil
		}
		if l.at != nil {
			l.at(l.pages)
		}
		n := int(body[1])<<8 | int(body[2])
		copy(l.flash[l.address:], body[10:10+n])
		l.address += n
	case commandRead:
		n := int(body[1])<<8 | int(body[2])
		page := bytes.Clone(l.flash[l.address:][:n])
		if l.bent && l.address == 0x400 {
			page[7] ^= 0x10
		}
		l.address += n
		return append(append(reply, page...), 0)
	case commandSignature:
		return append(reply, l.signature[body[4]], 0)
	case commandReadFuse, commandReadLock, commandReadOSCCAL:
		return append(reply, 0xFF, 0)
	case commandSPI:
		q := body[4:8]
		answer := []byte{0, q[0], q[1], 0}
		if q[0] == 0x30 {
			answer[3] = l.signature[q[2]&3]
		}
		return append(append(reply, answer[:body[1]]...), 0)
	}
	return reply
}

// run answers until the line is closed.
func (l *loader) run(line io.ReadWriter) {
	head := make([]byte, 5)
	for {
		if _, err := io.ReadFull(line, head[:1]); err != nil {
			return
		}
		if head[0] != 0x1B {
			continue
		}
		if _, err := io.ReadFull(line, head[1:]); err != nil {
			return
		}
		body := make([]byte, int(head[2])<<8|int(head[3])+1) // and the checksum
		if _, err := io.ReadFull(line, body); err != nil {
			return
		}
		reply := l.answer(body[:len(body)-1])
		if reply == nil {
			continue
		}
		frame := append([]byte{0x1B, head[1], byte(len(reply) >> 8), byte(len(reply)), 0x0E}, reply...)
		sum := byte(0)
		for _, b := range frame {
			sum ^= b
		}
		if _, err := line.Write(append(frame, sum)); err != nil {
			return
		}
	}
}

// board is a loader at a port.
func board(t *testing.T, l *loader) (port string) {
	t.Helper()
	l.flash = bytes.Repeat([]byte{0xFF}, 1<<18)
	if l.signature == [3]byte{} {
		l.signature = [3]byte{0x1E, 0x98, 0x01}
	}
	near, far := terminal(t)
	ended := make(chan struct{})
	go func() { defer close(ended); l.run(near) }()
	t.Cleanup(func() { far.Close(); near.Close(); <-ended })
	return far.Name()
}

// terminal is a pseudo-terminal that passes every byte as it is; near's Read and Write end when it is closed.
func terminal(t *testing.T) (near, far *os.File) {
	t.Helper()
	near, far, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	raw, err := unix.IoctlGetTermios(int(far.Fd()), unix.TCGETS)
	if err != nil {
		t.Fatal(err)
	}
	raw.Iflag, raw.Oflag, raw.Lflag = 0, 0, 0
	if err := unix.IoctlSetTermios(int(far.Fd()), unix.TCSETS, raw); err != nil {
		t.Fatal(err)
	}
	return near, far
}

func image(t *testing.T) []byte {
	t.Helper()
	image, err := firmware.Image(firmware.UsualStation())
	if err != nil {
		t.Fatal(err)
	}
	return image
}

func TestWritesAndReadsBack(t *testing.T) {
	l := &loader{}
	port := board(t, l)
	var stages []string
	var last Progress
	if err := Do(context.Background(), Write, port, image(t), func(p Progress) {
		if p.Stage != last.Stage {
			stages = append(stages, p.Stage)
		} else if p.Percent < last.Percent {
			t.Errorf("%+v after %+v", p, last)
		}
		last = p
	}); err != nil {
		t.Fatal(err)
	}
	if last.Percent != 100 {
		t.Errorf("ended at %d %%", last.Percent)
	}
	if !bytes.Contains(l.flash, []byte("STATION\x00\x01\x00")) || l.pages < 50 {
		t.Errorf("%d pages came", l.pages)
	}
	if got := strings.Join(stages, ", "); got != "the boot loader answers, writing, reading back and comparing" {
		t.Errorf("told: %s", got)
	}
	if err := Do(context.Background(), Verify, port, image(t), nil); err != nil {
		t.Errorf("verified again: %v", err)
	}
	l.flash[0x123] ^= 1
	if err := Do(context.Background(), Verify, port, image(t), nil); !errors.Is(err, ErrDiffers) {
		t.Errorf("another image on the board: %v", err)
	}
}

func TestSaysWhatIsInTheWay(t *testing.T) {
	for _, row := range []struct {
		name   string
		loader loader
		want   error
	}{
		{"another chip", loader{signature: [3]byte{0x1E, 0x95, 0x0F}}, ErrOtherChip},
		{"a transfer that breaks off", loader{after: 20}, ErrUnfinished},
		{"a byte that reads back as another", loader{bent: true}, ErrDiffers},
	} {
		t.Run(row.name, func(t *testing.T) {
			err := Do(context.Background(), Write, board(t, &row.loader), image(t), nil)
			if !errors.Is(err, row.want) {
				t.Errorf("%v, want %v", err, row.want)
			}
		})
	}
}

// TestAborted: what the board holds then is told.
func TestAborted(t *testing.T) {
	ctx, abort := context.WithCancel(context.Background())
	l := &loader{at: func(page int) {
		if page == 20 {
			abort()
		}
	}}
	err := Do(ctx, Write, board(t, l), image(t), nil)
	if !errors.Is(err, ErrAborted) || !strings.Contains(err.Error(), "not whole, write it again") {
		t.Errorf("in the middle: %v", err)
	}
	err = Do(ctx, Write, board(t, &loader{}), image(t), nil)
	if !errors.Is(err, ErrAborted) || !strings.Contains(err.Error(), "holds what it held before") {
		t.Errorf("before anything was written: %v", err)
	}
}

// TestEndlessRubbish: a board that sends rubbish for ever ends in words too.
func TestEndlessRubbish(t *testing.T) {
	near, far := terminal(t)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		for i := byte(0); ; i += 37 {
			if _, err := near.Write([]byte{i, i ^ 0x1B, 0x1B, i, '#', '\n'}); err != nil {
				return
			}
		}
	}()
	begun := time.Now()
	err := Do(context.Background(), Write, far.Name(), image(t), nil)
	if !errors.Is(err, ErrNoAnswer) {
		t.Errorf("%v", err)
	}
	if took := time.Since(begun); took > silence+10*time.Second {
		t.Errorf("it took %v", took)
	}
	near.Close()
	far.Close()
	<-ended
}

func TestPortsThatCannotBeUsed(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "pipe")
	if err := unix.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		port string
		want error
	}{{"/dev/ttyNONE", ErrNoPort}, {"", ErrNoPort}, {t.TempDir(), ErrNotPort}, {pipe, ErrNotPort}, {os.DevNull, ErrNoAnswer}} {
		if err := Do(context.Background(), Write, row.port, image(t), nil); !errors.Is(err, row.want) {
			t.Errorf("%q: %v, want %v", row.port, err, row.want)
		}
	}
	if err := known(fmt.Errorf("opening it: %w", unix.EACCES)); !errors.Is(err, ErrNoRight) {
		t.Errorf("without the right: %v", err)
	}
	port := board(t, &loader{})
	held, err := os.OpenFile(port, os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer held.Close()
	if err := unix.Flock(int(held.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		t.Fatal(err)
	}
	if err := Do(context.Background(), Write, port, image(t), nil); !errors.Is(err, link.ErrInUse) {
		t.Errorf("a port in use: %v", err)
	}
	free := board(t, &loader{})
	t.Run("no room for the image", func(t *testing.T) {
		t.Setenv("TMPDIR", filepath.Join(t.TempDir(), "none"))
		if err := Do(context.Background(), Write, free, image(t), nil); err == nil || !strings.Contains(err.Error(), "a file for avrdude") {
			t.Error(err)
		}
	})
	t.Setenv("PATH", t.TempDir())
	if err := Do(context.Background(), Write, port, image(t), nil); !errors.Is(err, ErrNoTool) {
		t.Errorf("without avrdude: %v", err)
	}
}

func TestSilentBoard(t *testing.T) {
	near, far, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer near.Close()
	defer far.Close()
	if err := Do(context.Background(), Verify, far.Name(), image(t), nil); !errors.Is(err, ErrNoAnswer) {
		t.Errorf("%v", err)
	}
}

//go:build peers

package flash

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"beamhelm/drive/firmware"
	"beamhelm/drive/firmware/rig"
	"beamhelm/drive/link"
	"beamhelm/drive/replica/serve"
)

func image(t *testing.T) []byte {
	t.Helper()
	image, err := firmware.Image(firmware.UsualStation())
	if err != nil {
		t.Fatal(err)
	}
	return image
}

func TestWritesAndReadsBack(t *testing.T) {
	l := &rig.Loader{}
	port := l.Open(t)
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
	if !bytes.Contains(l.Flash, []byte("STATION\x00\x01\x00")) || l.Pages < 50 {
		t.Errorf("%d pages came", l.Pages)
	}
	if got := strings.Join(stages, ", "); got != "the boot loader answers, writing, reading back and comparing" {
		t.Errorf("told: %s", got)
	}
	if err := Do(context.Background(), Verify, port, image(t), nil); err != nil {
		t.Errorf("verified again: %v", err)
	}
	l.Flash[0x123] ^= 1
	if err := Do(context.Background(), Verify, port, image(t), nil); !errors.Is(err, ErrDiffers) {
		t.Errorf("another image on the board: %v", err)
	}
}

func TestSaysWhatIsInTheWay(t *testing.T) {
	for _, row := range []struct {
		name   string
		loader rig.Loader
		want   error
	}{
		{"another chip", rig.Loader{Signature: [3]byte{0x1E, 0x95, 0x0F}}, ErrOtherChip},
		{"a transfer that breaks off", rig.Loader{After: 20}, ErrUnfinished},
		{"a byte that reads back as another", rig.Loader{Bent: true}, ErrDiffers},
	} {
		t.Run(row.name, func(t *testing.T) {
			err := Do(context.Background(), Write, row.loader.Open(t), image(t), nil)
			if !errors.Is(err, row.want) {
				t.Errorf("%v, want %v", err, row.want)
			}
		})
	}
}

// TestAborted: what the board holds then is told.
func TestAborted(t *testing.T) {
	ctx, abort := context.WithCancel(context.Background())
	l := &rig.Loader{At: func(page int) {
		if page == 20 {
			abort()
		}
	}}
	err := Do(ctx, Write, l.Open(t), image(t), nil)
	if !errors.Is(err, ErrAborted) || !strings.Contains(err.Error(), "not whole, write it again") {
		t.Errorf("in the middle: %v", err)
	}
	ctx, abort = context.WithCancel(context.Background())
	l = &rig.Loader{AtRead: func(address int) {
		if address == 0x2000 {
			abort()
		}
	}}
	err = Do(ctx, Write, l.Open(t), image(t), nil)
	if !errors.Is(err, ErrAborted) || !strings.Contains(err.Error(), "not compared to the end") {
		t.Errorf("while it was read back: %v", err)
	}
	err = Do(ctx, Write, (&rig.Loader{}).Open(t), image(t), nil)
	if !errors.Is(err, ErrAborted) || !strings.Contains(err.Error(), "holds what it held before") {
		t.Errorf("before anything was written: %v", err)
	}
}

// TestEndlessRubbish: a board that sends rubbish without end is reported too.
func TestEndlessRubbish(t *testing.T) {
	terminal, err := serve.OpenTerminal()
	if err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		for i := byte(0); ; i += 37 {
			if _, err := terminal.Write([]byte{i, i ^ 0x1B, 0x1B, i, '#', '\n'}); err != nil {
				return
			}
		}
	}()
	begun := time.Now()
	err = Do(context.Background(), Write, terminal.Path, image(t), nil)
	if !errors.Is(err, ErrNoAnswer) {
		t.Errorf("%v", err)
	}
	if took := time.Since(begun); took > silence+10*time.Second {
		t.Errorf("it took %v", took)
	}
	terminal.Close()
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
	}{{"/dev/ttyNONE", ErrNoPort}, {"", ErrNoPort}, {t.TempDir(), ErrNotPort}, {pipe, ErrNotPort},
		{os.DevNull, ErrNoAnswer}} {
		if err := Do(context.Background(), Write, row.port, image(t), nil); !errors.Is(err, row.want) {
			t.Errorf("%q: %v, want %v", row.port, err, row.want)
		}
	}
	if err := known(fmt.Errorf("opening it: %w", unix.EACCES)); !errors.Is(err, ErrNoRight) {
		t.Errorf("without the right: %v", err)
	}
	port := (&rig.Loader{}).Open(t)
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
	free := (&rig.Loader{}).Open(t)
	t.Run("no room for the image", func(t *testing.T) {
		t.Setenv("TMPDIR", filepath.Join(t.TempDir(), "none"))
		if err := Do(context.Background(), Write, free, image(t), nil); err == nil ||
			!strings.Contains(err.Error(), "a file for avrdude") {
			t.Error(err)
		}
	})
	t.Setenv("PATH", t.TempDir())
	if err := Do(context.Background(), Write, port, image(t), nil); !errors.Is(err, ErrNoTool) {
		t.Errorf("without avrdude: %v", err)
	}
}

func TestSilentBoard(t *testing.T) {
	terminal, err := serve.OpenTerminal()
	if err != nil {
		t.Fatal(err)
	}
	defer terminal.Close()
	if err := Do(context.Background(), Verify, terminal.Path, image(t), nil); !errors.Is(err, ErrNoAnswer) {
		t.Errorf("%v", err)
	}
}

// Package flash writes the enclosure's image to its board and reads it back,
// through avrdude and the board's own boot loader.
package flash

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"beamhelm/drive/link"
)

// What stands in the way, beside link.ErrInUse.
var (
	ErrNoTool     = errors.New("avrdude is not installed: on Debian and Ubuntu, sudo apt install avrdude")
	ErrNoPort     = errors.New("there is no such port: is the board's USB cable plugged in?")
	ErrNoRight    = errors.New("you may not use this port: sudo usermod -aG dialout $USER, then log out and in again")
	ErrNoAnswer   = errors.New("no boot loader answers: press the board's reset button and try again; another board, or a loader of another kind, needs a programmer")
	ErrOtherChip  = errors.New("this board has another chip than an ATmega2560")
	ErrUnfinished = errors.New("the transfer broke off: the image on the board is not whole, write it again")
	ErrDiffers    = errors.New("what the board holds is not this image")
)

// Action is what is done with an image.
type Action byte

// The actions.
const (
	Write  Action = 'w' // and read back
	Verify Action = 'v' // read and compare alone
)

const (
	// longest is how long avrdude may take: an image is written and read in less than half a minute.
	longest = 2 * time.Minute
	// silence is how long nothing may get on: avrdude goes on trying for much longer with a board that is gone.
	silence = 12 * time.Second
)

// tool is the program that speaks with boot loaders.
const tool = "avrdude"

// Ports are the serial ports that a board may be at.
func Ports() (ports []string) {
	for _, pattern := range []string{"/dev/ttyACM*", "/dev/ttyUSB*"} {
		found, err := filepath.Glob(pattern)
		if err != nil {
			panic(err) // the pattern is our own
		}
		ports = append(ports, found...)
	}
	return ports
}

// Do writes or verifies an image, an Intel HEX file, on the board at a port.
// told gets a line for each stage. An error says what to do about it; where
// avrdude said more, its words are in it.
func Do(ctx context.Context, action Action, port string, image []byte, told func(string)) error {
	if _, err := exec.LookPath(tool); err != nil {
		return ErrNoTool
	}
	if err := ready(port); err != nil {
		return fmt.Errorf("%s: %w", port, err)
	}
	folder, err := os.MkdirTemp("", "beamhelm-image-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	name := filepath.Join(folder, "enclosure.hex")
	if err := os.WriteFile(name, image, 0o600); err != nil {
		return err
	}
	asked := ctx
	ctx, end := context.WithTimeout(ctx, longest)
	defer end()
	words := listener{told: told}
	words.stalled = time.AfterFunc(silence, end)
	defer words.stalled.Stop()
	// -D: the boot loader erases each page as it writes it, and can't erase the chip.
	c := exec.CommandContext(ctx, tool, "-p", "atmega2560", "-c", "wiring", "-P", port, "-b", "115200", "-D", "-U", fmt.Sprintf("flash:%c:%s:i", action, name))
	c.Stdout, c.Stderr = &words, &words
	c.Cancel = func() error { return c.Process.Signal(os.Interrupt) }
	c.WaitDelay = 5 * time.Second
	if err := c.Run(); err != nil {
		if asked.Err() != nil {
			err = asked.Err()
		}
		return fmt.Errorf("%s: %w", port, words.meaning(action, err))
	}
	if !words.has("verified") {
		return fmt.Errorf("%s: avrdude ended without having compared:\n%s", port, words.all.String())
	}
	return nil
}

// ready says what keeps a port from being used.
func ready(port string) error {
	switch _, err := os.Stat(port); {
	case errors.Is(err, fs.ErrNotExist):
		if ports := Ports(); len(ports) > 0 {
			return fmt.Errorf("%w There are: %s", ErrNoPort, strings.Join(ports, ", "))
		}
		return ErrNoPort
	case err != nil:
		return err
	}
	err := link.Free(port)
	if errors.Is(err, fs.ErrPermission) {
		return ErrNoRight
	}
	return err
}

// listener hears what avrdude says.
type listener struct {
	all   bytes.Buffer
	told  func(string)
	stage int
	done  int
	// stalled ends it where nothing more is said.
	stalled *time.Timer
}

// stages are the beginnings of what avrdude says of its progress, and what is told then.
var stages = []struct{ said, told string }{
	{"device initialized", "the boot loader answers"},
	{"bytes flash ...", "writing"},
	{"verifying", "reading back and comparing"},
}

func (l *listener) Write(p []byte) (int, error) {
	l.all.Write(p)
	if done := bytes.Count(l.all.Bytes(), []byte("#")); done > l.done { // its bars of progress
		l.done = done
		l.stalled.Reset(silence)
	}
	for l.told != nil && l.stage < len(stages) {
		next := -1
		for i := l.stage; i < len(stages); i++ {
			if l.has(stages[i].said) {
				next = i
				break
			}
		}
		if next < 0 {
			break
		}
		l.told(stages[next].told)
		l.stage = next + 1
	}
	return len(p), nil
}

// has says whether something was said, in whatever case.
func (l *listener) has(words string) bool {
	return bytes.Contains(bytes.ToLower(l.all.Bytes()), []byte(words))
}

var signature = regexp.MustCompile(`(?i)device signature = (0x[0-9a-f]+)`)

// rightSignature is that of an ATmega2560 (its data sheet).
const rightSignature = "0x1e9801"

// meaning is what a failure of avrdude means.
func (l *listener) meaning(action Action, err error) error {
	said := signature.FindSubmatch(l.all.Bytes())
	switch {
	case errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded):
		return err
	case said != nil && !strings.EqualFold(string(said[1]), rightSignature):
		return fmt.Errorf("%w: its signature is %s, not %s", ErrOtherChip, said[1], rightSignature)
	case l.has("verification mismatch") || l.has("verification error"):
		return ErrDiffers
	case said == nil && !l.has("device initialized"):
		return fmt.Errorf("%w\n%s", ErrNoAnswer, l.last())
	case action == Write:
		return fmt.Errorf("%w\n%s", ErrUnfinished, l.last())
	}
	return fmt.Errorf("%w\n%s", err, l.last())
}

// last is the end of what avrdude said.
func (l *listener) last() string {
	lines := strings.Split(strings.TrimSpace(l.all.String()), "\n")
	return strings.Join(lines[max(0, len(lines)-4):], "\n")
}

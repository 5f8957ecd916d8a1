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
	"slices"
	"strings"
	"time"

	"beamhelm/drive/link"
)

// What stands in the way, beside link.ErrInUse.
var (
	ErrNoTool   = errors.New("avrdude is not installed: on Debian and Ubuntu, sudo apt install avrdude")
	ErrNoPort   = errors.New("there is no such port: is the board's USB cable plugged in?")
	ErrNoRight  = errors.New("you may not use this port: sudo usermod -aG dialout $USER, then log out and in again")
	ErrNoAnswer = errors.New("no boot loader answers: press the board's reset button and try again; another board, " +
		"or a loader of another kind, needs a programmer")
	ErrOtherChip  = errors.New("this board has another chip than an ATmega2560")
	ErrNotPort    = errors.New("this is not a serial port")
	ErrUnfinished = errors.New("the transfer broke off: the image on the board is not whole, write it again")
	ErrUncompared = errors.New("the transfer broke off after the image was written, " +
		"and before it was compared: verify it")
	ErrDiffers = errors.New("what the board holds is not this image")
	ErrAborted = errors.New("aborted")
)

// Action is what is done with an image.
type Action byte

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

// Progress of an action: what is being done, and how much of that is done.
type Progress struct {
	Stage   string
	Percent int
}

// Do writes or verifies an image, an Intel HEX file, on the board at a port.
// told, where set, hears of each stage and how far it is. An error says what to
// do about it and, where the board may be left with half an image, that it is;
// where avrdude said more, its words are in it. The end of the context aborts it.
func Do(ctx context.Context, action Action, port string, image []byte, told func(Progress)) error {
	if _, err := exec.LookPath(tool); err != nil {
		return ErrNoTool
	}
	if err := ready(port); err != nil {
		return fmt.Errorf("%s: %w", port, err)
	}
	folder, err := os.MkdirTemp("", "beamhelm-image-")
	if err != nil {
		return fmt.Errorf("a file for avrdude: %w", err)
	}
	defer os.RemoveAll(folder)
	name := filepath.Join(folder, "enclosure.hex")
	if err := os.WriteFile(name, image, 0o600); err != nil {
		return fmt.Errorf("a file for avrdude: %w", err)
	}
	asked := ctx
	ctx, end := context.WithTimeout(ctx, longest)
	defer end()
	words := listener{told: told, stage: -1}
	words.stalled = time.AfterFunc(silence, end)
	defer words.stalled.Stop()
	// -D: the boot loader erases each page as it writes it, and can't erase the chip.
	c := exec.CommandContext(ctx, tool, "-p", "atmega2560", "-c", "wiring", "-P", port, "-b", "115200", "-D", "-U",
		fmt.Sprintf("flash:%c:%s:i", action, name))
	c.Stdout, c.Stderr = &words, &words
	c.Cancel = func() error { return c.Process.Signal(os.Interrupt) }
	c.WaitDelay = 5 * time.Second
	if err := c.Run(); err != nil {
		return fmt.Errorf("%s: %w", port, words.meaning(action, asked.Err() != nil))
	}
	if !words.has("verified") {
		return fmt.Errorf("%s: avrdude ended without having compared:\n%s", port, words.last())
	}
	return nil
}

// ready says what keeps a port from being used.
func ready(port string) error {
	switch about, err := os.Stat(port); {
	case errors.Is(err, fs.ErrNotExist):
		if ports := Ports(); len(ports) > 0 {
			return fmt.Errorf("%w There are: %s", ErrNoPort, strings.Join(ports, ", "))
		}
		return ErrNoPort
	case err != nil:
		return err
	case about.Mode()&fs.ModeCharDevice == 0:
		return ErrNotPort // a folder, a file or a pipe, which opening might wait for
	}
	return known(link.Free(port))
}

// known is what is known of an error of opening a port.
func known(err error) error {
	if errors.Is(err, fs.ErrPermission) {
		return ErrNoRight
	}
	return err
}

// listener hears what avrdude says.
type listener struct {
	all  bytes.Buffer
	told func(Progress)
	// stage is the place of the newest in stages, -1 before the first; from is
	// where in what was said it began, done how many marks its bar has.
	stage, from, done int
	// stalled ends it where nothing gets on.
	stalled *time.Timer
}

// stages are the beginnings of what avrdude says of its progress, and what is told then.
var stages = []struct{ said, told string }{
	{"device initialized", "the boot loader answers"},
	{"bytes flash ...", "writing"},
	{"verifying", "reading back and comparing"},
}

const (
	// barMarks is how many marks a whole bar of avrdude's has.
	barMarks = 50
	// maxSaid is how much of what avrdude says is kept: it says about 2 KB.
	maxSaid = 1 << 20
)

func (l *listener) Write(p []byte) (int, error) {
	if l.all.Len()+len(p) > maxSaid {
		return 0, errors.New("avrdude says too much")
	}
	l.all.Write(p)
	for i := l.stage + 1; i < len(stages); i++ {
		if at := bytes.Index(bytes.ToLower(l.all.Bytes()), []byte(stages[i].said)); at >= 0 {
			l.stage, l.from, l.done = i, at, 0
			l.tell()
		}
	}
	if l.stage < 0 {
		return len(p), nil
	}
	if done := bytes.Count(l.all.Bytes()[l.from:], []byte("#")); done > l.done {
		l.done = done
		l.stalled.Reset(silence)
		l.tell()
	}
	return len(p), nil
}

func (l *listener) tell() {
	if l.told != nil {
		l.told(Progress{stages[l.stage].told, min(100, 100*l.done/barMarks)})
	}
}

// has says whether something was said, in whatever case.
func (l *listener) has(words string) bool {
	return bytes.Contains(bytes.ToLower(l.all.Bytes()), []byte(words))
}

var signature = regexp.MustCompile(`(?i)device signature = (0x[0-9a-f]+)`)

// rightSignature is that of an ATmega2560 (its data sheet).
const rightSignature = "0x1e9801"

// meaning is what it means that avrdude has failed, or was aborted.
func (l *listener) meaning(action Action, aborted bool) error {
	said := signature.FindSubmatch(l.all.Bytes())
	// Something of the image may be on the board from when the first page is
	// written, all of it from when it is read back.
	begun := action == Write && l.has(stages[1].said)
	written := begun && l.has(stages[2].said)
	switch {
	case aborted && written:
		return fmt.Errorf("%w: the image was written, but not compared to the end: verify it", ErrAborted)
	case aborted && begun:
		return fmt.Errorf("%w: the image on the board is not whole, write it again", ErrAborted)
	case aborted:
		return fmt.Errorf("%w: the board holds what it held before", ErrAborted)
	case said != nil && !strings.EqualFold(string(said[1]), rightSignature):
		return fmt.Errorf("%w: its signature is %s, not %s", ErrOtherChip, said[1], rightSignature)
	case l.has("verification mismatch") || l.has("verification error"):
		return ErrDiffers
	case said == nil && !l.has("device initialized"):
		return fmt.Errorf("%w\n%s", ErrNoAnswer, l.last())
	case written:
		return fmt.Errorf("%w\n%s", ErrUncompared, l.last())
	case begun:
		return fmt.Errorf("%w\n%s", ErrUnfinished, l.last())
	case action == Write:
		return fmt.Errorf("the boot loader fell silent before anything was written: try again\n%s", l.last())
	}
	return fmt.Errorf("the boot loader fell silent: what the board holds was not compared\n%s", l.last())
}

// last is the end of what avrdude said, without what it repeats.
func (l *listener) last() string {
	lines := slices.Compact(strings.Split(strings.TrimSpace(l.all.String()), "\n"))
	return strings.Join(lines[max(0, len(lines)-3):], "\n")
}

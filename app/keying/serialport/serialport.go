//go:build linux

// Package serialport is a serial port for tests that has RTS and DTR, which pseudo-terminals lack: a file that answers
// what programs ask of a terminal, mounted by FUSE. It takes the right to mount.
//
// What programs do to it is theirs, and the system's: each order comes from the process that has the file open, and its
// last close is the kernel's doing, whether a program closes it, ends or is killed. What the lines do then is this
// package's: both rise at the first opening and fall at the last close where HUPCL is set, as the Linux kernel's serial
// drivers do (tty_port_raise_dtr_rts, tty_port_shutdown).
// Left out are bytes: what is written is lost, and nothing is ever read.
package serialport

import (
	"encoding/binary"
	"fmt"
	"path/filepath"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/hanwen/go-fuse/v2/fs"
	"github.com/hanwen/go-fuse/v2/fuse"
	"golang.org/x/sys/unix"
)

// Lines are the two lines that a computer sets.
type Lines struct{ RTS, DTR bool }

// Change is what became of the lines at a moment.
type Change struct {
	At time.Time
	Lines
	// Closed says that it was the last close that lowered them.
	Closed bool
}

// Port is a serial port.
type Port struct {
	// Path is what programs open.
	Path string

	mu      sync.Mutex
	now     Lines
	all     []Change
	told    func(Lines)
	open    int
	termios [termiosBytes]byte
}

// New makes a port until the end of the test; programs that have it open must have ended by then. HUPCL is off at
// first, as another program may have left it. told, if any, hears of each change, one after another.
func New(t testing.TB, told func(Lines)) *Port {
	t.Helper()
	folder := t.TempDir()
	p := &Port{Path: filepath.Join(folder, name), told: told}
	p.setFlags(unix.CREAD | unix.CS8 | unix.B9600)
	server, err := fs.Mount(folder, &root{port: p}, &fs.Options{MountOptions: fuse.MountOptions{
		DirectMountStrict: true, FsName: "serialport", Name: "serialport", DisableXAttrs: true}})
	if err != nil {
		t.Fatalf("a serial port for tests (it takes the right to mount): %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(folder, syscall.MNT_FORCE|syscall.MNT_DETACH); err != nil {
			t.Errorf("unmounting: %v", err)
		}
		server.Wait()
	})
	return p
}

// Now are the lines as they are.
func (p *Port) Now() Lines {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.now
}

// Changes are all changes of the lines so far.
func (p *Port) Changes() []Change {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]Change(nil), p.all...)
}

// Since are the changes from a moment on.
func (p *Port) Since(at time.Time) (changes []Change) {
	for _, c := range p.Changes() {
		if !c.At.Before(at) {
			changes = append(changes, c)
		}
	}
	return changes
}

// Opened is how many times it is open now.
func (p *Port) Opened() int {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.open
}

// set sets the lines. The port is locked.
func (p *Port) set(l Lines, closed bool) {
	if l == p.now {
		return
	}
	p.now = l
	p.all = append(p.all, Change{time.Now(), l, closed})
	if p.told != nil {
		p.told(l)
	}
}

// opened takes in one opening.
func (p *Port) opened() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.open++; p.open == 1 {
		p.set(Lines{true, true}, false)
	}
}

// closed takes in that an opening is over, by whoever had it.
func (p *Port) closed() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.open--; p.open == 0 && p.flags()&unix.HUPCL != 0 {
		p.set(Lines{}, true)
	}
}

// The termios of the kernel's calls: four words of flags, of which the third is the control flags, the line discipline
// and 19 characters (Linux, asm-generic/termbits.h).
const (
	termiosBytes = 36
	controlFlags = 8
)

func (p *Port) flags() uint32      { return binary.NativeEndian.Uint32(p.termios[controlFlags:]) }
func (p *Port) setFlags(to uint32) { binary.NativeEndian.PutUint32(p.termios[controlFlags:], to) }

// lines are those of the bits of a modem status.
func lines(bits uint32) Lines { return Lines{bits&unix.TIOCM_RTS != 0, bits&unix.TIOCM_DTR != 0} }

func (l Lines) bits() (bits uint32) {
	if l.RTS {
		bits |= unix.TIOCM_RTS
	}
	if l.DTR {
		bits |= unix.TIOCM_DTR
	}
	return bits
}

// order does what a program orders or asks of a terminal; its argument is in the memory of that program's thread.
func (p *Port) order(thread int, order uint32, argument uintptr) syscall.Errno {
	p.mu.Lock()
	defer p.mu.Unlock()
	word := make([]byte, 4)
	switch order {
	case unix.TCGETS:
		return carry(unix.ProcessVMWritev, thread, argument, p.termios[:])
	case unix.TCSETS, unix.TCSETSW, unix.TCSETSF:
		return carry(unix.ProcessVMReadv, thread, argument, p.termios[:])
	case unix.TIOCMGET:
		binary.NativeEndian.PutUint32(word, p.now.bits())
		return carry(unix.ProcessVMWritev, thread, argument, word)
	case unix.TIOCMSET, unix.TIOCMBIS, unix.TIOCMBIC:
		if errno := carry(unix.ProcessVMReadv, thread, argument, word); errno != 0 {
			return errno
		}
		bits := binary.NativeEndian.Uint32(word)
		switch order {
		case unix.TIOCMBIS:
			bits |= p.now.bits()
		case unix.TIOCMBIC:
			bits = p.now.bits() &^ bits
		}
		p.set(lines(bits), false)
		return 0
	case unix.TIOCEXCL, unix.TIOCNXCL, unix.TCFLSH:
		return 0
	}
	return syscall.ENOTTY
}

// carry moves bytes from or to the memory of a thread that waits for the answer.
func carry(by func(int, []unix.Iovec, []unix.RemoteIovec, uint) (int, error), thread int, at uintptr,
	bytes []byte) syscall.Errno {
	here := unix.Iovec{Base: &bytes[0]}
	here.SetLen(len(bytes))
	n, err := by(thread, []unix.Iovec{here}, []unix.RemoteIovec{{Base: at, Len: len(bytes)}}, 0)
	if err != nil || n != len(bytes) {
		return syscall.EFAULT
	}
	return 0
}

// String tells the lines in words.
func (l Lines) String() string { return fmt.Sprintf("RTS %v, DTR %v", l.RTS, l.DTR) }

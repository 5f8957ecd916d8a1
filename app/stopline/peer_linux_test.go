package stopline

import (
	"net"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

// as does something on a thread that belongs to another user, and lets the thread die.
func as(user uintptr, do func() error) error {
	done := make(chan error)
	go func() {
		runtime.LockOSThread() // never unlocked: the thread ends with the goroutine
		if _, _, wrong := unix.RawSyscall(unix.SYS_SETRESUID, user, user, user); wrong != 0 {
			done <- wrong
			return
		}
		done <- do()
	}()
	return <-done
}

// Somebody else at the other end is refused by both sides. Only the superuser
// can try it; whoever else runs this tries being their own peer.
func TestTheOtherEnd(t *testing.T) {
	other := uintptr(os.Getuid())
	if other == 0 {
		other = 65534
	}
	mine := other == uintptr(os.Getuid())
	folder := filepath.Dir(short(t))
	if err := os.Chmod(folder, os.ModeSticky|0o777); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(folder, "theirs")
	var listener *net.UnixListener
	if err := as(other, func() (err error) {
		listener, err = net.ListenUnix("unix", &net.UnixAddr{Name: path, Net: "unix"})
		return err
	}); err != nil {
		t.Fatal(err)
	}
	defer listener.Close()
	go func() {
		for {
			connection, err := listener.AcceptUnix()
			if err != nil {
				return
			}
			_, _ = connection.Write([]byte("confirmed all is well\n"))
			connection.Close()
		}
	}()
	if got := ask(path); (got.Err == nil && got.Standing) != mine {
		t.Errorf("somebody else's answer: %+v", got)
	}

	_, own, _ := listening(t, filepath.Join(folder, "own"), "1", standing)
	for _, open := range []string{filepath.Dir(own), own} {
		if err := os.Chmod(open, 0o777); err != nil {
			t.Fatal(err)
		}
	}
	said := make([]byte, 100)
	if err := as(other, func() error {
		connection, err := net.Dial("unix", own)
		if err != nil {
			return err
		}
		defer connection.Close()
		_, _ = connection.Write([]byte("stop\n"))
		n, err := connection.Read(said)
		said = said[:n]
		return err
	}); err != nil {
		t.Fatal(err)
	}
	if got := strings.HasPrefix(string(said), confirmed); got != mine {
		t.Errorf("to somebody else the panel said %q", said)
	}
}

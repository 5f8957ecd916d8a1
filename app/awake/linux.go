//go:build linux

package awake

import (
	"errors"
	"io"
	"os"
	"time"

	"github.com/godbus/dbus/v5"
	"golang.org/x/sys/unix"
)

// inhibit holds a lock against sleep, from the login manager by its D-Bus
// interface org.freedesktop.login1, until it is closed.
func inhibit() (io.Closer, error) {
	bus, err := dbus.ConnectSystemBus()
	if err != nil {
		return nil, err
	}
	defer bus.Close()
	var lock dbus.UnixFD
	err = bus.Object("org.freedesktop.login1", "/org/freedesktop/login1").
		Call("org.freedesktop.login1.Manager.Inhibit", 0, "sleep:idle", "Beamhelm",
			"the dish moves or follows a target", "block").Store(&lock)
	if err != nil {
		return nil, err
	}
	file := os.NewFile(uintptr(lock), "sleep lock")
	if file == nil {
		return nil, errors.New("the login manager gave no lock")
	}
	return file, nil
}

// slept is for how long the computer has slept since it was started: the clock
// that goes on in sleep against the one that doesn't (clock_gettime(2)).
func slept() (time.Duration, bool) {
	var boot, awake unix.Timespec
	if unix.ClockGettime(unix.CLOCK_BOOTTIME, &boot) != nil || unix.ClockGettime(unix.CLOCK_MONOTONIC, &awake) != nil {
		return 0, false
	}
	return time.Duration(boot.Nano() - awake.Nano()), true
}

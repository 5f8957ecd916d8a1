package keying

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"time"

	"beamhelm/app/settings"
)

// Arguments are those of the process that owns the line of the settings.
func Arguments(s settings.Keying) []string {
	return []string{Command, "-port", s.Port, "-line", string(s.Line), "-limit",
		strconv.FormatFloat(s.LimitS, 'f', -1, 64)}
}

// Limit is how long one transmission may last.
func Limit(s settings.Keying) time.Duration { return time.Duration(s.LimitS * float64(time.Second)) }

// FromSettings starts what keys by the line of the settings. The port is opened at once, which raises its
// lines for a moment: nothing may be permitted to transmit yet.
func FromSettings(s settings.Keying) (Keyer, error) {
	if s.Port == "" {
		return nil, errors.New("keying: the settings name no port")
	}
	program, err := os.Executable()
	if err != nil {
		return nil, fmt.Errorf("keying: %w", err)
	}
	return Start(exec.Command(program, Arguments(s)...), Limit(s))
}

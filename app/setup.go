package main

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"go.bug.st/serial/enumerator"

	"beamhelm/app/commission"
	"beamhelm/app/desk/station"
	"beamhelm/app/desk/watching"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/setup"
	"beamhelm/app/settings"
	"beamhelm/drive/link"
)

// setting is the session as the pane Set-up sees it.
type setting struct{ session *session }

// Settings implements setup.Keeper.
func (s setting) Settings() settings.Settings { return s.session.settings }

// Where implements setup.Keeper.
func (s setting) Where() (path string, own bool) {
	if s.session.source.Path != "" && !s.session.source.Practice {
		return s.session.source.Path, true
	}
	return settings.UsualPath(), false
}

// Save implements setup.Keeper.
func (s setting) Save(_ offwindow.Context, to settings.Settings) error {
	path, _ := s.Where()
	return settings.Write(path, to)
}

// Restart implements setup.Keeper.
func (s setting) Restart() {
	s.session.restart.Store(true)
	s.session.close()
}

// Ports implements setup.Keeper.
func (s setting) Ports(offwindow.Context) []setup.Port {
	found, err := enumerator.GetDetailedPortsList()
	if err != nil {
		return nil // any path can be typed
	}
	var ports []setup.Port
	for _, f := range found {
		p := setup.Port{Path: f.Name}
		if f.IsUSB {
			p.Words = strings.TrimSpace("USB " + f.VID + ":" + f.PID + " " + f.Product)
		}
		ports = append(ports, p)
	}
	return ports
}

// Look implements setup.Keeper: at the line in use by what it has heard, at another one by opening it.
func (s setting) Look(_ offwindow.Context, line settings.Link) setup.LookResult {
	var registers link.Registers
	var err error
	if own := s.session.settings.Link; line.Port == own.Port {
		registers = s.session.port.Registers()
		if line.Baud != own.Baud || line.Parity != own.Parity || line.StopBits != own.StopBits ||
			line.Unit != own.Unit {
			err = errors.New(
				"this line is in use with the settings in force: what was changed is not tried before it is saved")
		}
	} else {
		registers, err = link.Look(serial(line), byte(line.Unit))
	}
	seen := setup.LookResult{Words: registers.Words[:], Known: registers.Known[:]}
	if err != nil {
		seen.Trouble = err.Error()
	}
	d, known := registers.Identity()
	if !known {
		seen.Lines = []string{"Nobody has answered yet"}
		return seen
	}
	seen.Lines = []string{fmt.Sprintf("Register map %d, firmware %d.%d, start number %d", d.MapVersion, d.Firmware>>8,
		d.Firmware&255, d.StartCounter),
		"Fitted: " + commission.FittedWords(d.Fitted)}
	return seen
}

// SunYear implements setup.Keeper.
func (s setting) SunYear(_ offwindow.Context, of settings.Settings) []string {
	config, err := station.NewConfig(of, s.session.sky, nil, false)
	if err != nil {
		return []string{err.Error()}
	}
	var lines []string
	for _, line := range watching.SunAtRest(&config, s.session.desk.Status().At) {
		lines = append(lines, line.String())
	}
	return lines
}

// Audio implements setup.Keeper.
func (s setting) Audio() setup.Audio { return s.session.audio }

// openAgain runs the program again with the settings of the file, if that was asked for.
func (p *session) openAgain() error {
	if !p.restart.Load() {
		return nil
	}
	path, err := os.Executable()
	if err != nil {
		return err
	}
	if p.toPractice.Load() {
		return again(path, argsForPractice(os.Args, p.source.Path))
	}
	return again(path, argsAgain(os.Args, p.source.Practice))
}

// practiceSwitch is the way to practice and back, as the window sees it.
type practiceSwitch struct{ session *session }

// Blocked implements panel.PracticeSwitch.
func (s practiceSwitch) Blocked() string {
	if !s.session.source.Practice {
		return ""
	}
	path := backTo(os.Args)
	if path == "" {
		path = settings.UsualPath()
	}
	if _, err := os.Stat(path); err != nil {
		return "There are no settings of a dish to go back to: Set-up writes them."
	}
	return ""
}

// Go implements panel.PracticeSwitch.
func (s practiceSwitch) Go() {
	s.session.toPractice.Store(!s.session.source.Practice)
	s.session.restart.Store(true)
	s.session.close()
}

// argsForPractice are the arguments of the program run again with the simulated dish: path is where it goes back to.
func argsForPractice(args []string, path string) (kept []string) {
	for i := 0; i < len(args); i++ {
		name, _, joined := strings.Cut(strings.TrimLeft(args[i], "-"), "=")
		if i > 0 && strings.HasPrefix(args[i], "-") && name == "settings" {
			if !joined {
				i++
			}
			continue
		}
		kept = append(kept, args[i])
	}
	kept = append(kept, "-practice")
	if path != "" {
		kept = append(kept, "-back-to", path)
	}
	return kept
}

// backTo is the settings file that practice goes back to, as it was begun from the window; empty: the usual one.
func backTo(args []string) string {
	for i, arg := range args {
		if strings.TrimLeft(arg, "-") == "back-to" && strings.HasPrefix(arg, "-") && i+1 < len(args) {
			return args[i+1]
		}
	}
	return ""
}

// argsAgain are the arguments of the program run again: what belonged to practice alone is left out.
func argsAgain(args []string, practised bool) (kept []string) {
	if !practised {
		return args
	}
	for i := 0; i < len(args); i++ {
		name, _, joined := strings.Cut(strings.TrimLeft(args[i], "-"), "=")
		if i > 0 && strings.HasPrefix(args[i], "-") {
			switch name {
			case "practice":
				continue
			case "back-to":
				if i++; i < len(args) {
					kept = append(kept, "-settings", args[i])
				}
				continue
			case "from", "seed", "demonstrate", "picture":
				if !joined {
					i++
				}
				continue
			}
		}
		kept = append(kept, args[i])
	}
	return kept
}

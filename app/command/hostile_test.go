package command

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"beamhelm/app/settings"
)

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

// An endless batch is refused, whichever way it comes.
func TestAnEndlessBatch(t *testing.T) {
	for _, name := range []string{"-", "/dev/zero"} {
		if _, err := batchText(name, zeros{}); err == nil {
			t.Errorf("%s is read", name)
		}
	}
}

// The check finds what the start would.
func TestTheCheckFindsWhatTheStartWould(t *testing.T) {
	folder := t.TempDir()
	for says, change := range map[string]func(*settings.Settings){
		"camera.url":            func(s *settings.Settings) { s.Camera.URL = "dish.local" },
		"camera.password_file":  func(s *settings.Settings) { s.Camera.PasswordFile = filepath.Join(folder, "none") },
		"publish.ca_file":       func(s *settings.Settings) { s.Publish.CAFile = filepath.Join(folder, "none") },
		"publish.password_file": func(s *settings.Settings) { s.Publish.PasswordFile = filepath.Join(folder, "none") },
		"broker":                func(s *settings.Settings) { s.Publish.Broker = "http://x" },
	} {
		s := settings.Practice()
		change(&s)
		file := filepath.Join(folder, "settings.toml")
		if err := settings.Write(file, s); err != nil {
			t.Fatal(err)
		}
		var out, wrong bytes.Buffer
		if status := settingsFrom("", []string{"check", file}, &out, &wrong); status != 1 ||
			!strings.Contains(wrong.String(), says) {
			t.Errorf("%s: status %d: %s%s", says, status, out.String(), wrong.String())
		}
	}
}

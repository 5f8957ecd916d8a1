// Package sound lets the computer sound until an alarm has been seen. It is a
// comfort, not a part of what keeps the dish from harm: where there is no
// program that plays, or no loudspeaker, it is silent and nothing else changes.
package sound

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/settings"
	"beamhelm/ending"
)

// Desk is what sounds are made for.
type Desk interface{ Status() *desk.Status }

// Sounder sounds for a desk.
type Sounder struct {
	desk   Desk
	player []string // the program and its arguments; none: silent
	due    due
}

// FromSettings is the sounder of the settings; nil where no alarm is to sound.
func FromSettings(d Desk, s settings.Sound) *Sounder {
	if !s.Alarms {
		return nil
	}
	return New(d, s.Player)
}

// New returns a sounder. player is a program with its arguments that plays the
// WAV file named after them; empty: one that this system has, if any.
func New(d Desk, player string) *Sounder {
	words := strings.Fields(player)
	if len(words) == 0 {
		words = usualPlayer()
	}
	return &Sounder{desk: d, player: words}
}

// play plays a file and waits for its end.
func (s *Sounder) play(ctx context.Context, file string) error {
	return exec.CommandContext(ctx, s.player[0], append(s.player[1:len(s.player):len(s.player)], file)...).Run()
}

// usualPlayer is the first program found that plays a WAV file.
func usualPlayer() []string {
	for _, name := range map[string][]string{"linux": {"pw-play", "paplay", "aplay -q"},
		"darwin": {"afplay"}}[runtime.GOOS] {
		words := strings.Fields(name)
		if _, err := exec.LookPath(words[0]); err == nil {
			return words
		}
	}
	return nil
}

// lookEvery is how often the desk is looked at.
const lookEvery = 250 * time.Millisecond

// longest is for how long a player may play; one that hangs is ended.
const longest = 5 * time.Second

// Run sounds until the context ends.
func (s *Sounder) Run(ctx context.Context) {
	if len(s.player) == 0 {
		return
	}
	folder, err := os.MkdirTemp("", "beamhelm-sound-*")
	if err != nil {
		return // without a place for the sound there is none
	}
	defer os.RemoveAll(folder)
	files := map[Sound]string{}
	for _, tone := range []Sound{Once, Again} {
		files[tone] = filepath.Join(folder, tone.String()+".wav")
		if os.WriteFile(files[tone], Wave(tone), 0o600) != nil {
			return
		}
	}
	ticker := time.NewTicker(lookEvery)
	defer ticker.Stop()
	for {
		ending.Here("sound")
		if tone := s.due.next(s.desk.Status().Alarms, time.Now()); tone != Silence {
			limit, end := context.WithTimeout(ctx, longest)
			_ = s.play(limit, files[tone]) // silent where it fails: the screen says everything
			end()
		}
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
	}
}

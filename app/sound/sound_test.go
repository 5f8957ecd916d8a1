package sound

import (
	"context"
	"encoding/binary"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"go.uber.org/goleak"

	"beamhelm/app/desk"
)

func TestWhatIsHeardOverTime(t *testing.T) {
	begin := time.Unix(0, 0)
	warning := desk.Alarm{Number: 1, Grade: desk.Warning, Stands: true}
	bad := desk.Alarm{Number: 2, Grade: desk.AlarmGrade, Stands: true}
	over, seen, muted := bad, bad, warning
	over.Stands = false
	seen.Acknowledged = true
	muted.Acknowledged, muted.ShelvedUntil = true, begin.Add(time.Hour)
	var d due
	for i, c := range []struct {
		after  float64
		alarms []desk.Alarm
		want   Sound
	}{
		{0, nil, Silence},
		{1, []desk.Alarm{{Number: 9, Grade: desk.Notice, Stands: true}}, Silence},
		{2, []desk.Alarm{warning}, Once},
		{3, []desk.Alarm{warning}, Silence},
		{3.5, []desk.Alarm{bad, warning}, Silence}, // the warning's own sound is not long over
		{6, []desk.Alarm{bad, warning}, Again},
		{7, []desk.Alarm{bad, warning}, Silence},
		{10, []desk.Alarm{bad, warning}, Again},
		{14, []desk.Alarm{over, warning}, Again}, // over, not seen
		{18, []desk.Alarm{seen, warning}, Silence},
		{22, []desk.Alarm{seen, muted}, Silence},
		{26, []desk.Alarm{{Number: 3, Grade: desk.Warning}, seen}, Once},
		{27, []desk.Alarm{bad}, Silence},
		{-3600, []desk.Alarm{bad}, Again}, // a clock that is set back silences nothing
	} {
		if got := d.next(c.alarms, begin.Add(time.Duration(c.after*float64(time.Second)))); got != c.want {
			t.Errorf("%d, after %v s: %v, want %v", i, c.after, got, c.want)
		}
	}
}

// RIFF WAVE, PCM: "Multimedia Programming Interface and Data Specifications 1.0" (IBM, Microsoft, 1991), chapter 3.
func TestWaveIsPCM(t *testing.T) {
	for _, s := range []Sound{Once, Again} {
		w := Wave(s)
		if string(w[:4]) != "RIFF" || string(w[8:16]) != "WAVEfmt " || string(w[36:40]) != "data" {
			t.Fatalf("%v: %q", s, w[:44])
		}
		if n := binary.LittleEndian.Uint32(w[4:]); int(n) != len(w)-8 {
			t.Errorf("%v: size %d of %d", s, n, len(w))
		}
		if n := binary.LittleEndian.Uint32(w[40:]); int(n) != len(w)-44 || n < 4000 {
			t.Errorf("%v: %d bytes of sound in %d", s, n, len(w))
		}
	}
}

type standing struct{ status atomic.Pointer[desk.Status] }

func (s *standing) Status() *desk.Status { return s.status.Load() }

// A program plays the file until the alarm has been seen; one that hangs or fails leaves it silent.
func TestPlays(t *testing.T) {
	defer goleak.VerifyNone(t)
	folder := t.TempDir()
	t.Setenv("TMPDIR", folder) // a program that was killed leaves its own elsewhere
	heard := filepath.Join(folder, "heard")
	player := filepath.Join(folder, "player")
	script := "#!/bin/sh\nhead -c 4 \"$2\" >>" + heard + "\nexit 1\n"
	if err := os.WriteFile(player, []byte(script), 0o700); err != nil {
		t.Fatal(err)
	}
	var d standing
	d.status.Store(&desk.Status{Alarms: []desk.Alarm{{Number: 1, Grade: desk.AlarmGrade, Stands: true}}})
	ctx, end := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() { New(&d, player+" -quiet").Run(ctx); close(done) }()
	deadline := time.Now().Add(20 * time.Second)
	for time.Now().Before(deadline) {
		if text, _ := os.ReadFile(heard); strings.HasPrefix(string(text), "RIFF") {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	end()
	<-done
	if text, _ := os.ReadFile(heard); !strings.HasPrefix(string(text), "RIFF") {
		t.Errorf("nothing was played: %q", text)
	}
	if left, _ := filepath.Glob(filepath.Join(os.TempDir(), "beamhelm-sound-*")); len(left) > 0 {
		t.Errorf("left over: %v", left)
	}
	New(&d, "there-is-no-such-program").Run(ended())
}

func ended() context.Context {
	ctx, end := context.WithCancel(context.Background())
	end()
	return ctx
}

// Package awake keeps the computer from sleeping while the dish moves, tracks
// or is about to, and stops the dish when the computer has slept all the same.
package awake

import (
	"context"
	"io"
	"time"

	"beamhelm/app/desk"
	"beamhelm/ending"
)

// Desk is who needs the computer.
type Desk interface {
	Status() *desk.Status
	Ask(desk.Order)
}

// lookEvery is how often the desk and the clocks are looked at.
const lookEvery = 2 * time.Second

// minSleep is how long a sleep must be to be one: clocks are not read at the same instant.
const minSleep = time.Second

// Run keeps the computer awake as long as it is needed, until the context ends.
func Run(ctx context.Context, d Desk) { run(ctx, d, inhibit, slept) }

func run(ctx context.Context, d Desk, inhibit func() (io.Closer, error), slept func() (time.Duration, bool)) {
	var held io.Closer
	release := func() {
		if held != nil {
			held.Close()
			held = nil
		}
	}
	defer release()
	before, _ := slept()
	tried := false
	ticker := time.NewTicker(lookEvery)
	defer ticker.Stop()
	for {
		ending.Here("keeping awake")
		if total, known := slept(); known {
			if total-before >= minSleep && needed(d.Status()) {
				d.Ask(desk.Stop{})
				d.Ask(desk.Slept{Seconds: int((total - before).Seconds())})
			}
			before = total
		}
		switch want := needed(d.Status()); {
		case !want:
			release()
			tried = false
		case held == nil && !tried:
			// Where nothing keeps a computer awake it is tried once for each need: it
			// is a comfort, and the enclosure's watchdog is what stops a silent link.
			tried = true
			if h, err := inhibit(); err == nil {
				held = h
			}
		}
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
	}
}

// needed says that the computer must not sleep now.
func needed(s *desk.Status) bool {
	return s.Moving || s.UnderWay() || s.Armed.Has && !s.Armed.Question || s.Check.Running || s.Survey.Rounds.Running
}

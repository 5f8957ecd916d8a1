//go:build planted

package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"runtime"
	"strings"
	"sync"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/clock"
	"beamhelm/ending"
)

// windowless says that the session runs without a window: where BEAMHELM_WITHOUT_WINDOW is set.
func windowless() bool { return os.Getenv("BEAMHELM_WITHOUT_WINDOW") != "" }

// attendedByLines runs the session with the same goroutines and the same way
// out. In place of the operator's hands are lines of the standard input; their
// end closes it.
func (p *session) attendedByLines() {
	closed := make(chan struct{})
	p.close = sync.OnceFunc(func() { close(closed) })
	lines := make(chan string)
	ending.Go("lines for hands", func() {
		for in := bufio.NewScanner(os.Stdin); in.Scan(); {
			lines <- in.Text()
		}
		p.close()
	})
	p.run()
	ending.Do("window", func() { p.attend(lines, closed) })
	ending.Do("end", p.end)
}

// attend gives the window's sign of life, as often as the window would, and the orders of the lines.
func (p *session) attend(lines <-chan string, closed <-chan struct{}) {
	ticker := time.NewTicker(100 * time.Millisecond)
	defer ticker.Stop()
	for {
		select {
		case <-closed:
			return
		case line := <-lines:
			p.order(line)
		case <-ticker.C:
		}
		ending.Here("window")
		p.desk.Alive()
	}
}

// order gives one order: reference AZ EL, power, release, slew AZ EL, hold, track (the Moon), stop,
// with axis angles in degrees; echo (a measurement of the own echo); clock SECONDS sets the clock forward, or back;
// complain writes to the standard error, hog takes all memory, tell the status to the standard output.
func (p *session) order(line string) {
	var word string
	var az, el float64
	_, _ = fmt.Sscan(line, &word, &az, &el)
	azimuth, elevation := unit.AngleFromDeg(az), unit.AngleFromDeg(el)
	switch strings.TrimSpace(word) {
	case "reference":
		p.orders.Ask(desk.ReferenceTo{Axis: 0, Angle: azimuth})
		p.orders.Ask(desk.ReferenceTo{Axis: 1, Angle: elevation})
	case "power":
		p.orders.Ask(desk.Power{On: true})
	case "release":
		p.orders.Ask(desk.Release{})
	case "slew":
		p.orders.Ask(desk.SlewTo{To: desk.AxisAngles{Az: azimuth, El: elevation}})
	case "hold":
		p.orders.Ask(desk.Hold{})
	case "stop":
		p.orders.Ask(desk.Stop{})
	case "track":
		p.orders.Ask(desk.Choose{Body: desk.BodyChoice{Kind: desk.Moon}})
		p.orders.Ask(desk.Track{On: true})
	case "echo":
		p.orders.Ask(desk.MeasureEchoes{On: true})
	case "tell":
		p.tellStatus()
	case "clock":
		clock.Set(time.Duration(az * float64(time.Second)))
	case "hog":
		ending.Go("lines for hands", hog)
	case "complain":
		p.tell(errors.New("nothing is wrong"))
	}
}

// tellStatus writes what the window would show, as far as the tests ask for it, on one line.
func (p *session) tellStatus() {
	s := p.desk.Status()
	told := struct {
		Number    uint64
		Link      desk.LinkState
		Activity  desk.Activity
		Acquiring bool
		Locked    bool
		Cause     string
		Permit    bool
		Sky       int64
		Period    float64
		EchoWhy   string
		EchoRuns  bool
		Echoes    int
		Alarms    []string
		Events    []string
	}{s.Number, s.Link.State, s.Activity, s.Acquiring, s.Lock.Locked, s.Lock.Cause.String(), s.PermitRequested,
		s.At.Unix(), s.Period.Left.Seconds(), s.OwnEcho.Why.String(), s.OwnEcho.Request != nil, len(s.OwnEcho.Before),
		nil, nil}
	for _, e := range p.desk.EventsSince(s.LastEvent-min(s.LastEvent, 5), nil) {
		told.Events = append(told.Events, e.Words.String())
	}
	for _, a := range s.Alarms {
		if a.Stands {
			told.Alarms = append(told.Alarms, a.Words.String())
		}
	}
	_ = json.NewEncoder(os.Stdout).Encode(told)
}

// hog takes memory until there is no more.
func hog() {
	var all [][]byte
	for {
		some := make([]byte, 1<<20)
		for i := 0; i < len(some); i += 4096 {
			some[i] = 1 // the system gives a page when it is written
		}
		all = append(all, some)
		runtime.KeepAlive(all)
	}
}

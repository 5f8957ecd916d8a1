//go:build planted

package main

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/ending"
)

// withoutWindow runs the session without a window where BEAMHELM_WITHOUT_WINDOW
// is set, with the same goroutines and the same way out. In place of the
// operator's hands are lines of the standard input; their end closes it.
func withoutWindow(s *session) bool {
	if os.Getenv("BEAMHELM_WITHOUT_WINDOW") == "" {
		return false
	}
	closed := make(chan struct{})
	s.close = sync.OnceFunc(func() { close(closed) })
	lines := make(chan string)
	ending.Go("lines for hands", func() {
		for in := bufio.NewScanner(os.Stdin); in.Scan(); {
			lines <- in.Text()
		}
		s.close()
	})
	s.run()
	ending.Do("window", func() { s.attend(lines, closed) })
	ending.Do("end", s.end)
	return true
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

// order gives one order: reference AZ EL, power, release, slew AZ EL, hold, with axis angles
// in degrees; complain writes to the standard error.
func (p *session) order(line string) {
	var word string
	var az, el float64
	_, _ = fmt.Sscan(line, &word, &az, &el)
	azimuth, elevation := unit.AngleFromDeg(az), unit.AngleFromDeg(el)
	switch strings.TrimSpace(word) {
	case "reference":
		p.orders.Ask(desk.Order{Kind: desk.ReferenceTo, Index: 0, Az: azimuth})
		p.orders.Ask(desk.Order{Kind: desk.ReferenceTo, Index: 1, Az: elevation})
	case "power":
		p.orders.Ask(desk.Order{Kind: desk.Power, On: true})
	case "release":
		p.orders.Ask(desk.Order{Kind: desk.Release})
	case "slew":
		p.orders.Ask(desk.Order{Kind: desk.SlewTo, Az: azimuth, El: elevation})
	case "hold":
		p.orders.Ask(desk.Order{Kind: desk.Hold})
	case "complain":
		p.tell(errors.New("nothing is wrong"))
	}
}

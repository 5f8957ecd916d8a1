package commission

import (
	"fmt"
	"strings"
)

// Text is the report, to be kept with the dish's papers.
func (s *State) Text(c *Config, now *Now) string { return s.StepsText(c, now) + s.pushesText(c) }

// StepsText is the part of it that tells what was done in each step.
func (s *State) StepsText(c *Config, now *Now) string {
	var out strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&out, format+"\n", args...) }
	line("Commissioning of %s", c.Settings.Station.Name)
	line("begun %s, this report %s (UTC)", s.Begun.Format("2006-01-02 15:04"), now.At.Format("2006-01-02 15:04"))
	line("")
	for i := range Report {
		m := s.Marks[i]
		switch m.Verdict {
		case Done:
			line("%d %s: done %s", i, i, m.At.Format("2006-01-02 15:04:05"))
		case Refused:
			line("%d %s: SKIPPED, %s: %s", i, i, m.At.Format("2006-01-02 15:04:05"), m.Why)
		default:
			line("%d %s: OPEN", i, i)
		}
		for _, l := range s.Lines(c, now, i) {
			line("   %s %s: %s", [...]string{"[ ]", "[x]", "[!]", " - "}[l.State], l.What, l.Words)
		}
		line("")
	}
	return out.String()
}

// pushesText is the rest: the pushes, and what is not yet in the settings.
func (s *State) pushesText(c *Config) string {
	var out strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&out, format+"\n", args...) }
	line("Pushes")
	line("   %-9s %8s %8s %8s %12s %8s %8s", "axis", "drive %", "seconds", "counts", "counts/s", "A", "ran on")
	for _, p := range s.Pushes {
		speed := "-"
		if p.Steady {
			speed = fmt.Sprintf("%.1f", p.PerS)
		}
		line("   %-9s %+8.1f %8.1f %+8d %12s %8.2f %8.0f", axisName(p.Axis), 100*p.Drive, p.Seconds, p.Counts, speed,
			p.CurrentA, p.RanOn)
	}
	if more := s.Suggestions(c); len(more) > 0 {
		line("")
		line("Not yet in the settings")
		for _, m := range more {
			line("   %s = %s (%s)", m.Key, m.Value, m.Why)
		}
	}
	line("")
	line("These are the observations of one operator on one day. It is no certificate; local rules decide what else " +
		"is to be tested.")
	return out.String()
}

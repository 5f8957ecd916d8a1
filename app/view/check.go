package view

import (
	"fmt"

	"beamhelm/app/desk"
)

// CheckVerdict is the newest check in a line, or how far the one under way is.
func CheckVerdict(now Now) (string, Tone) {
	c := now.Check
	switch {
	case c.Running:
		return fmt.Sprintf("Station check running, %.0f %%: %s", 100*c.Part, c.Doing), Wanted
	case len(c.Unusual) > 0:
		return c.Unusual[0].Words.String(), Attention
	case c.Last == nil:
		return "No station check yet", Faint
	}
	return fmt.Sprintf("Checked %s: %s", Moment(c.Last.At, now.At), c.Last.Verdict), GradeTone(c.Last.Grade, Faint)
}

// CableLine is what was lost on a band.
type CableLine struct{ Name, Words string }

// CableLines say what link and encoders lose a minute on each band that has
// been heard for a while, apart while transmitting and otherwise.
func CableLines(counts []desk.CableCount) (lines []CableLine) {
	rate := func(n uint64, seconds float64) string {
		if seconds < 60 {
			return "not known yet"
		}
		return fmt.Sprintf("%.2f", 60*float64(n)/seconds)
	}
	for _, c := range counts {
		lines = append(lines,
			CableLine{c.Band, fmt.Sprintf("replies: %s transmitting, %s otherwise", rate(c.KeyedErrors, c.KeyedS),
				rate(c.QuietErrors, c.QuietS))},
			CableLine{"", fmt.Sprintf("encoder transitions: %s transmitting, %s otherwise",
				rate(c.KeyedImpossible, c.KeyedS), rate(c.QuietImpossible, c.QuietS))})
	}
	return lines
}

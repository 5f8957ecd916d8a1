package view

import (
	"fmt"
	"strings"
	"time"

	"beamhelm/app/desk"
)

// SkedsHead names whom the skeds are with, and says what their picture means.
func SkedsHead(now Now) Pair {
	s := now.Skeds
	if s == nil {
		return plainPair("Skeds", "being prepared")
	}
	if len(s.Partners) == 0 {
		return plainPair("Skeds: no partner chosen", "choose one or several under With")
	}
	return plainPair("Skeds with "+strings.Join(s.Partners, ", "),
		fmt.Sprintf("hours UTC · height: elevation · strong colour: no loss, faint: %s dB and more",
			Number(desk.SkedSpanDB, 0)))
}

// SkedsCount says how many windows there are, and by what rules.
func SkedsCount(now Now) string {
	s := now.Skeds
	switch {
	case s == nil || len(s.Partners) == 0:
		return ""
	case s.Left > 0:
		return fmt.Sprintf("%d of %d windows judged", len(s.List), len(s.List)+s.Left)
	}
	return fmt.Sprintf("%s · %s · %s, %s Hz · Sun at least %s° off", Count(len(s.List), "window", "windows"), s.Band,
		s.Mode, Number(s.ToleratedHz, 0), Number(s.SunLeft.Deg(), 0))
}

// SkedLine says when a window is and when it is best, "Wed 14  19:35 – 02:05".
func SkedLine(one *desk.Sked) string {
	return one.From.UTC().Format("2 Jan (Mon) 15:04") + " – " + HourMinute(one.To)
}

// SkedFigures are the windows, best first, as many as asked for.
func SkedFigures(now Now, maximum int) (lines []Figure) {
	if now.Skeds == nil {
		return nil
	}
	for i := range now.Skeds.List[:min(maximum, len(now.Skeds.List))] {
		one := &now.Skeds.List[i]
		e := one.Ends[one.Worst]
		note := fmt.Sprintf("%s %s°/%s°", HourMinute(one.Best), Number(one.El.Deg(), 0), Number(e.El.Deg(), 0))
		lines = append(lines, Figure{SkedLine(one), Phrase{merit(one) + " dB", Measured}, Phrase{note, Faint}})
	}
	return lines
}

// merit is the figure of merit of a window.
func merit(one *desk.Sked) string { return Number(-one.Losses().TotalDB(), 1) }

// SkedChoice says what a window is in a list of all.
func SkedChoice(one *desk.Sked) string {
	return fmt.Sprintf("%s,  best %s,  %s dB", SkedLine(one), HourMinute(one.Best), merit(one))
}

// SkedShown is the window whose figures are shown: that of the moment looked at, or else the best; nil for none.
func SkedShown(now Now) *desk.Sked {
	if now.Skeds == nil || len(now.Skeds.List) == 0 {
		return nil
	}
	if now.Then != nil {
		for i := range now.Skeds.List {
			one := &now.Skeds.List[i]
			if !now.Then.At.Before(one.From) && !now.Then.At.After(one.To) {
				return one
			}
		}
	}
	return &now.Skeds.List[0]
}

// SkedTerms are what makes up the figure of merit of the window shown, term by term, and the rest at its best time: a
// line each for what it comes to, its terms, what else counts, and the frequencies.
func SkedTerms(now Now) (lines [4]string) {
	one := SkedShown(now)
	if one == nil {
		if s := now.Skeds; s != nil && s.Left == 0 && len(s.Partners) > 0 {
			lines[0] = "No window: try other partners, or a shorter minimum"
		}
		return lines
	}
	e, l := one.Ends[one.Worst], one.Losses()
	less := func(db float64) string { return Number(-db, 1) }
	lines[0] = fmt.Sprintf("%s: %s dB · Moon %s° here, %s° at %s", one.Best.UTC().Format("2 Jan (Mon) 15:04"),
		merit(one), Number(one.El.Deg(), 0), Number(e.El.Deg(), 0), e.Name)
	lines[1] = fmt.Sprintf("distance %s, noise %s, air %s, polarisation %s, spread %s", less(l.DistanceDB),
		less(l.NoiseDB),
		less(l.AirDB), less(l.PolarisationDB), less(l.SpreadDB))
	lines[2] = fmt.Sprintf("degradation %s dB · spread %s Hz, %s Hz tolerated · Sun %s°", Number(l.DegradationDB(), 1),
		Number(e.SpreadHz, spreadDecimals(e.SpreadHz)), Number(now.Skeds.ToleratedHz, 0), Number(one.SunOff.Deg(), 0))
	lines[3] = fmt.Sprintf("Doppler %s Hz, %s Hz/s", Signed(e.DopplerHz, 0), Signed(e.DriftHzPerS, 2))
	if e.Spatial != 0 {
		lines[3] += fmt.Sprintf(" · linear feeds %s° apart", Signed(e.Spatial.Deg(), 0))
	}
	return lines
}

// SkedLength are words for the least length of a window.
func SkedLength(d time.Duration) string {
	if d < time.Hour {
		return fmt.Sprintf("at least %d min", int(d.Minutes()))
	}
	return fmt.Sprintf("at least %d h", int(d.Hours()))
}

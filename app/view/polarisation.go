package view

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"beamhelm/app/desk/radio"
)

// PolarisationLines say what becomes of polarisation on the band in use: own echo, and with a partner both directions.
func PolarisationLines(r *radio.Path) []Figure {
	f := &r.Faraday
	line := func(name, value, note string) Figure {
		return Figure{name, Phrase{value, Measured}, Phrase{note, Faint}}
	}
	var lines []Figure
	switch {
	case f.SendHand != "":
		lines = append(lines, line("Circular", "sent "+f.SendHand+"-hand",
			"the Moon sends it back "+f.EchoHand+"-hand"))
	case f.Matters && f.Linear:
		lines = append(lines, line("Own echo turns", turned(f.Own.Angle.Deg(), f.Own.Within.Deg()),
			"costs "+Loss(f.Own.LossDB())))
	case f.Linear:
		lines = append(lines, line("Own echo turns", "0°", "the ionosphere turns nothing above 3 GHz"))
	}
	switch {
	case !r.HasPartner:
	case f.Mixed:
		lines = append(lines, line("Linear to circular", "3.0 dB", "both ways, whatever turns"))
	case r.BothLinear:
		here, there := r.PolarisationDB()
		lines = append(lines,
			line("Theirs arrives here turned", turned(f.Heard.Angle.Deg(), f.Heard.Within.Deg()),
				"costs "+Loss(here)),
			line("Ours arrives there turned", turned(f.Hears.Angle.Deg(), f.Hears.Within.Deg()),
				"costs "+Loss(there)))
	}
	return lines
}

// turned is a turn with its uncertainty; one that is not known to a quarter turn says so.
func turned(deg, within float64) string {
	switch {
	case within > 90:
		return "not known: ±" + Uncertain(within, within) + "°"
	case within == 0:
		return Signed(deg, 0) + "°"
	}
	if deg > 0 {
		return "+" + PlusMinus(deg, math.Max(within, 1)) + "°"
	}
	return PlusMinus(deg, math.Max(within, 1)) + "°"
}

// ContentWords say which electron content of the ionosphere is taken.
func ContentWords(r *radio.Path) string {
	c := r.Faraday.Content
	how := "expected by local time and solar cycle"
	if r.Faraday.Entered {
		how = "entered"
	}
	return fmt.Sprintf(
		"Electron content %s TECU, %s. One-way turns add up on the echo; the difference of the horizons changes sign "+
			"with the direction.", PlusMinus(c.TECU, c.Within), how)
}

// ParseContent reads an electron content in TECU; blank goes back to what is expected, 0.
func ParseContent(text string) (tecu int, err error) {
	if strings.TrimSpace(text) == "" {
		return 0, nil
	}
	tecu, err = strconv.Atoi(strings.TrimSpace(text))
	if err != nil || tecu < radio.MinTECU || tecu > radio.MaxTECU {
		return 0, fmt.Errorf("whole TECU from %d to %d, or nothing", radio.MinTECU, radio.MaxTECU)
	}
	return tecu, nil
}

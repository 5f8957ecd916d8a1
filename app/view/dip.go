package view

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"beamhelm/app/desk"
)

// DipPlanLines say what a sky dip will do before it is begun, or why there can't be one.
func DipPlanLines(now Now) (lines [3]Phrase) {
	p := now.Receiving.Dip.Plan
	switch {
	case p == nil:
		lines[0] = Phrase{"Being worked out", Faint}
		return lines
	case p.Why.Code != "":
		lines[0] = Phrase{"No sky dip: " + p.Why.String(), Attention}
		return lines
	}
	how := "chosen for the most even sky: free horizon, away from Sun, Moon and galaxy"
	if p.Chosen {
		how = "as entered"
	}
	lines[0] = Phrase{fmt.Sprintf("Azimuth %s°, %s", Number(p.Az.Mod1().Deg(), 0), how), Plain}
	var els []string
	for _, el := range p.Els {
		els = append(els, Number(el.Deg(), 0)+"°")
	}
	lines[1] = Phrase{fmt.Sprintf("The dish goes to elevation %s and back the same way: %d stops, about %s",
		strings.Join(els, ", "), p.Stops, Span(p.Lasts.Round(time.Minute))), Plain}
	lines[2] = Phrase{"It moves by itself: nobody near the dish. Esc and STOP abort it, as do wind, the door and any " +
		"other order.",
		Attention}
	if why := DipBlocked(now); why != "" {
		lines[2] = Phrase{Sentence(why), Attention}
	}
	return lines
}

// DipBlocked says why no sky dip can be begun now; empty when it can.
func DipBlocked(now Now) string {
	switch {
	case MoveBlocked(now) != "":
		return MoveBlocked(now)
	case now.Receiving.Running:
		return "a measurement is running"
	case now.Peak.Running:
		return "a peak is being measured"
	case now.Check.Running:
		return "a station check is running"
	case now.Survey.Rounds.Running:
		return "an automatic survey is running"
	case !now.Noise.Fitted || !now.Noise.Clean:
		return "no usable noise level now"
	case now.Receiving.Dip.Plan == nil:
		return "being worked out"
	}
	return now.Receiving.Dip.Plan.Why.String()
}

// ParseDipAzimuth reads the azimuth of a sky dip in degrees; NaN for none.
func ParseDipAzimuth(text string) (deg float64, err error) {
	text = strings.TrimSuffix(strings.TrimSpace(text), "°")
	if text == "" {
		return math.NaN(), nil
	}
	deg, err = strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || !(deg >= 0 && deg <= 360) {
		return 0, fmt.Errorf("the azimuth is 0 to 360 degrees")
	}
	return deg, nil
}

// dipIsNewest says whether the newest figures of the receiver are those of a sky dip.
func dipIsNewest(now Now) bool {
	d := now.Receiving.Dip.Last
	return d != nil && (now.Receiving.Last == nil || d.At.After(now.Receiving.Last.At))
}

// DipHead says where and when the newest sky dip was.
func DipHead(now Now) Pair {
	d := now.Receiving.Dip.Last
	if d == nil {
		return Pair{Phrase{"No sky dip yet", Faint}, Phrase{}}
	}
	words := fmt.Sprintf("Sky dip, %s, azimuth %s°", d.Band, Number(d.Az.Deg(), 0))
	return Pair{Phrase{words, Plain}, Phrase{Moment(d.At, now.At), Faint}}
}

// DipFigures are what the newest sky dip came to, each beside what was expected.
func DipFigures(now Now) []Figure {
	lines := []Figure{{Name: "Zenith opacity, dB"}, {Name: "Receiver"}, {Name: "Spillover"}, {Name: "Lowest level"}}
	for i := range lines {
		lines[i].Value = Phrase{Missing, Faint}
	}
	d := now.Receiving.Dip.Last
	if d == nil || d.Why.Code != "" || len(d.Points) == 0 {
		return lines
	}
	expected := [3]string{
		Number(d.ExpectedOpacityDB, 3), kelvin(d.ExpectedReceiverK) + " K", kelvin(d.ExpectedSpillK) + " K",
	}
	for i, v := range [3]desk.DipValue{d.OpacityDB, d.ReceiverK, d.SpillK} {
		lines[i].Value = Phrase{PlusMinus(v.Value, v.Error) + [3]string{"", " K", " K"}[i], Measured}
		lines[i].Note = Phrase{"expected " + expected[i], Faint}
	}
	low := d.Points[len(d.Points)-1]
	lines[3].Value = Phrase{Signed(low.LevelDB, 2) + " dB", Measured}
	note := fmt.Sprintf("at %s° over that at %s°", Number(low.El.Deg(), 0), Number(d.Points[0].El.Deg(), 0))
	lines[3].Note = Phrase{note, Faint}
	return lines
}

// oddFit is the chi-square by degree of freedom from which something else than air changes with elevation.
const oddFit = 3

// DipNote says what the newest sky dip is worth.
func DipNote(now Now) Phrase {
	d := now.Receiving.Dip.Last
	switch {
	case d == nil:
		return Phrase{}
	case d.Why.Code != "":
		return Phrase{"Unusable: " + d.Why.String(), Attention}
	case d.ChiSquare > oddFit:
		return Phrase{"The points stand off the curve: something else than air changes with elevation", Attention}
	case d.Warm:
		return Phrase{"Scaled by the Y factor of the ground", Faint}
	}
	return Phrase{"The settings set the scale: measure Y on the ground first for a better one", Faint}
}

// DipPlot is the level against airmass: the points, and the curve of the fit.
func DipPlot(d *desk.DipResult) Plot {
	p := Plot{Title: "Level over the highest, against airmass", Unit: "dB", Decimals: 2, XDecimals: 2}
	if d == nil || len(d.Points) < 2 {
		return p
	}
	measured, fit := Series{Name: "measured", Look: Discs}, Series{Name: "fit"}
	for _, q := range d.Points {
		measured.X, measured.Y = append(measured.X, q.Airmass), append(measured.Y, q.LevelDB)
		fit.X, fit.Y = append(fit.X, q.Airmass), append(fit.Y, q.FitDB)
	}
	p.Add(measured)
	p.Add(fit)
	p.Room(0.1, 0.15, 0.02)
	return p
}

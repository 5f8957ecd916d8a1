package view

import (
	"fmt"
	"math"

	"beamhelm/app/desk/ownecho"
)

// echoPeakPlan says what a peak on the echo will do.
func echoPeakPlan(p *ownecho.Config) string {
	return fmt.Sprintf(
		"%d places, the Moon's centre and %s° to each side, above and below: %d cycles of %.0f s at each",
		ownecho.Places, Number(p.Reach.Deg(), 2), p.Cycles/ownecho.Places, ownecho.Cycle.Seconds())
}

// OwnEchoPeaks says that the next run is a peak on the echo.
func OwnEchoPeaks(now Now) bool {
	return now.Status != nil && now.OwnEcho.Plan != nil && now.OwnEcho.Plan.Peak
}

// placeName names a place of a peak on the echo.
func placeName(place int) string {
	return [...]string{"Centre", "Left", "Right", "Above", "Below"}[place%ownecho.Places]
}

// echoPeakHead says what a peak on the echo is good for.
func echoPeakHead(now Now, r *ownecho.Result) Phrase {
	switch {
	case r.Peak.Why.Code != "":
		return Phrase{"Peak unusable: " + r.Peak.Why.String(), Attention}
	case r == now.OwnEcho.Last && now.OwnEcho.Usable:
		across, up := r.Peak.Found.Cross-now.Trim.CrossEl, r.Peak.Found.El-now.Trim.El
		return Phrase{"Applying the peak moves the beam " + sideWords(across.Deg()) + " and " + heightWords(up.Deg()),
			Wanted}
	}
	return Phrase{"Peak applied or discarded, or of another band, feed or target", Faint}
}

// echoPeakFigures are the trim that the echo asks for, with its error, and the strength at each place.
func echoPeakFigures(r *ownecho.Result) []Figure {
	p := r.Peak
	tone := Measured
	if p.Why.Code != "" {
		tone = Old
	}
	trim := func(name string, found, within, was float64) Figure {
		f := Figure{Name: name, Value: Phrase{Missing, tone}, Note: Phrase{"was " + Signed(was, 2) + "°", Faint}}
		if within > 0 && !math.IsInf(within, 0) && !math.IsNaN(within) {
			f.Value.Words = SignedUncertain(found, within) + "°"
			f.Note.Words = fmt.Sprintf("±%s, was %s°", Uncertain(within, within), Signed(was, 2))
		}
		return f
	}
	strength := func(place int) string {
		s := p.Spots[place]
		if !(s.CN0Hz > s.ErrorHz) {
			return "not found"
		}
		return PlusMinus(10*math.Log10(s.CN0Hz), 10/math.Ln10*s.ErrorHz/s.CN0Hz)
	}
	both := func(name string, first, second int) Figure {
		return Figure{Name: name, Value: Phrase{strength(first), tone}, Note: Phrase{"and " + strength(second), tone}}
	}
	gain := Figure{Name: "Stronger by, dB", Value: Phrase{Missing, tone}}
	if p.Why.Code == "" {
		gain.Value.Words = Number(p.GainDB, 1)
	}
	centre := Figure{Name: "C/N0 at centre", Value: Phrase{strength(0), tone}}
	if r.HasExpected {
		centre.Note = Phrase{"expected " + Number(r.ExpectedDBHz, 1), Faint}
	}
	return []Figure{
		trim("Cross-elevation", p.Found.Cross.Deg(), p.Error.Cross.Deg(), p.Was.Cross.Deg()),
		trim("Elevation", p.Found.El.Deg(), p.Error.El.Deg(), p.Was.El.Deg()),
		gain, centre, both("Left and right", 1, 2), both("Above and below", 3, 4),
	}
}

// OwnEchoLine is how a run stands, its cycle and the time left, in the few words of the window's edge; empty where none
// runs.
func OwnEchoLine(now Now) string {
	e := &now.OwnEcho
	switch {
	case e.Waiting:
		return "own echo, awaiting the permit"
	case e.Request == nil:
		return ""
	case !e.Progress.Running || e.Progress.Run != e.Request.Number:
		return "own echo, beginning"
	}
	return fmt.Sprintf("own echo %d of %d, %s left", max(1, e.Progress.Done), e.Request.Config.Cycles,
		Span(e.Progress.Left))
}

// OwnEchoPlot is the strength of the own echoes on the band in use over time, with their errors, and what was expected.
func OwnEchoPlot(now Now) Plot {
	p := Plot{Title: "C/N0", Unit: "dB-Hz", Dates: true, Decimals: 1, None: "no own echo measured yet"}
	if now.Status == nil {
		return p
	}
	measured, expected := Series{Name: "measured", Look: Discs}, Series{Name: "expected"}
	for i := range now.OwnEcho.Before {
		r := &now.OwnEcho.Before[i]
		if r.Band != now.Band.Name || !r.Detected {
			continue
		}
		at := UnixSeconds(r.At)
		measured.X, measured.Y = append(measured.X, at), append(measured.Y, r.CN0DBHz)
		measured.Error = append(measured.Error, r.CN0ErrorDB)
		if r.HasExpected {
			expected.X, expected.Y = append(expected.X, at), append(expected.Y, r.ExpectedDBHz)
		}
	}
	p.Add(measured)
	p.Add(expected)
	p.Room(0.1, 1800, 0.5)
	return p
}

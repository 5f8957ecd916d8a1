package view

import (
	"fmt"
	"math"
	"time"

	"beamhelm/app/desk/ownecho"
)

// OwnEchoPlan says what a measurement of own echoes will do, before it is begun: the run, where to set the dials, what
// to expect, and what to mind.
func OwnEchoPlan(now Now) (lines [4]Phrase) {
	p := now.OwnEcho.Plan
	if p == nil {
		lines[0] = Phrase{"Being worked out", Faint}
		if now.OwnEcho.Why.Code != "" {
			lines[0] = Phrase{Sentence(now.OwnEcho.Why.String()), Attention}
		}
		return lines
	}
	how := "keyed by the panel"
	if p.ByHand {
		how = "you key by hand, by a countdown"
	}
	cycles := fmt.Sprintf("%d cycles of %.0f s", p.Cycles, ownecho.Cycle.Seconds())
	if p.Peak {
		cycles = echoPeakPlan(p)
	}
	lines[0] = Phrase{fmt.Sprintf("%s: %.0f s of transmission in about %s, %s W, %s", cycles,
		p.Transmits().Seconds(), Span(p.Lasts().Round(5*time.Second)),
		Number(now.Radio.Budget.PowerW, 0), how), Plain}
	lines[1] = Phrase{fmt.Sprintf(
		"Set the dials, upper sideband: TX %s, RX %s MHz. Tone %s ±91 Hz; the echo comes near %s Hz",
		Megahertz(now.OwnEcho.TransmitDialHz), Megahertz(now.OwnEcho.ReceiveDialHz), Number(p.ToneHz, 0),
		Number(now.OwnEcho.EchoHz, 0)), Plain}
	lines[2] = Phrase{"No budget: give the band's transmit power in Set-up", Faint}
	if b := now.Radio.Budget; b.Has {
		lines[2] = Phrase{fmt.Sprintf("Expected: %s dB-Hz, %s dB in %d Hz, %s wide", Number(b.DensityDBHz, 1),
			Signed(b.In(ownecho.BandwidthHz), 1), ownecho.BandwidthHz, Hertz(b.SpreadHz, 1)), Plain}
	}
	lines[3] = Phrase{"RF: nobody at the dish or in front of it. Start requests the transmit permit; the sequencer " +
		"has the last " +
		"word. Your licence and local rules say who must be present and how the station is identified. " +
		"Esc, STOP and End run drop the key first.", Attention}
	return lines
}

// OwnEchoBlocked says why no measurement can be begun now; empty when it can.
func OwnEchoBlocked(now Now) string {
	switch {
	case now.Status == nil || !now.Live:
		return "nothing is known of the dish"
	case OwnEchoRuns(now):
		return "it is running"
	case now.Working:
		return "somebody works at the dish"
	case now.Lock.Locked:
		return "the dish is locked out"
	case now.Receiving.Running, now.Peak.Running, now.Check.Running:
		return "another measurement is running"
	}
	return now.OwnEcho.Why.String()
}

// OwnEchoRuns says whether a measurement of own echoes runs, or waits for the permit.
func OwnEchoRuns(now Now) bool {
	return now.OwnEcho.Request != nil || now.OwnEcho.Waiting || now.OwnEcho.Progress.Running
}

// OwnEchoProgress says how the run stands: what it does now, and by hand what the operator is to do.
func OwnEchoProgress(now Now) Pair {
	e := &now.OwnEcho
	p, cycles := &e.Progress, 0
	if e.Request != nil {
		cycles = e.Request.Config.Cycles
	}
	count := fmt.Sprintf("%d of %d cycles count, keyed for %s s, %s left", p.Counted, cycles,
		Number(p.Keyed.Seconds(), 0),
		Span(p.Left))
	if e.Request != nil && e.Request.Config.Peak {
		count = placeName(p.Place) + ": " + count
	}
	switch {
	case e.Waiting:
		return Pair{Phrase{"Waiting for the transmit permit", Attention}, Phrase{}}
	case !p.Running && OwnEchoRuns(now):
		return Pair{Phrase{"Beginning", Plain}, Phrase{}}
	case !p.Running && p.Run != 0 && !p.Final && p.Refused.Code == "":
		return Pair{Phrase{"Looking for the echo", Plain}, Phrase{}}
	case !p.Running:
		why := OwnEchoBlocked(now)
		ended := Phrase{}
		if p.Ended.Code != "" && !p.Complete {
			ended = Phrase{"The last run ended early: " + p.Ended.String(), Attention}
		}
		if why == "" {
			return Pair{Phrase{"Ready", Faint}, ended}
		}
		return Pair{Phrase{Sentence(why), Attention}, Phrase{}}
	case p.Moving:
		return Pair{Phrase{"Moving the beam", Wanted}, Phrase{count, Faint}}
	case p.KeyNow:
		return Pair{Phrase{"KEY NOW, " + Number(p.Countdown.Seconds(), 1) + " s", Attention}, Phrase{count, Faint}}
	case e.Request != nil && e.Request.Config.ByHand && p.Countdown > 0:
		return Pair{Phrase{"Key in " + Number(p.Countdown.Seconds(), 1) + " s", Plain}, Phrase{count, Faint}}
	case p.Key:
		return Pair{Phrase{"Transmitting", Attention}, Phrase{count, Faint}}
	}
	return Pair{Phrase{"Listening", Plain}, Phrase{count, Faint}}
}

// ownEchoFound is the result that is shown: of the run under way, else the newest of the band.
func ownEchoFound(now Now) (r *ownecho.Result, interim bool) {
	e := &now.OwnEcho
	switch {
	case e.Progress.Running && e.Progress.Found != nil:
		found := *e.Progress.Found
		found.At, found.Band = now.Status.At, now.Band.Name
		if e.Request == nil || !e.Request.Config.Peak {
			found.Compare(now.Radio.Budget) // else the beam is beside the Moon for most of it
		}
		return &found, true
	case e.Progress.Running:
		return nil, true
	case e.Last != nil && e.Last.Band == now.Band.Name:
		return e.Last, false
	}
	for i := len(e.Before) - 1; i >= 0; i-- {
		if e.Before[i].Band == now.Band.Name {
			return &e.Before[i], false
		}
	}
	return nil, false
}

// OwnEchoHead says what was found, and when.
func OwnEchoHead(now Now) Pair {
	r, interim := ownEchoFound(now)
	switch {
	case r == nil && interim:
		return Pair{Phrase{"Gathering: the first look is after 5 cycles", Faint}, Phrase{}}
	case r == nil:
		return Pair{Phrase{"Own echo not measured yet on " + now.Band.Name, Faint}, Phrase{}}
	}
	when := Phrase{Moment(r.At, now.At) + ", " + Count(r.Cycles, "cycle", "cycles"), Faint}
	if r.Peak != nil {
		return Pair{echoPeakHead(now, r), when}
	}
	switch {
	case r.Why.Code != "":
		return Pair{Phrase{"No result: " + r.Why.String(), Attention}, when}
	case interim && !r.Detected:
		return Pair{Phrase{"Gathering, no echo so far", Faint}, when}
	case interim:
		return Pair{Phrase{"Echo found so far", Plain}, when}
	case !r.Detected:
		return Pair{Phrase{"No echo found, " + r.Band, Attention}, when}
	}
	return Pair{Phrase{"Echo found, " + r.Band, Plain}, when}
}

// OwnEchoFigures are the result's figures, each beside what should be; of a peak the trim and the strength at each
// place.
func OwnEchoFigures(now Now) []Figure {
	if r, _ := ownEchoFound(now); r != nil && r.Peak != nil {
		return echoPeakFigures(r)
	}
	lines := []Figure{{Name: "C/N0, dB-Hz"}, {Name: fmt.Sprintf("In %d Hz, dB", ownecho.BandwidthHz)},
		{Name: "Difference, dB"},
		{Name: "Off frequency"}, {Name: "Width, limb to limb"}, {Name: "Probability of noise"}}
	for i := range lines {
		lines[i].Value = Phrase{Missing, Faint}
	}
	r, _ := ownEchoFound(now)
	if r == nil || r.Why.Code != "" {
		return lines
	}
	lines[5].Value = Phrase{probability(r.NoiseProbability), Measured}
	lines[5].Note = Phrase{"found at 0.001 or less", Faint}
	if r.HasExpected {
		lines[0].Note = Phrase{"expected " + Number(r.ExpectedDBHz, 1), Faint}
		lines[1].Note = Phrase{"expected " + Signed(ownecho.InBandwidthDB(r.ExpectedDBHz), 1), Faint}
		lines[4].Note = Phrase{"expected " + Hertz(r.ExpectedHz, 1), Faint}
	}
	if !r.Detected {
		return lines
	}
	lines[0].Value = Phrase{PlusMinus(r.CN0DBHz, r.CN0ErrorDB), Measured}
	lines[1].Value = Phrase{PlusMinus(ownecho.InBandwidthDB(r.CN0DBHz), r.CN0ErrorDB), Measured}
	if db, within, ok := r.Difference(); ok {
		lines[2].Value = Phrase{SignedUncertain(db, r.CN0ErrorDB), Measured}
		lines[2].Note = Phrase{"±" + Number(within, 1) + " in all", Faint}
		if math.Abs(db) > 2*within {
			lines[2].Value.Tone = Attention
		}
	}
	lines[3].Value = Phrase{PlusMinus(r.OffsetHz, r.OffsetErrorHz) + " Hz", Measured}
	if late := r.DelayErrorMS; math.Abs(late) >= 1 {
		lines[3].Note = Phrase{"delay error " + Signed(late, 0) + " ms", Faint}
	}
	lines[4].Value = Phrase{Hertz(r.SpreadHz, 0.2*r.SpreadHz), Measured}
	return lines
}

// probability is one to one digit, or that it is less than what is worth telling.
func probability(p float64) string {
	switch {
	case p < 0.0001:
		return "below 0.0001"
	case p < 0.001:
		return Number(p, 4)
	}
	return Number(p, 3)
}

// OwnEchoHistory are the newest results on the band in use, newest first.
func OwnEchoHistory(now Now, maximum int) (lines []string) {
	before := now.OwnEcho.Before
	for i := len(before) - 1; i >= 0 && len(lines) < maximum; i-- {
		if before[i].Band == now.Band.Name {
			lines = append(lines, ownEchoLine(&before[i]))
		}
	}
	return lines
}

func ownEchoLine(r *ownecho.Result) string {
	when := Day(r.At) + " " + HourMinute(r.At)
	if !r.Detected {
		return fmt.Sprintf("%s: not found in %s", when, Count(r.Cycles, "cycle", "cycles"))
	}
	line := fmt.Sprintf("%s: %s dB-Hz", when, PlusMinus(r.CN0DBHz, r.CN0ErrorDB))
	if db, _, ok := r.Difference(); ok {
		line += fmt.Sprintf(", %s dB from expected", Signed(db, 1))
	}
	return line
}

// OwnEchoCycles are the words of how many cycles the next run has, and the number that comes next.
func OwnEchoCycles(now Now) (words string, next int) {
	choices, cycles := ownecho.UsualCycles[:], ownecho.UsualCycles[0]
	if p := now.OwnEcho.Plan; p != nil {
		cycles = p.Cycles
		if p.Peak {
			choices = ownecho.PeakCycles[:]
		}
	}
	next = choices[0]
	for i, one := range choices {
		if one == cycles {
			next = choices[(i+1)%len(choices)]
		}
	}
	return fmt.Sprintf("%d cycles", cycles), next
}

package view

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"beamhelm/app/desk/radio"
)

// Dial is a frequency to be set on the radio's dial.
type Dial struct {
	// Label says which one it is, Digits are MHz down to the Hz, Note what qualifies them.
	Label  string
	Digits Phrase
	Note   Phrase
}

// Megahertz returns a frequency in MHz down to the Hz, its decimals in threes.
func Megahertz(hz float64) string {
	if math.IsNaN(hz) || math.Abs(hz) > 1e13 {
		return Missing
	}
	whole := int64(math.Round(hz))
	sign := ""
	if whole < 0 {
		whole, sign = -whole, minus
	}
	return fmt.Sprintf("%s%d.%03d %03d", sign, whole/1_000_000, whole/1000%1000, whole%1000)
}

// dialOff is from how much on a dial that stands elsewhere is pointed out, Hz: radios are set in steps of 10.
const dialOff = 10

// dials are receiver and transmitter.
func dials(r *radio.Path) [2]Dial {
	d := &r.Dial
	one := func(label string, hz, airHz, withinHz, readHz float64) Dial {
		out := Dial{label, Phrase{Megahertz(hz), Wanted}, Phrase{"on the air " + Megahertz(airHz), Faint}}
		if withinHz >= 0.5 {
			out.Note.Words += ", ±" + Number(withinHz, 0) + " Hz"
		}
		if d.Read.Has && !math.IsNaN(readHz) {
			if out.Note = (Phrase{"radio " + Megahertz(readHz), Measured}); math.Abs(readHz-hz) >= dialOff {
				out.Note = Phrase{"▲ radio " + Megahertz(readHz) + ", " + SignedHertz(readHz-hz, 1), Attention}
			}
		}
		return out
	}
	return [2]Dial{
		one("Set RX dial, MHz", d.ReceiveHz, d.ReceiveAirHz, d.ReceiveWithinHz, d.Read.ReceiveHz),
		one("Set TX dial, MHz", d.TransmitHz, d.TransmitAirHz, d.TransmitWithinHz, d.Read.TransmitHz),
	}
}

// dialFigures say how long the dial's figures hold, and where the own echo is heard.
func dialFigures(r *radio.Path) []Figure {
	d := &r.Dial
	change := func(hz float64) string { return strings.TrimSuffix(SignedHertz(hz, 1), " Hz") }
	return []Figure{
		{"Dial until", Phrase{Clock(d.Until), Measured},
			Phrase{"RX " + change(d.ReceiveChangeHz) + ", TX " + change(d.TransmitChangeHz) + " Hz drift", Faint}},
		{"Own echo on the dial", Phrase{Megahertz(d.OwnEchoHz), Measured},
			Phrase{SignedHertz(d.OwnEchoOffHz, 1) + " from RX", Faint}},
	}
}

// AgreedWords are the frequency agreed on.
func AgreedWords(now Now) string {
	if now.Radio == nil {
		return Missing
	}
	mhz := strconv.FormatFloat(now.Radio.AgreedHz/1e6, 'f', 6, 64)
	for strings.HasSuffix(mhz, "0") && len(mhz)-strings.Index(mhz, ".") > 4 {
		mhz = strings.TrimSuffix(mhz, "0")
	}
	return mhz + " MHz"
}

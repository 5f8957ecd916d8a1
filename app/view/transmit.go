package view

import (
	"fmt"
	"slices"

	"beamhelm/app/desk"
	"beamhelm/app/desk/permit"
)

// Transmit says whether the station transmits or receives, and whether it may transmit.
func Transmit(now Now) Pair {
	if !now.Live {
		return Pair{Phrase{"Not known", Old}, Phrase{"transmit and receive", Faint}}
	}
	pair := plainPair("Receiving", permitWords(now))
	switch {
	case now.Transmit.Sequencer == desk.SequencerFault:
		pair.Head = Phrase{"Sequencer fault", Alarming}
	case now.Transmit.Keyed && (!now.Transmit.Permitted || now.Transmit.Unordered):
		pair.Head = Phrase{"Transmitting", Alarming} // without a permit
	case now.Transmit.Keyed:
		pair.Head = Phrase{"Transmitting", Measured}
	case now.Transmit.Sequencer == desk.InTransmit:
		pair.Head = Phrase{"In transmit", Measured} // the relays stand there, whether or not anything is sent
	case now.Transmit.Sequencer == desk.GoingToTransmit, now.Transmit.Sequencer == desk.GoingToReceive:
		pair.Head.Words = capital(now.Transmit.Sequencer.Message().String())
	}
	if now.PermitRequested && !now.Transmit.Permitted || now.Transmit.Ended.Code != permit.None {
		pair.Under.Tone = Attention
	}
	return pair
}

// permitWords is the permit in one short line: of several inhibits how many, and the first. Inhibits has all of it in
// full.
func permitWords(now Now) string {
	transmit := now.Transmit
	switch {
	case transmit.Unordered:
		return "permit on, not given"
	case transmit.Permitted:
		return "transmit permitted"
	case transmit.Ended.Code != permit.None && (len(transmit.Inhibits) == 0 || stillInhibits(transmit)):
		return "withdrawn: " + transmit.Ended.Short().String()
	case len(transmit.Inhibits) == 0 && now.PermitRequested:
		return "permit requested"
	case len(transmit.Inhibits) == 0:
		return "no permit requested"
	}
	words := transmit.Inhibits[0].Short().String()
	if n := len(transmit.Inhibits); n > 1 {
		return fmt.Sprintf("%d inhibits: %s", n, words)
	}
	return "inhibited: " + words
}

// stillInhibits says whether what ended the last request stands against transmitting now too.
func stillInhibits(transmit desk.Transmit) bool {
	return slices.ContainsFunc(transmit.Inhibits, func(i permit.Inhibit) bool { return i.Code == transmit.Ended.Code })
}

// Inhibits are the full words of the permit: what ended the last request, and all
// that stands against transmitting now, a sentence each. Empty where nothing does.
func Inhibits(now Now) []string {
	var lines []string
	if ended := now.Transmit.Ended; ended.Code != permit.None {
		lines = append(lines, "The transmit permit was withdrawn: "+ended.Past().String()+". Request it again.")
	}
	for _, inhibit := range now.Transmit.Inhibits {
		lines = append(lines, capital(inhibit.Message().String())+".")
	}
	return lines
}

package view

import (
	"fmt"
	"math"
	"strings"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
	"beamhelm/drive/mount"
)

// Figure is a line of a pane: what it is, its figure, and what qualifies it.
type Figure struct {
	Name        string
	Value, Note Phrase
}

// Echo is what the pane Echo says.
type Echo struct {
	// Summary is a word for the merit, from 0.85 excellent, from 0.65 good, from 0.4 fair, above 0 poor, else why not
	// now; under it the reasons.
	Summary Pair
	OwnHead Pair
	Own     []Figure
	// PartnerWords name the partner, or say that none is chosen; Convention who corrects.
	PartnerWords, Convention string
	// Dials are what to set on the radio: receiver, transmitter.
	Dials   [2]Dial
	Partner []Figure
}

// EchoOf returns what the pane Echo says now.
func EchoOf(now Now) Echo {
	r := now.Radio
	if r == nil {
		return Echo{Summary: Pair{Phrase{"No radio path", Faint}, Phrase{}},
			PartnerWords: "no partner", Convention: Missing}
	}
	e := Echo{
		Summary:      summary(r),
		OwnHead:      Pair{Phrase{"Own echo, " + r.Band, Faint}, Phrase{"received " + Clock(r.At) + " UTC", Faint}},
		Own:          ownFigures(now, r),
		PartnerWords: "no partner", Convention: radio.Conventions()[r.Convention],
		Dials: dials(r), Partner: dialFigures(r),
	}
	if r.HasPartner {
		e.PartnerWords = r.Partner.Name + ", " + r.Partner.Locator
		e.Partner = append(e.Partner, partnerFigures(r)...)
	}
	return e
}

func summary(r *radio.Path) Pair {
	tone := Plain
	if r.Merit == 0 {
		tone = Faint
	}
	return Pair{Phrase{meritWords(r), tone}, Phrase{spentWords(r), Faint}}
}

// meritWords is a word for the merit, or why the Moon is of no use now.
func meritWords(r *radio.Path) string {
	switch {
	case r.Worth.TooLow && r.Up:
		return "The Moon is too low there"
	case r.Worth.TooLow:
		return "The Moon is too low"
	case r.Worth.SunTooNear:
		return fmt.Sprintf("The Sun is %.0f° from the Moon", r.SunOff.Deg())
	case r.Merit >= 0.85:
		return "Excellent"
	case r.Merit >= 0.65:
		return "Good"
	case r.Merit >= 0.4:
		return "Fair"
	}
	return "Poor"
}

// spentWords is what was spent on path and noise, how wide the signal is, and with a partner and linear feeds
// the rotation of the polarisation and its loss.
func spentWords(r *radio.Path) string {
	spread := r.Own.SpreadHz
	if r.HasPartner {
		spread = r.Mutual.SpreadHz
	}
	words := fmt.Sprintf("path %+.1f dB, noise %+.1f dB, spread %.0f Hz", r.Worth.PathDB, r.Worth.NoiseDB, spread)
	if r.HasPartner && r.BothLinear {
		words += fmt.Sprintf(", polarisation %+.0f° costs %.1f dB", r.BetweenFeeds.Deg(), r.PolarisationLossDB)
	}
	return strings.ReplaceAll(words, "-", minus)
}

// Hertz returns a frequency or a shift of it with a standard uncertainty, its digits in threes.
// Receivers are tuned in whole Hz, and an echo is spread over more: it never has decimals.
func Hertz(hz, within float64) string {
	place, ok := placeOf(within)
	if !ok {
		return Missing
	}
	return grouped(toPlace(hz, max(place, 0))) + " Hz"
}

// SignedHertz returns a shift with its sign.
func SignedHertz(hz, within float64) string {
	text := Hertz(hz, within)
	if place, ok := placeOf(within); ok && toPlace(hz, max(place, 0)) > 0 {
		return "+" + text
	}
	return text
}

// The uncertainties of what changes while it is read.
const (
	driftHz = 0.4    // of a drift a minute: it bends by so much within one
	smearS  = 0.0033 // of a delay: an echo comes over 11.6 ms, evenly at most
)

func grouped(v float64) string {
	digits := Number(math.Abs(v), 0)
	if digits == Missing {
		return digits
	}
	var parts []string
	for len(digits) > 3 {
		parts = append([]string{digits[len(digits)-3:]}, parts...)
		digits = digits[:len(digits)-3]
	}
	text := strings.Join(append([]string{digits}, parts...), " ")
	if v < 0 {
		return minus + text
	}
	return text
}

func ownFigures(now Now, r *radio.Path) []Figure {
	n, within := r.Noise, r.Own.Within
	line := func(name, value, note string) Figure {
		return Figure{name, Phrase{value, Measured}, Phrase{note, Faint}}
	}
	sky, sun := "the Moon is below its limit", sunOff(now, r)
	switch {
	case n.Doubt.Code != "":
		sky = n.Doubt.String()
	case r.Up:
		sky = "Moon " + kelvin(n.MoonK) + ", receiver " + kelvin(n.ReceiverK)
		if n.SunK >= 0.5 {
			sky = "Sun " + kelvin(n.SunK) + ", " + sky
		}
	}
	return []Figure{
		line("Doppler", SignedHertz(r.Own.DopplerHz, within.DopplerHz),
			SignedUncertain(r.Own.DriftHzPerS*60, driftHz)+" Hz/min"),
		line("Delay", Uncertain(r.Own.DelayS, smearS)+" s", ""),
		line("Doppler spread, limb to limb", Number(r.Own.SpreadHz, spreadDecimals(r.Own.SpreadHz))+" Hz", ""),
		line("Two-way path loss", Uncertain(r.Own.LossDB, within.LossDB)+" dB",
			SignedUncertain(r.Own.AbovePerigeeDB, differenceDB)+" from perigee"),
		line("Degradation from month's best", degradation(r.AboveBestPathDB+r.AboveBestSkyDB)+" dB",
			"path "+degradation(r.AboveBestPathDB)+", sky "+degradation(r.AboveBestSkyDB)),
		line("Sky behind the Moon", kelvin(n.BehindK)+" K", "air "+kelvin(n.AirK)+", ground "+kelvin(n.GroundK)),
		line("System noise now", kelvin(n.SystemK)+" K", sky),
		sun,
	}
}

func spreadDecimals(hz float64) int {
	if hz < 9.95 {
		return 1
	}
	return 0
}

// sunNear is how near the Sun to the beam is worth a warning, degrees.
const sunNear = 5

// beamElsewhere is by how much the Sun's angles off Moon and beam differ where both are said, degrees.
const beamElsewhere = 1

// sunOff is the angle between Sun and Moon, with that between Sun and beam where the beam looks elsewhere.
func sunOff(now Now, r *radio.Path) Figure {
	off := r.SunOff.Deg()
	nearer, note := off, "to Moon"
	if az, el := now.Axes[Azimuth], now.Axes[Elevation]; az.Trusted && el.Trusted {
		for _, body := range now.Bodies {
			if body.Kind == desk.Sun {
				beam := mount.Between(az.Position, el.Position, body.Az, body.El).Deg()
				if nearer = min(off, beam); math.Abs(beam-off) > beamElsewhere {
					note += ", to beam " + Number(beam, 1) + "°"
				}
			}
		}
	}
	value := Phrase{Number(off, 1) + "°", Measured}
	if nearer < sunNear {
		value.Tone = Attention
	}
	return Figure{"Sun separation", value, Phrase{note, Faint}}
}

func partnerFigures(r *radio.Path) []Figure {
	way := "setting"
	if r.PartnerRising {
		way = "rising"
	}
	elevation := Phrase{Number(r.PartnerEl.Deg(), 1) + "°", Measured}
	if r.PartnerEl < 0 {
		elevation.Tone, way = Attention, "not up there, "+way
	}
	turn := Figure{"Polarisation", Phrase{Signed(r.Polarisation.Deg(), 0) + "°", Measured},
		Phrase{"here − there", Faint}}
	if r.BothLinear {
		loss, there := r.PolarisationDB()
		turn.Note.Words = "costs " + Loss(loss)
		if r.Faraday.Matters {
			turn.Note.Words += ", there " + Loss(there)
		}
	}
	m, within := r.Mutual, r.Mutual.Within
	return []Figure{
		{"Moon at partner", elevation, Phrase{way, Faint}},
		{"Partner's signal, uncorrected", Phrase{SignedHertz(m.DopplerHz, within.DopplerHz), Measured},
			Phrase{SignedUncertain(m.DriftHzPerS*60, driftHz) + " Hz/min", Faint}},
		{"Loss, spread", Phrase{Uncertain(m.LossDB, within.LossDB) + " dB", Measured},
			Phrase{Number(m.SpreadHz, spreadDecimals(m.SpreadHz)) + " Hz limb to limb", Faint}},
		turn,
	}
}

// EchoCharts are four plots over the pass, each with now marked and the time that both stations share shaded; empty
// without a pass.
func EchoCharts(now Now) (plots [4]Plot) {
	for i := range plots {
		plots[i].None = "no pass"
	}
	if now.Radio == nil || now.Radio.Pass == nil || len(now.Radio.Pass.Points) < 2 {
		return plots
	}
	pass := now.Radio.Pass
	whose := "Own "
	if pass.Points[0].HasPartner {
		whose = "Partner's "
	}
	for i, row := range [...]struct {
		title, unit string
		decimals    int
		of          func(radio.PassPoint) float64
	}{
		{whose + "Doppler", "kHz", 3, func(p radio.PassPoint) float64 { return p.DopplerHz / 1000 }},
		{whose + "spread", "Hz", 1, func(p radio.PassPoint) float64 { return p.SpreadHz }},
		{"Loss from perigee", "dB", 2, func(p radio.PassPoint) float64 { return p.AbovePerigeeDB }},
		{"System noise", "K", 0, func(p radio.PassPoint) float64 { return p.SystemK }},
	} {
		plot := &plots[i]
		*plot = Plot{Title: row.title, Unit: row.unit, Dates: true, Hours: true,
			Decimals: row.decimals, None: "not known on this band"}
		line := Series{Look: Curve}
		for _, p := range pass.Points {
			line.X, line.Y = append(line.X, UnixSeconds(p.At)), append(line.Y, row.of(p))
		}
		plot.Add(line)
		plot.Room(0.05, 0, 0.02*max(math.Abs(plot.Low), math.Abs(plot.High)))
		plot.Left, plot.Right = line.X[0], line.X[len(line.X)-1]
		plot.Shaded = shared(pass)
		plot.Places = []Place{{X: UnixSeconds(now.At), Name: "now", Was: true}}
	}
	return plots
}

// shared are the times in which the Moon is up at both stations.
func shared(pass *radio.Pass) (spans [][2]float64) {
	for i, p := range pass.Points[:len(pass.Points)-1] {
		if !p.BothStations {
			continue
		}
		from, to := UnixSeconds(p.At), UnixSeconds(pass.Points[i+1].At)
		if n := len(spans) - 1; n >= 0 && spans[n][1] == from {
			spans[n][1] = to
			continue
		}
		spans = append(spans, [2]float64{from, to})
	}
	return spans
}

// PassWords names the pass of the charts.
func PassWords(now Now) Pair {
	if now.Radio == nil || now.Radio.Pass == nil {
		return plainPair("The Moon does not rise", "")
	}
	p := now.Radio.Pass
	words := "Over this pass"
	if now.At.Before(p.Rise) {
		words = "Over the next pass"
	}
	if now.Radio.HasPartner {
		words += ", shaded: up at both"
	}
	return Pair{Phrase{words, Faint}, Phrase{fmt.Sprintf("%s to %s UTC", Moment(p.Rise, now.At), Moment(p.Set, now.At)),
		Faint}}
}

// ConventionTip explains the convention of an index.
func ConventionTip(index int) string {
	tips := [...]string{
		"The agreed frequency arrives at the Moon: each station corrects its own path",
		"The partner stays on the agreed frequency; this station corrects everything",
		"This station stays on the agreed frequency; the partner corrects everything",
		"Both transmit on the agreed frequency; nobody corrects",
	}
	return tips[index]
}

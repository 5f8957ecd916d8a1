package rehearse

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
)

// plain are the actions of one or two words.
//
//beamhelm:table
func plain() map[string]desk.Order {
	return map[string]desk.Order{
		"stop": {Kind: desk.Stop}, "release": {Kind: desk.Release}, "hold": {Kind: desk.Hold},
		"track": {Kind: desk.Track, On: true}, "track off": {Kind: desk.Track},
		"power on": {Kind: desk.Power, On: true}, "power off": {Kind: desk.Power},
		"park": {Kind: desk.Park}, "wind-stow": {Kind: desk.WindStow}, "snow-stow": {Kind: desk.SnowStow},
		"working on": {Kind: desk.Working, On: true}, "working off": {Kind: desk.Working},
		"permit on": {Kind: desk.Permit, On: true}, "permit off": {Kind: desk.Permit},
		"beam-on-target": {Kind: desk.BeamOnTarget}, "trim back": {Kind: desk.TrimBack},
		"trim zero": {Kind: desk.TrimTo},
		"cold-sky":  {Kind: desk.TakeColdSky}, "cancel": {Kind: desk.CancelWarning},
		"acknowledge": {Kind: desk.Acknowledge, Index: -1},
		"target moon": {Kind: desk.Choose, Body: desk.BodyChoice{Kind: desk.Moon, Name: "Moon"}},
		"target sun":  {Kind: desk.Choose, Body: desk.BodyChoice{Kind: desk.Sun, Name: "Sun"}},
	}
}

// order is what 'do WORDS' asks:
//
//	slew AZIMUTH ELEVATION     axis angles, degrees; - leaves an axis alone
//	nudge CROSS ELEVATION      degrees of true angle
//	jog RIGHT UP               -1, 0 or 1; lives 300 ms
//	target source NAME, target place AZIMUTH ELEVATION, target radec RA DEC
//	band INDEX [FEED]          from 0
//	reference azimuth|elevation DEGREES
//
// and the plain ones: stop, release, hold, track, power on, park ...
func order(words []string) (desk.Order, error) {
	text := strings.ToLower(strings.Join(words, " "))
	if o, ok := plain()[text]; ok {
		return o, nil
	}
	switch {
	case words[0] == "slew" && len(words) == 3:
		return pair(desk.SlewTo, words[1:], 720)
	case words[0] == "nudge" && len(words) == 3:
		return pair(desk.Nudge, words[1:], 10)
	case words[0] == "jog" && len(words) == 3:
		o, err := pair(desk.Jog, words[1:], 1)
		o.Az, o.El = unit.Angle(o.Az.Deg()), unit.Angle(o.El.Deg())
		return o, err
	case words[0] == "target" && len(words) > 2:
		return target(words[1:])
	case words[0] == "band" && len(words) > 1:
		return band(words[1:])
	case words[0] == "reference" && len(words) == 3 && (words[1] == "azimuth" || words[1] == "elevation"):
		o, err := pair(desk.ReferenceTo, []string{words[2], "0"}, 720)
		if words[1] == "elevation" {
			o.Index = 1
		}
		return o, err
	}
	return desk.Order{}, fmt.Errorf("do %s: no such action", text)
}

// pair is an order with two angles in degrees, each within limit.
func pair(kind desk.OrderKind, words []string, limit float64) (desk.Order, error) {
	o := desk.Order{Kind: kind}
	for i, to := range [...]*unit.Angle{&o.Az, &o.El} {
		if words[i] == "-" {
			*to = unit.Angle(math.NaN())
			continue
		}
		v, err := strconv.ParseFloat(words[i], 64)
		if err != nil || !(math.Abs(v) <= limit) {
			return o, fmt.Errorf("%s: must be within -%v to %v", words[i], limit, limit)
		}
		*to = unit.AngleFromDeg(v)
	}
	return o, nil
}

func target(words []string) (desk.Order, error) {
	o := desk.Order{Kind: desk.Choose}
	switch {
	case words[0] == "source":
		o.Body = desk.BodyChoice{Kind: desk.Source, Name: strings.Join(words[1:], " ")}
		return o, nil
	case len(words) == 3 && (words[0] == "place" || words[0] == "radec"):
		angles, err := pair(desk.Choose, words[1:], 360)
		o.Body = desk.BodyChoice{Kind: desk.Fixed, Az: angles.Az, El: angles.El}
		if words[0] == "radec" {
			o.Body = desk.BodyChoice{Kind: desk.Radec, RA: angles.Az, Dec: angles.El}
		}
		return o, err
	}
	return o, fmt.Errorf("target %s: must be moon, sun, source NAME, place AZIMUTH ELEVATION or radec RA DEC",
		strings.Join(words, " "))
}

func band(words []string) (desk.Order, error) {
	o := desk.Order{Kind: desk.BandTo}
	for i, to := range [...]*int{&o.Index, &o.Feed} {
		if i >= len(words) {
			break
		}
		v, err := strconv.Atoi(words[i])
		if err != nil || v < 0 {
			return o, fmt.Errorf("band %s: must be a number from 0", words[i])
		}
		*to = v
	}
	return o, nil
}

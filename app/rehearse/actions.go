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
		"stop": desk.Stop{}, "release": desk.Release{}, "hold": desk.Hold{},
		"track": desk.Track{On: true}, "track off": desk.Track{},
		"power on": desk.Power{On: true}, "power off": desk.Power{},
		"park": desk.Park{}, "wind-stow": desk.WindStow{}, "snow-stow": desk.SnowStow{},
		"working on": desk.Working{On: true}, "working off": desk.Working{},
		"permit on": desk.Permit{On: true}, "permit off": desk.Permit{},
		"beam-on-target": desk.BeamOnTarget{}, "trim back": desk.TrimBack{},
		"trim zero": desk.TrimTo{},
		"cold-sky":  desk.TakeColdSky{}, "cancel": desk.CancelWarning{},
		"acknowledge": desk.Acknowledge{Alarm: -1},
		"target moon": desk.Choose{Body: desk.BodyChoice{Kind: desk.Moon, Name: "Moon"}},
		"target sun":  desk.Choose{Body: desk.BodyChoice{Kind: desk.Sun, Name: "Sun"}},
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
		to, err := angles(words[1:], 720)
		return desk.SlewTo{To: to}, err
	case words[0] == "nudge" && len(words) == 3:
		by, err := angles(words[1:], 10)
		return desk.Nudge{By: desk.Offset{Cross: by.Az, El: by.El}}, err
	case words[0] == "jog" && len(words) == 3:
		at, err := angles(words[1:], 1)
		return desk.Jog{Az: at.Az.Deg(), El: at.El.Deg()}, err
	case words[0] == "target" && len(words) > 2:
		return target(words[1:])
	case words[0] == "band" && len(words) > 1:
		return band(words[1:])
	case words[0] == "reference" && len(words) == 3 && (words[1] == "azimuth" || words[1] == "elevation"):
		at, err := angles([]string{words[2], "0"}, 720)
		o := desk.ReferenceTo{Angle: at.Az}
		if words[1] == "elevation" {
			o.Axis = 1
		}
		return o, err
	}
	return nil, fmt.Errorf("do %s: no such action", text)
}

// angles are two in degrees, each within limit; - is not a number.
func angles(words []string, limit float64) (d desk.AxisAngles, err error) {
	for i, to := range [...]*unit.Angle{&d.Az, &d.El} {
		if words[i] == "-" {
			*to = unit.Angle(math.NaN())
			continue
		}
		v, err := strconv.ParseFloat(words[i], 64)
		if err != nil || !(math.Abs(v) <= limit) {
			return d, fmt.Errorf("%s: must be within -%v to %v", words[i], limit, limit)
		}
		*to = unit.AngleFromDeg(v)
	}
	return d, nil
}

func target(words []string) (desk.Order, error) {
	switch {
	case words[0] == "source":
		return desk.Choose{Body: desk.BodyChoice{Kind: desk.Source, Name: strings.Join(words[1:], " ")}}, nil
	case len(words) == 3 && (words[0] == "place" || words[0] == "radec"):
		at, err := angles(words[1:], 360)
		body := desk.BodyChoice{Kind: desk.Fixed, Az: at.Az, El: at.El}
		if words[0] == "radec" {
			body = desk.BodyChoice{Kind: desk.Radec, RA: at.Az, Dec: at.El}
		}
		return desk.Choose{Body: body}, err
	}
	return nil, fmt.Errorf("target %s: must be moon, sun, source NAME, place AZIMUTH ELEVATION or radec RA DEC",
		strings.Join(words, " "))
}

func band(words []string) (desk.Order, error) {
	var o desk.BandTo
	for i, to := range [...]*int{&o.Band, &o.Feed} {
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

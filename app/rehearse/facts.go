package rehearse

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"beamhelm/app/desk"
)

// Moment is what an expectation is judged by.
type Moment struct {
	Status *desk.Status
	// TrueAz and TrueEl are where the dish really looks, axis angles in
	// degrees, TrueOff how far that is from the target.
	TrueAz, TrueEl, TrueOff float64
	// AppliedAz and AppliedEl are the drives really applied, -1 to 1.
	AppliedAz, AppliedEl float64
	// DemandAz and DemandEl are the drives asked for.
	DemandAz, DemandEl float64
	Powered            bool
	// Events are the words of everything that happened so far, in small letters.
	Events []string
}

// expect is 'expect FACT COMPARISON VALUE'.
type expect struct {
	fact, comparison, value string
}

// numbers are the facts that are figures, in degrees, seconds or parts of full drive.
//
//beamhelm:table
func numbers() map[string]func(*Moment) float64 {
	return map[string]func(*Moment) float64{
		"azimuth":             func(m *Moment) float64 { return m.Status.Axes[0].Position.Deg() },
		"elevation":           func(m *Moment) float64 { return m.Status.Axes[1].Position.Deg() },
		"commanded-azimuth":   func(m *Moment) float64 { return setpointDeg(m.Status.Axes[0]) },
		"commanded-elevation": func(m *Moment) float64 { return setpointDeg(m.Status.Axes[1]) },
		"true-azimuth":        func(m *Moment) float64 { return m.TrueAz },
		"true-elevation":      func(m *Moment) float64 { return m.TrueEl },
		"true-off":            func(m *Moment) float64 { return m.TrueOff },
		"off":                 func(m *Moment) float64 { return m.Status.Off.Deg() },
		"drive":               func(m *Moment) float64 { return max(math.Abs(m.AppliedAz), math.Abs(m.AppliedEl)) },
		"demand":              func(m *Moment) float64 { return max(math.Abs(m.DemandAz), math.Abs(m.DemandEl)) },
		"trim-cross":          func(m *Moment) float64 { return m.Status.Trim.CrossEl.Deg() },
		"trim-elevation":      func(m *Moment) float64 { return m.Status.Trim.El.Deg() },
		"starts-per-hour": func(m *Moment) float64 {
			return max(m.Status.MotorStartsPerHour[0],
				m.Status.MotorStartsPerHour[1])
		},
		"alarms":      func(m *Moment) float64 { return float64(len(m.Status.Alarms)) },
		"starting-in": func(m *Moment) float64 { return m.Status.StartingIn.Seconds() },
		"noise":       func(m *Moment) float64 { return m.Status.Noise.LevelDB },
	}
}

// texts are the facts that are words.
//
//beamhelm:table
func texts() map[string]func(*Moment) string {
	return map[string]func(*Moment) string{
		"activity": func(m *Moment) string { return Activity(m.Status.Activity) },
		"power": func(m *Moment) string {
			return [...]string{"off", "coming on", "on"}[m.Status.Power]
		},
		"powered":    func(m *Moment) string { return yes(m.Powered) },
		"locked":     func(m *Moment) string { return yes(m.Status.Lock.Locked) },
		"cause":      func(m *Moment) string { return m.Status.Lock.Cause.String() },
		"moving":     func(m *Moment) string { return yes(m.Status.Moving) },
		"referenced": func(m *Moment) string { return yes(m.Status.Axes[0].Trusted && m.Status.Axes[1].Trusted) },
		"last-known": func(m *Moment) string { return yes(m.Status.Axes[0].HasOffer || m.Status.Axes[1].HasOffer) },
		"stop":       func(m *Moment) string { return [...]string{"none", "asked", "standing"}[m.Status.Stop] },
		"permitted":  func(m *Moment) string { return yes(m.Status.Transmit.Permitted) },
		"why":        why,
		"link": func(m *Moment) string {
			return [...]string{"opening", "good", "waiting", "lost", "refused"}[m.Status.Link.State]
		},
		"working": func(m *Moment) string { return yes(m.Status.Working) },
		"band":    func(m *Moment) string { return m.Status.Band.Name },
		"target":  func(m *Moment) string { return m.Status.Target.Name },
		"alarm": func(m *Moment) string {
			var all []string
			for _, a := range m.Status.Alarms {
				all = append(all, a.Words.String())
			}
			return strings.Join(all, "; ")
		},
		"event": func(m *Moment) string { return strings.Join(m.Events, "; ") },
	}
}

func setpointDeg(a desk.Axis) float64 {
	if !a.HasSetpoint {
		return math.NaN()
	}
	return a.Setpoint.Deg()
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// Activity is an activity in a word or two.
func Activity(a desk.Activity) string {
	words := [...]string{"idle", "holding", "jogging", "slewing", "tracking", "waiting", "parking", "parked", "stowing",
		"stowed", "locked out"}
	if int(a) < len(words) {
		return words[a]
	}
	return "unknown"
}

// expectation reads 'FACT COMPARISON VALUE': figures with <, >, = (within
// 0.0005); words with =, has and lacks, capitals aside.
func expectation(words []string) (expect, error) {
	if len(words) < 3 {
		return expect{}, fmt.Errorf("must be: expect FACT COMPARISON VALUE")
	}
	e := expect{strings.ToLower(words[0]), words[1], strings.ToLower(strings.Join(words[2:], " "))}
	if _, ok := numbers()[e.fact]; ok {
		if _, err := strconv.ParseFloat(e.value, 64); err != nil {
			return e, fmt.Errorf("expect %s: %q must be a figure", e.fact, e.value)
		}
		if e.comparison != "<" && e.comparison != ">" && e.comparison != "=" {
			return e, fmt.Errorf("expect %s: %q must be <, > or =", e.fact, e.comparison)
		}
		return e, nil
	}
	if _, ok := texts()[e.fact]; !ok {
		return e, fmt.Errorf("expect %s: no such fact", e.fact)
	}
	if e.comparison != "=" && e.comparison != "has" && e.comparison != "lacks" {
		return e, fmt.Errorf("expect %s: %q must be =, has or lacks", e.fact, e.comparison)
	}
	return e, nil
}

// judge says whether the expectation is true, and what the fact is.
func (e expect) judge(m *Moment) (is string, ok bool) {
	if number, figure := numbers()[e.fact]; figure {
		v := number(m)
		expected, _ := strconv.ParseFloat(e.value, 64)
		is = strconv.FormatFloat(v, 'f', 3, 64)
		switch e.comparison {
		case "<":
			return is, v < expected
		case ">":
			return is, v > expected
		}
		return is, math.Abs(v-expected) <= 0.0005
	}
	is = texts()[e.fact](m)
	low := strings.ToLower(is)
	switch e.comparison {
	case "has":
		return is, strings.Contains(low, e.value)
	case "lacks":
		return is, !strings.Contains(low, e.value)
	}
	return is, low == e.value
}

// why is what stands against transmitting, all of it.
func why(m *Moment) string {
	var all []string
	for _, inhibit := range m.Status.Transmit.Inhibits {
		all = append(all, inhibit.Message().String())
	}
	return strings.Join(all, "; ")
}

package commission

import (
	"math"
	"strconv"

	"beamhelm/app/message"
)

// Suggestion is a value for the settings that what was seen asks for.
type Suggestion struct {
	Key, Value string
	Why        message.Message
}

// EndDeg is the angle at which an end switch opened while driven into, by the
// reference of now; ok is false where it was not, or nothing is trusted.
func (s *State) EndDeg(c *Config, i, side int) (deg float64, ok bool) {
	e := s.Ends[i][side]
	if !e.HasCounts || !s.zero[i].has {
		return 0, false
	}
	return s.zero[i].deg + float64(e.Counts-s.zero[i].counts)*c.stepDeg(i), true
}

// zero is a place of an axis that is trusted.
type zero struct {
	counts int32
	deg    float64
	has    bool
}

// Suggestions are the values that differ from those of the settings, for the
// steps that have come so far.
func (s *State) Suggestions(c *Config) (all []Suggestion) {
	add := func(i int, key, value string, code message.Code, args ...any) {
		all = append(all, Suggestion{"axes." + [2]string{"azimuth", "elevation"}[i] + "." + key, value,
			message.Of(code, args...)})
	}
	for i := range 2 {
		if !c.axis(i).Fitted {
			continue
		}
		s.suggestWays(c, i, add)
		s.suggestSpeeds(c, i, add)
	}
	return all
}

func (s *State) suggestWays(c *Config, i int, add func(int, string, string, message.Code, ...any)) {
	x, f := c.axis(i), s.Figures(c, i)
	drive := x.DriveDirection
	if s.way(c, i) == OtherWay {
		drive = -drive
		add(i, "drive_direction", strconv.Itoa(drive), "commission.value.other-way")
	}
	if s.Seen[i] != NotSaid && f.CountsFollow != 0 && f.CountsFollow*drive != x.Direction {
		add(i, "direction", strconv.Itoa(f.CountsFollow*drive), "commission.value.against")
	}
	if off, within := s.rotationError(c, i); f.Turned && math.Abs(off) > math.Max(0.002, within) {
		t := s.Rotations[i]
		ratio := 360 * math.Abs(float64(t.By)) / (4 * x.Pulses * math.Abs(t.Deg))
		add(i, "gear_ratio", number(ratio, 5), "commission.value.counts", t.By, t.Deg)
	}
}

func (s *State) suggestSpeeds(c *Config, i int, add func(int, string, string, message.Code, ...any)) {
	x, f := c.axis(i), s.Figures(c, i)
	far := func(is, set, part float64) bool { return math.Abs(is-set) > part*math.Max(set, 1e-9) }
	if f.HasTop && f.Reached && far(f.Top, x.TopSpeedDegPerS, 0.03) {
		add(i, "top_speed_deg_per_s", number(f.Top, 3), "commission.value.full-drive")
	}
	if f.Acceleration > 0 && far(f.Acceleration, x.AccelerationDegPerS2, 0.25) {
		add(i, "acceleration_deg_per_s2", number(f.Acceleration, 2), "commission.value.accelerated")
	}
	if f.Min > 0 && f.Min <= 0.15 && f.Uneven > 0 && f.Uneven < f.Min &&
		far(100*f.Min, x.MinDrivePercent, 0.3) {
		add(i, "min_drive_percent", number(100*f.Min, 1), "commission.value.lowest-drive")
	}
	if f.Reversals >= 2 && x.Encoder != "motor shaft" &&
		math.Abs(f.Backlash-x.BacklashDeg) > math.Max(0.1, math.Abs(f.DegPerCount)) {
		add(i, "backlash_deg", number(f.Backlash, 2), "commission.value.reversals", f.Reversals)
	}
	for side, key := range [2]string{"lower_end_deg", "upper_end_deg"} {
		if is, ok := s.EndDeg(c, i, side); ok && math.Abs(is-[2]float64{x.LowerEndDeg, x.UpperEndDeg}[side]) > 0.5 {
			add(i, key, number(is, 1), "commission.value.switch")
		}
	}
}

func number(v float64, decimals int) string { return strconv.FormatFloat(v, 'f', decimals, 64) }

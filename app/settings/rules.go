package settings

import (
	"fmt"
	"math"
	"slices"
)

// minDialMHz is the lowest that a radio is tuned to.
const minDialMHz = 0.1

func (s Settings) checkBands(f *faults) {
	checkCount(f, "bands", len(s.Bands), 1, MaxBands)
	checkNames(f, "bands", s.Bands, func(b Band) string { return b.Name })
	for i, band := range s.Bands {
		offset := fmt.Sprintf("bands[%d].transverter_offset_mhz", i)
		dial := band.MHz - band.TransverterMHz
		if !(dial >= minDialMHz) && f.fine(offset, fmt.Sprintf("bands[%d].mhz", i)) {
			f.add(offset, "%s puts the dial at %s MHz; must leave at least %s MHz", number(band.TransverterMHz),
				number(dial),
				number(minDialMHz))
		}
		key := fmt.Sprintf("bands[%d].feeds", i)
		checkCount(f, key, len(band.Feeds), 1, MaxFeeds)
		checkNames(f, key, band.Feeds, func(feed Feed) string { return feed.Name })
		for j, feed := range band.Feeds {
			at := fmt.Sprintf("%s[%d].detector_slope_mv_per_db", key, j)
			if feed.DetectorSlopeMVPerDB == 0 && f.fine(at) {
				f.add(at, "0 says nothing of power; must be -1000 to 1000 mV/dB, but not 0")
			}
			table := fmt.Sprintf("%s[%d].detector_table_mv", key, j)
			switch n, m := len(feed.DetectorTableMV), len(feed.DetectorTableDB); {
			case n != m, n == 1:
				f.add(table, "has %d readings and detector_table_db %d levels; must be as many, two or more, or none",
					n, m)
			case n > 32:
				f.add(table, "has %d readings; at most 32", n)
			case !rising(feed.DetectorTableMV):
				f.add(table, "must rise")
			}
		}
	}
}

// highestAudioHz is half the rate at which audio inputs are heard.
const highestAudioHz = 24000

// checkMeter checks what a meter needs that isn't the enclosure's detector.
func (s Settings) checkMeter(f *faults) {
	m := s.Meter
	switch {
	case m.Source == FromEnclosure:
	case m.Source == FromAudio && m.Port == "" && s.Audio.Input == "" && f.fine("meter.source", "audio.input"):
		f.add("audio.input", "is empty; must be the input that the noise meter hears, as meter.source is %s",
			quoted(string(FromAudio)))
	case m.Source == FromAudio && s.Audio.Input != "":
		if f.fine("meter.low_hz", "meter.high_hz") && (m.HighHz <= m.LowHz || m.HighHz > highestAudioHz) {
			f.add("meter.high_hz", "%s; must be above low_hz, %s Hz, and at most %d Hz", number(m.HighHz),
				number(m.LowHz),
				highestAudioHz)
		}
	case m.Port == "" && f.fine("meter.source", "meter.port"):
		f.add("meter.port", "is empty; must be what source %s is read from", quoted(string(m.Source)))
	case m.Source == FromInstrument && m.Query == "" && f.fine("meter.query"):
		f.add("meter.query", "is empty; must be what the instrument is asked")
	case m.Source == FromAudio && f.fine("meter.low_hz", "meter.high_hz", "meter.sample_hz") &&
		(m.HighHz <= m.LowHz || m.HighHz > float64(m.SampleHz)/2):
		f.add("meter.high_hz", "%s; must be above low_hz, %s Hz, and at most half of sample_hz, %s Hz",
			number(m.HighHz), number(m.LowHz), number(float64(m.SampleHz)/2))
	}
}

// checkRadio checks that a radio, and what keys it, have ports of their own.
func (s Settings) checkRadio(f *faults) {
	switch r := s.Radio; {
	case r.Family == NoRadio || !f.fine("radio.family", "radio.port"):
	case r.Port == "":
		f.add("radio.port", "is empty; must be the port of a radio of the family %s", quoted(string(r.Family)))
	case r.Port == s.Link.Port:
		f.add("radio.port", "is the enclosure's; must be another")
	}
	key := s.Keying.Port
	switch {
	case key == "" || !f.fine("keying.port", "radio.port"):
	case key == s.Link.Port:
		f.add("keying.port", "is the enclosure's; must be another")
	case key == s.Radio.Port && s.Radio.Family != NoRadio:
		f.add("keying.port", "is the radio's control port; must be another, on which nothing else is spoken")
	}
}

func (s Settings) checkLink(f *faults) {
	l := s.Link
	if l.StopBits == 2 && l.Parity != NoParity && f.fine("link.stop_bits", "link.parity") {
		f.add("link.stop_bits", `2 with parity %s; must be 1, or parity "none"`, quoted(string(l.Parity)))
	}
	if !f.fine("link.baud", "link.ticks_per_s") {
		return
	}
	byRate := l
	byRate.TicksPerS = 0
	if maximum := byRate.Ticks(); l.Ticks() > maximum {
		f.add("link.ticks_per_s", "%d is more than the line carries; must be at most %d at %d baud", l.TicksPerS,
			maximum, l.Baud)
		return
	}
	if minimum := 3 * 1000 / l.Ticks(); l.WatchdogMS < minimum && f.fine("link.watchdog_ms") {
		f.add("link.watchdog_ms", "%d is less than three ticks; must be %d to 2000 ms at %d ticks a second",
			l.WatchdogMS, minimum, l.Ticks())
	}
}

func (s Settings) checkAxis(f *faults, section string, a Axis) {
	if !a.Fitted {
		return
	}
	s.checkLimits(f, section, a)
	key := func(name string) string { return section + "." + name }
	if counts := 4 * a.Pulses * a.GearRatio; counts < minCounts && f.fine(key("pulses"), key("gear_ratio")) {
		f.add(key("gear_ratio"), "%s with these pulses makes %s counts of a turn of the axis; must be %d or more",
			number(a.GearRatio), number(rounded(counts)), minCounts)
	}
	speeds := a.FixedSpeedsDegPerS
	if f.fine(key("fixed_speeds_deg_per_s"), key("top_speed_deg_per_s")) {
		switch {
		case len(speeds) > MaxFixedSpeeds:
			f.add(key("fixed_speeds_deg_per_s"), "has %d speeds; at most %d", len(speeds), MaxFixedSpeeds)
		case !rising(speeds):
			f.add(key("fixed_speeds_deg_per_s"), "must rise from the lowest to the highest")
		case len(speeds) > 0 && speeds[len(speeds)-1] != a.TopSpeedDegPerS:
			f.add(key("fixed_speeds_deg_per_s"), "the last is %s; must be the top speed, %s degrees/s",
				number(speeds[len(speeds)-1]), number(a.TopSpeedDegPerS))
		}
	}
	if f.fine(key("switch_over_deg"), key("fixed_speeds_deg_per_s")) {
		switch steps := max(0, len(speeds)-1); {
		case len(a.SwitchOverDeg) > 0 && steps == 0:
			f.add(key("switch_over_deg"), "is given without fixed speeds to step down; must be empty")
		case len(a.SwitchOverDeg) > 0 && len(a.SwitchOverDeg) != steps:
			f.add(key("switch_over_deg"),
				"has %d distances; must be %d, or none: one for each fixed speed above the lowest",
				len(a.SwitchOverDeg), steps)
		case !rising(a.SwitchOverDeg):
			f.add(key("switch_over_deg"), "must rise: the higher the speed, the earlier it is switched down")
		}
	}
	if f.fine(key("rated_current_a"), key("stall_current_a")) && a.StallCurrentA > 0 &&
		a.StallCurrentA < a.RatedCurrentA {
		f.add(key("stall_current_a"), "%s is below rated_current_a; must be %s A or more, or 0",
			number(a.StallCurrentA),
			number(a.RatedCurrentA))
	}
}

// minCounts are those of a turn of the axis: the drive takes no count of more than a radian.
const minCounts = 7

func rising(values []float64) bool {
	for i := 1; i < len(values); i++ {
		if values[i] <= values[i-1] {
			return false
		}
	}
	return true
}

// checkLimits checks the order of the limits, and that an axis at top speed
// whose line is cut stands before it comes to an end switch.
func (s Settings) checkLimits(f *faults, section string, a Axis) {
	lowerEnd, lowerSoft := section+".lower_end_deg", section+".lower_soft_deg"
	upperSoft, upperEnd := section+".upper_soft_deg", section+".upper_end_deg"
	if section == "axes.elevation" {
		for key, v := range map[string]float64{lowerEnd: a.LowerEndDeg, upperEnd: a.UpperEndDeg} {
			if (v < -90 || v > 270) && f.fine(key) {
				f.add(key, "%s is not an elevation; must be -90 to 270 degrees", number(v))
			}
		}
	}
	if f.fine(lowerSoft, upperSoft) && a.LowerSoftDeg >= a.UpperSoftDeg {
		f.add(upperSoft, "%s is not above lower_soft_deg; must be above %s degrees", number(a.UpperSoftDeg),
			number(a.LowerSoftDeg))
	}
	if !f.fine(section+".top_speed_deg_per_s", section+".acceleration_deg_per_s2", section+".lag_ms",
		section+".backlash_deg", "link.watchdog_ms") {
		return
	}
	// A little more than the figure itself, so that rounding never makes one
	// part of the program accept what another refuses.
	margin := math.Ceil(a.MarginDeg(s.Link.WatchdogMS)*1000+1e-3) / 1000
	why := fmt.Sprintf("the axis travels up to %s degrees before it stands if the line is cut at top speed",
		number(margin))
	if room := a.LowerSoftDeg - a.LowerEndDeg; f.fine(lowerEnd, lowerSoft) && !(room >= margin-1e-9) {
		f.add(lowerSoft, "%s is too near to the end at %s: %s; must be %s degrees or more", number(a.LowerSoftDeg),
			number(a.LowerEndDeg), why, number(rounded(a.LowerEndDeg+margin)))
	}
	if room := a.UpperEndDeg - a.UpperSoftDeg; f.fine(upperSoft, upperEnd) && !(room >= margin-1e-9) {
		f.add(upperSoft, "%s is too near to the end at %s: %s; must be %s degrees or less", number(a.UpperSoftDeg),
			number(a.UpperEndDeg), why, number(rounded(a.UpperEndDeg-margin)))
	}
}

// rounded takes off what binary arithmetic adds.
func rounded(v float64) float64 { return math.Round(v*1e6) / 1e6 }

func (s Settings) checkSky(f *faults) {
	checkCount(f, "structures", len(s.Structures), 0, MaxStructures)
	checkCount(f, "closed_sectors", len(s.ClosedSectors), 0, MaxClosedSectors)
	for i, sector := range s.ClosedSectors {
		at := fmt.Sprintf("closed_sectors[%d]", i)
		if f.fine(at+".from_elevation_deg", at+".to_elevation_deg") &&
			sector.FromElevationDeg >= sector.ToElevationDeg {
			f.add(at+".to_elevation_deg", "%s is not above from_elevation_deg; must be above %s degrees",
				number(sector.ToElevationDeg), number(sector.FromElevationDeg))
		}
		for _, name := range sector.Bands {
			known := slices.ContainsFunc(s.Bands, func(b Band) bool { return b.Name == name })
			if !known && f.fine(at+".bands") && f.whole("bands") {
				f.add(at+".bands", "%s is not a band; must be the name of one", quoted(name))
			}
		}
	}
}

// Over reports whether the structure stands at an azimuth, which need not be folded to a circle.
func (s Structure) Over(azimuthDeg float64) bool {
	width := folded(s.ToDeg - s.FromDeg)
	return width == 0 || folded(azimuthDeg-s.FromDeg) <= width
}

// folded folds an azimuth to 0 to 360 degrees.
func folded(deg float64) float64 {
	if deg = math.Mod(deg, 360); deg < 0 {
		deg += 360
	}
	return deg
}

// checkPlaces checks that the dish can go to its fixed places.
func (s Settings) checkPlaces(f *faults) {
	for _, place := range []struct {
		key string
		at  Place
	}{{"park", s.Park}, {"wind_stow", s.WindStow}, {"snow_stow", s.SnowStow}} {
		azimuth, elevation := place.key+".azimuth_deg", place.key+".elevation_deg"
		checkWithin(f, azimuth, place.at.AzimuthDeg, "axes.azimuth", s.Axes.Azimuth)
		checkWithin(f, elevation, place.at.ElevationDeg, "axes.elevation", s.Axes.Elevation)
		for i, structure := range s.Structures {
			if f.fine(azimuth, elevation) && f.whole(fmt.Sprintf("structures[%d]", i)) &&
				structure.Over(place.at.AzimuthDeg) && place.at.ElevationDeg < structure.MinElevationDeg {
				f.add(elevation, "%s is below the structure %s; must be %s degrees or more at this azimuth",
					number(place.at.ElevationDeg), quoted(structure.Name), number(structure.MinElevationDeg))
			}
		}
	}
}

func checkWithin(f *faults, key string, v float64, section string, a Axis) {
	if !a.Fitted || !f.fine(key, section+".lower_soft_deg", section+".upper_soft_deg") {
		return
	}
	if v < a.LowerSoftDeg || v > a.UpperSoftDeg {
		f.add(key, "%s is beyond the soft limits; must be %s to %s degrees", number(v), number(a.LowerSoftDeg),
			number(a.UpperSoftDeg))
	}
}

func (s Settings) checkRules(f *faults) {
	if s.Tracking.SecondLimitBeamwidths < s.Tracking.ToleranceBeamwidths &&
		f.fine("tracking.outer_tolerance_beamwidths", "tracking.tolerance_beamwidths") {
		f.add("tracking.outer_tolerance_beamwidths", "%s is below tolerance_beamwidths; must be %s to 1 beamwidths",
			number(s.Tracking.SecondLimitBeamwidths), number(s.Tracking.ToleranceBeamwidths))
	}
	w := s.Wind
	switch {
	case !f.fine("wind.warning_mps", "wind.stow_mean_mps", "wind.stow_gust_mps", "wind.hysteresis_mps"):
	case w.StowMeanMPS < w.WarningMPS:
		f.add("wind.stow_mean_mps", "%s is below warning_mps; must be %s to 60 m/s", number(w.StowMeanMPS),
			number(w.WarningMPS))
	case w.StowGustMPS < w.StowMeanMPS:
		f.add("wind.stow_gust_mps", "%s is below stow_mean_mps; must be %s to 80 m/s", number(w.StowGustMPS),
			number(w.StowMeanMPS))
	case w.HysteresisMPS >= w.WarningMPS:
		f.add("wind.hysteresis_mps", "%s would never let the warning end; must be below warning_mps, %s m/s",
			number(w.HysteresisMPS), number(w.WarningMPS))
	}
	if s.Dish.Finish == Bare && s.Sun.KeepAwayDeg == 0 && f.fine("dish.finish", "sun.min_separation_deg") {
		f.add("sun.min_separation_deg", "0 with a bare dish; must be above 0, at most 60 degrees")
	}
}

// judgedFromZero reports that the drive ends motion or the permit by the reading's
// alarm_high, and takes none below zero.
func judgedFromZero(key string) bool {
	return key == "azimuth_motor_c" || key == "elevation_motor_c" || key == "drive_stage_c" || key == "coolant_out_c"
}

// checkReadings checks that the limits of each reading stand in order, with room between them.
func (s Settings) checkReadings(f *faults) {
	for _, reading := range Readings() {
		l, set := s.Readings[reading.Key]
		section := "readings." + reading.Key
		if !set || !f.fine(section) {
			continue
		}
		names := []string{"alarm_low", "warning_low", "warning_high", "alarm_high"}
		below, name := math.Inf(-1), ""
		for i, limit := range []Optional{l.AlarmLow, l.WarningLow, l.WarningHigh, l.AlarmHigh} {
			if !limit.Given || !f.fine(section+"."+names[i]) {
				continue
			}
			if limit.Value < below || i >= 2 && limit.Value == below && (name == names[0] || name == names[1]) {
				f.add(section+"."+names[i], "%s is not above %s; must be above %s %s", number(limit.Value), name,
					number(below), reading.Unit)
			}
			if i == 3 && limit.Value < 0 && judgedFromZero(reading.Key) {
				f.add(section+"."+names[i], "%s would end all motion or transmitting; must be 0 %s or more",
					number(limit.Value),
					reading.Unit)
			}
			below, name = limit.Value, names[i]
		}
		low, high := l.WarningLow.Or(l.AlarmLow.Or(math.Inf(-1))), l.WarningHigh.Or(l.AlarmHigh.Or(math.Inf(1)))
		if width := high - low; l.Hysteresis >= width && width > 0 && f.fine(section+".hysteresis") {
			f.add(section+".hysteresis", "%s would never let a warning end; must be below %s %s", number(l.Hysteresis),
				number(rounded(width)), reading.Unit)
		}
	}
}

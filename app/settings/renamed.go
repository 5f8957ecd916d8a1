package settings

import (
	"fmt"
	"slices"
	"strings"
)

// Renamed is a key that a file gives under its former name. The name is read
// in this version only; whatever is written has the new one.
type Renamed struct {
	Line     int    // in the file, from 1
	Old, New string // whole keys, members of lists counted from 0
}

// String says which key it is and what to do, on one line.
func (r Renamed) String() string {
	name := r.New[strings.LastIndex(r.New, ".")+1:]
	return fmt.Sprintf(
		"%s is now called %s; the former name is read in this version only, and saving in Set-up writes the new one",
		indexes.ReplaceAllString(r.Old, ""), name)
}

// formerNames are the keys that have another name since version 0.1.0: the
// section as in Field.Key, the former name, the name now.
func formerNames() [][3]string {
	return [][3]string{
		{"axes.*", "least_steady_percent", "min_drive_percent"},
		{"axes.*", "ladder_deg", "switch_over_deg"},
		{"axes.*", "tooth_play_deg", "backlash_deg"},
		{"axes.*", "blocked_current_a", "stall_current_a"},
		{"axes.*", "bears_blocked_s", "max_stall_time_s"},
		{"bands[].feeds[]", "turn_deg", "rotation_deg"},
		{"bands[].feeds[]", "noise_source_k", "excess_noise_temperature_k"},
		{"tracking", "only_in_our_periods", "only_in_transmit_periods"},
		{"tracking", "second_limit_beamwidths", "outer_tolerance_beamwidths"},
		{"tracking", "least_elevation_deg", "min_elevation_deg"},
		{"tracking", "aside_beamwidths", "off_source_beamwidths"},
		{"structures[]", "least_elevation_deg", "min_elevation_deg"},
		{"permit", "least_elevation_deg", "min_elevation_deg"},
		{"sun", "keep_away_deg", "min_separation_deg"},
		{"clock", "warn_off_s", "offset_warning_s"},
		{"clock", "time_source_every_min", "time_source_interval_min"},
		{"periods", "ours", "transmit"},
		{"meter", "limit_mv", "overload_mv"},
		{"meter", "every_ms", "interval_ms"},
		{"camera", "every_s", "interval_s"},
		{"publish", "authority", "ca_file"},
	}
}

// rename gives the former names in a section their new ones. Where a file gives
// both, neither can be preferred: that is a fault.
func (r *reader) rename(from map[string]any, key string) {
	for _, names := range formerNames() {
		section, old, now := names[0], names[1], names[2]
		value, given := from[old]
		if !given || patternOf(key) != section {
			continue
		}
		if _, both := from[now]; both {
			r.add(joined(key, old), "is the former name of %s, which is given as well; remove one of them", now)
		} else {
			from[now] = value
			r.renamed = append(r.renamed, Renamed{Old: joined(key, old), New: joined(key, now)})
		}
		delete(from, old)
	}
}

// locate notes in which line each former name stands, and that what is wrong
// with the new one is to be looked for there.
func (r *reader) locate(places *lines) {
	for i := range r.renamed {
		renamed := &r.renamed[i]
		renamed.Line = places.of(renamed.Old)
		places.at[renamed.New] = renamed.Line
	}
	slices.SortStableFunc(r.renamed, func(a, b Renamed) int { return a.Line - b.Line })
}

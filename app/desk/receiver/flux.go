package receiver

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"beamhelm/app/message"
	"beamhelm/ephem/noise"
)

// Report is a day's solar flux at some frequencies.
type Report struct {
	Day    time.Time
	Points []noise.FluxPoint
}

// The range of a flux that is believed, solar flux units: the greatest burst on record is below.
const (
	minFlux = 1
	maxFlux = 2e5
)

// ParseReport reads a day's flux: the date and then pairs of
// frequency in MHz and flux in solar flux units, "2027-04-14 1415 62 2695 84".
func ParseReport(words string) (Report, error) {
	fields := strings.FieldsFunc(words, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '\t' })
	if len(fields) < 3 || len(fields)%2 == 0 {
		return Report{}, message.Of("flux.shape")
	}
	day, err := time.Parse(time.DateOnly, fields[0])
	if err != nil {
		return Report{}, message.Of("flux.date", fields[0])
	}
	r := Report{Day: day}
	for i := 1; i < len(fields); i += 2 {
		mhz, err := strconv.ParseFloat(fields[i], 64)
		if err != nil || !(mhz >= 10 && mhz <= 1e6) {
			return Report{}, message.Of("flux.frequency", fields[i])
		}
		sfu, err := strconv.ParseFloat(fields[i+1], 64)
		if err != nil || !(sfu >= minFlux && sfu <= maxFlux) {
			return Report{}, message.Of("flux.value", fields[i+1], minFlux, float64(maxFlux))
		}
		if n := len(r.Points); n > 0 && mhz <= r.Points[n-1].MHz {
			return Report{}, message.Of("flux.rise")
		}
		r.Points = append(r.Points, noise.FluxPoint{MHz: mhz, SFU: sfu})
	}
	if len(r.Points) > 20 {
		return Report{}, message.Of("flux.many")
	}
	return r, nil
}

// String writes a report as ParseReport reads it; empty for none.
func (r Report) String() string {
	if len(r.Points) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString(r.Day.Format(time.DateOnly))
	for _, p := range r.Points {
		fmt.Fprintf(&b, " %v %v", p.MHz, p.SFU)
	}
	return b.String()
}

// Reports are those that were entered, oldest first, one a day. They aren't changed in place.
type Reports []Report

// maxReports is how many are kept.
const maxReports = 400

// With has another report in it; one of the same day gives way.
func (r Reports) With(one Report) Reports {
	next := slices.DeleteFunc(slices.Clone(r), func(old Report) bool { return old.Day.Equal(one.Day) })
	next = append(next, one)
	slices.SortFunc(next, func(a, b Report) int { return a.Day.Compare(b.Day) })
	return next[max(0, len(next)-maxReports):]
}

// nearest is the report whose day is nearest to a moment's, and by how many days it differs.
func (r Reports) nearest(at time.Time) (best Report, days float64) {
	days = math.Inf(1)
	for _, one := range r {
		if away := math.Abs(at.UTC().Truncate(24*time.Hour).Sub(one.Day).Hours() / 24); away <= days {
			best, days = one, away
		}
	}
	return best, days
}

const (
	// maxDays is for how many days a report holds unless it is confirmed.
	maxDays = 2
	// confirmedFor is how long a confirmation of an older one holds.
	confirmedFor = 24 * time.Hour
	// ageShare is by how much a day more makes a flux uncertain (common practice, no source).
	ageShare = 0.03
)

// SunFlux is the Sun's flux, W m^-2 Hz^-1, with its share of error.
type SunFlux struct {
	Flux, Share float64
	// From says where it is from; Doubt why it may be far wrong, nothing where it should be right.
	From, Doubt message.Message
}

// SFU is the flux in solar flux units.
func (s SunFlux) SFU() float64 { return s.Flux / noise.SolarFluxUnit }

// Frequencies are those at which a day's flux is entered, MHz.
func Frequencies() []float64 { return noise.StationMHz() }

// DayFlux is a day's flux on some frequency, and the mean of the solar cycle beside it, solar flux units.
type DayFlux struct {
	Day          time.Time
	SFU, MeanSFU float64
}

// On are the days' fluxes on a frequency, oldest first, those left out that say nothing of it.
func (r Reports) On(hz float64) []DayFlux {
	var days []DayFlux
	for _, one := range r {
		if sfu, _, err := noise.FluxFrom(one.Points, hz/1e6); err == nil {
			mean, _ := noise.ExpectedFlux(hz/1e6, one.Day)
			days = append(days, DayFlux{one.Day, sfu, mean})
		}
	}
	return days
}

// Old is the code of an error: the newest report is too old to be taken as it is.
const Old message.Code = "flux.old"

// Flux is the Sun's flux at a moment: by the day's report; by one of a few days before or after with a larger error; by
// an older one only if it was confirmed within a day; and without any by the phase of the solar cycle.
func (r Reports) Flux(hz float64, at, confirmed time.Time) (SunFlux, error) {
	if len(r) == 0 {
		return ExpectedSun(hz, at)
	}
	report, days := r.nearest(at)
	day := report.Day
	if held := at.Sub(confirmed); days > maxDays && (confirmed.IsZero() || held.Abs() > confirmedFor) {
		return SunFlux{}, message.Of(Old, day)
	}
	sfu, share, err := noise.FluxFrom(report.Points, hz/1e6)
	if err != nil {
		return SunFlux{}, message.Of("flux.elsewhere", day, hz/1e6)
	}
	expected, cycleShare := noise.ExpectedFlux(hz/1e6, at)
	if expected == 0 {
		cycleShare = 0.5
	}
	f := SunFlux{Flux: sfu * noise.SolarFluxUnit, Share: math.Hypot(share, min(ageShare*days, cycleShare)),
		From: message.Of("flux.report", day)}
	if days > 0 {
		f.Doubt = message.Of("flux.other-day", day)
	}
	return f, nil
}

// ExpectedSun is the flux to be expected by the phase of the solar cycle alone.
func ExpectedSun(hz float64, at time.Time) (SunFlux, error) {
	sfu, share := noise.ExpectedFlux(hz/1e6, at)
	if sfu == 0 {
		return SunFlux{}, message.Of("flux.unknown", hz/1e6)
	}
	return SunFlux{sfu * noise.SolarFluxUnit, share, message.Of("flux.cycle"),
		message.Of("flux.not-entered")}, nil
}

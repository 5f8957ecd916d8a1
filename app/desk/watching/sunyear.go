package watching

import (
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/alarm"
	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/drive/mount"
	"beamhelm/drive/step"
)

// sunYear is what the Sun does, in the coming year, to the places where a bare
// dish is left alone. It is worked out a day at each step.
type sunYear struct {
	From   time.Time
	Day    int
	Visits [3]sunVisits
	// Comes is when the Sun comes to where the dish stands, zero for not soon; looked at at LookedAt.
	Comes    time.Time
	LookedAt time.Time
}

// sunVisits are the days on which the Sun comes too near to a place, and the first of them.
type sunVisits struct {
	Days  int
	First time.Time
}

const (
	// YearDays is how many days are looked through.
	YearDays = 366
	minSun   = 5 // degrees
	// sunEvery is between two looks: the Sun goes one degree meanwhile.
	sunEvery = 4 * time.Minute
	// sunSoon is how long before it comes the Sun is announced.
	sunSoon = 30 * time.Minute
)

// restPlaces are where the dish is left alone, as the words name them.
func restPlaces(s *settings.Settings) (places [3]mount.AxisAngles, names [3]string) {
	return [3]mount.AxisAngles{
			station.PlaceOf(s.Park),
			station.PlaceOf(s.WindStow),
			station.PlaceOf(s.SnowStow),
		}, [3]string{
			"park place",
			"wind stow",
			"snow stow",
		}
}

// sunsYear looks one day further into the year, and whether the Sun comes soon to where the dish stands.
func (w *work) sunsYear() {
	y, keep := &w.s.SunYear, w.c.Drive.Guard.SunAway
	if keep <= 0 {
		return
	}
	if y.From.IsZero() {
		y.From = w.in.At.UTC().Truncate(24 * time.Hour)
	}
	chain := w.in.Chain
	sunAt := func(at time.Time) (mount.AxisAngles, bool) {
		sky := w.c.SunAt(at)
		return chain.Axes(sky), sky.El > -keep
	}
	if y.Day < YearDays {
		places, _ := restPlaces(&w.c.Settings)
		y.look(places, keep, sunAt)
	}
	if w.in.At.Sub(y.LookedAt).Abs() >= time.Minute {
		y.LookedAt, y.Comes = w.in.At, time.Time{}
		here := mount.AxisAngles{
			Az: w.in.Loop.Axes[mount.Azimuth].Position,
			El: w.in.Loop.Axes[mount.Elevation].Position,
		}
		for in := time.Duration(0); in <= sunSoon && w.alone(); in += sunEvery / 2 {
			if sun, up := sunAt(w.in.At.Add(in)); up && mount.Apart(here, sun) < keep {
				y.Comes = w.in.At.Add(in)
				break
			}
		}
	}
}

// look looks through one more day.
func (y *sunYear) look(places [3]mount.AxisAngles, keep unit.Angle, sunAt func(time.Time) (mount.AxisAngles, bool)) {
	day := y.From.AddDate(0, 0, y.Day)
	y.Day++
	var found [len(places)]bool
	for at := day; at.Before(day.AddDate(0, 0, 1)); at = at.Add(sunEvery) {
		sun, up := sunAt(at)
		for i, p := range places {
			if up && !found[i] && mount.Apart(p, sun) < keep {
				found[i] = true
				if y.Visits[i].Days++; y.Visits[i].Days == 1 {
					y.Visits[i].First = at
				}
			}
		}
	}
}

// SunAtRest says on how many days of the year after a moment the Sun comes to
// the places of rest of some settings, nearer than they keep it away, or than
// minSun, a line each. A perfect mount is assumed. It takes some seconds.
func SunAtRest(c *station.Config, from time.Time) (lines []message.Message) {
	keep := degrees(max(minSun, c.Settings.Sun.KeepAwayDeg))
	y := sunYear{From: from.UTC().Truncate(24 * time.Hour)}
	places, names := restPlaces(&c.Settings)
	for y.Day < YearDays {
		y.look(places, keep, func(at time.Time) (mount.AxisAngles, bool) {
			sky := c.SunAt(at)
			return mount.Chain{}.Axes(sky), sky.El > -keep
		})
	}
	for i, v := range y.Visits {
		line := message.Of("sun.never", keep, names[i])
		if v.Days > 0 {
			line = message.Of("sun.within", keep, names[i], v.Days, v.First)
		}
		lines = append(lines, line)
	}
	return lines
}

// alone reports that the dish stands where it is left.
func (w *work) alone() bool {
	m := w.in.Loop.Mode
	return w.in.Referenced && (m == step.Holding || m == step.Idle || m == step.LockedOut)
}

// sunTroubles are the notices about the Sun on a bare dish that is left alone.
func (w *work) sunTroubles() (standing []alarm.Condition) {
	y := &w.s.SunYear
	if w.c.Drive.Guard.SunAway <= 0 {
		return nil
	}
	if in := y.Comes.Sub(w.in.At); !y.Comes.IsZero() && in > 0 {
		standing = append(standing, alarm.Condition{
			Key:   "sun comes",
			Grade: alarm.Notice,
			Words: message.Of("sun.comes", y.Comes),
			Next:  message.Of("sun.comes.next"),
		})
	}
	_, names := restPlaces(&w.c.Settings)
	for i, v := range y.Visits {
		if y.Day < YearDays || v.Days == 0 {
			continue
		}
		standing = append(standing, alarm.Condition{
			Key: "sun at " + names[i], Grade: alarm.Notice,
			Words: message.Of("sun.at-rest", names[i], v.Days, v.First),
			Next:  message.Of("sun.at-rest.next"),
		})
	}
	return standing
}
func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }

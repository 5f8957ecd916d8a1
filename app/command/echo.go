package command

import (
	"fmt"
	"io"
	"time"

	"beamhelm/assets"
	"beamhelm/ephem"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/noise"
)

const echoUsage = `usage: beamhelm echo -lat D -lon D -height M -mhz F -at RFC3339 [-step DUR -count N]
           [-partner LAT,LON,HEIGHT] [-airless] [-csv|-json]

Says what the way by the Moon does to a signal that is received at an instant. Doppler: received minus sent frequency; loss:
two-way, between isotropic antennas; spread: limb to limb. With -partner also the partner's signal here when nobody
corrects, and the polarisation here minus there. The columns _within_ are standard uncertainties, whatever the decimals of the others: places
good to 0.1 km, the Moon's reflectivity to a factor of 2. Elevations unless -airless as seen through air of 1010 hPa, 10 C, 50 %.
`

// Echo is `beamhelm echo`: the radio path at one or more instants.
func Echo(args []string, _ io.Reader, stdout, stderr io.Writer, packed []byte) int {
	f := newSkyFlags("echo")
	f.number(&f.mhz, "mhz")
	f.steps()
	f.withPartners(1)
	return ending("echo", listEchoes(f, args, stdout, stderr, packed), stdout, stderr, echoUsage)
}

func listEchoes(f *skyFlags, args []string, stdout, stderr io.Writer, packed []byte) error {
	if err := f.parse(args, "lat", "lon", "height", "mhz", "at"); err != nil {
		return err
	}
	sky, err := ephem.New(packed, ephem.Config{})
	if err != nil {
		return err
	}
	galaxy, err := noise.ParseSky(assets.Sky408())
	if err != nil {
		return err
	}
	q := echo.Question{Here: f.site(), Air: f.air(), Hz: f.mhz * 1e6}
	if len(f.partners) == 1 {
		q.There, q.HasPartner = f.partners[0], true
	}
	table := newFigures(stdout, f.form(), []column{
		{"utc", 0}, {"own_doppler_hz", 4}, {"own_delay_s", 9}, {"own_loss_db", 4}, {"own_spread_hz", 4},
		{"partner_el_deg", 6}, {"mutual_doppler_hz", 4}, {"mutual_delay_s", 9}, {"mutual_loss_db", 4},
		{"mutual_spread_hz", 4},
		{"polarisation_deg", 4}, {"moon_sky_k", 4}, {"moon_el_deg", 6}, {"own_drift_hz_per_s", 5}, {"note", 0},
		{"doppler_within_hz", 4}, {"delay_within_s", 9}, {"loss_within_db", 1}, {"spread_within_hz", 4},
	})
	for i := range f.count {
		at := f.at.Add(time.Duration(i) * f.step)
		if err := table.row(echoCells(q, echo.ReportAt(sky, galaxy, q, at), at)...); err != nil {
			return fmt.Errorf("writing: %w", err)
		}
	}
	if err := table.end(); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	tellOutside(sky, f.at, f.at.Add(time.Duration(f.count-1)*f.step), "echo", stderr)
	return nil
}

func echoCells(q echo.Question, r echo.Report, at time.Time) []cell {
	cells := []cell{stamp(at), r.Own.DopplerHz, r.Own.DelayS, r.Own.LossDB, r.Own.SpreadHz}
	if q.HasPartner {
		cells = append(cells, r.PartnerEl.Deg(), r.Mutual.DopplerHz, r.Mutual.DelayS, r.Mutual.LossDB,
			r.Mutual.SpreadHz, r.Polarisation.Deg())
	} else {
		cells = append(cells, nil, nil, nil, nil, nil, nil)
	}
	within := r.Own.Within
	return append(cells, r.MoonSkyK, r.MoonEl.Deg(), r.Own.DriftHzPerS, note(r.Look),
		within.DopplerHz, within.DelayS, within.LossDB, within.SpreadHz)
}

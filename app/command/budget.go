package command

import (
	"fmt"
	"io"

	"beamhelm/assets"
	"beamhelm/ephem"
	"beamhelm/ephem/budget"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/rows"
)

const budgetUsage = `usage: beamhelm budget -batch FILE|-

Says what a station hears with its beam on the Moon, and how strong its own echo should be. FILE is CSV with a header, its columns
in any order; other columns and lines that begin with # are left alone. Columns that must be there:
  row, lat_deg, lon_deg, height_m, utc (of reception), mhz (400 to 24250), dish_m, eta (of the aperture), tx_w, trx_k
and those that may be empty or missing:
  beam_deg (half-power width; 70 wavelengths over the diameter), surface_mm (rms, half the path), offset_xel_deg,
  offset_el_deg (of the axis from the Moon's centre), tx_loss_db, rx_loss_db, pol_loss_db, sun_sfu (the quiet Sun),
  horizon (azimuth:elevation;...; level), law (how the Moon's disc shines back: centre or uniform)
It writes CSV, a line a row, in the same order, airless in its geometry. A row without an answer has a note and no figures. Judged
good to 10 % of t_sys_k and 1 dB of cn0_dbhz, 2 dB for beams under 0.3 degree, whatever the decimals: the columns _within_. Beside that
stands the Moon's own reflectivity, taken as 0.065, good to a factor of 2.
`

// budgetColumns are the columns that budget writes.
func budgetColumns() []column {
	return []column{
		{"row", 0}, {"note", 0}, {"moon_az_deg", 5}, {"moon_el_deg", 5}, {"sun_off_deg", 5}, {"g0_dbi", 5},
		{"hpbw_deg", 6}, {"eta_mb", 6},
		{"t_sky_k", 5}, {"t_moon_k", 5}, {"t_sun_k", 5}, {"t_air_k", 5}, {"t_ground_k", 5}, {"t_ant_k", 5},
		{"t_sys_k", 5},
		{"path_db", 5}, {"air_db", 5}, {"filling_db", 5}, {"pointing_db", 5}, {"echo_dbm", 5}, {"cn0_dbhz", 5},
		{"snr_2500_db", 5}, {"snr_50_db", 5}, {"spread_hz", 5}, {"cn0_spread_db", 5}, {"t_sys_within_k", 1},
		{"cn0_within_db", 1},
	}
}

// Budget is `beamhelm budget`: noise and echo of stations, row by row.
func Budget(args []string, stdin io.Reader, stdout, stderr io.Writer, packed []byte) int {
	f := newSkyFlags("budget")
	f.StringVar(&f.batch, "batch", "", "")
	return ending("budget", budgetBatch(f, args, stdin, stdout, packed), stdout, stderr, budgetUsage)
}

func budgetBatch(f *skyFlags, args []string, stdin io.Reader, stdout io.Writer, packed []byte) error {
	if err := f.parse(args, "batch"); err != nil {
		return err
	}
	for name := range f.given() {
		if name != "batch" && name != "csv" {
			return usageError{fmt.Errorf("-%s doesn't go with -batch", name)}
		}
	}
	text, err := batchText(f.batch, stdin)
	if err != nil {
		return fmt.Errorf("reading the batch: %w", err)
	}
	file, err := rows.ReadNamed(text, budget.Columns())
	if err != nil {
		return usageError{fmt.Errorf("%s:%w", f.batch, err)}
	}
	sky, err := ephem.New(packed, ephem.Config{})
	if err != nil {
		return err
	}
	galaxy, err := noise.ParseSky(assets.Sky408())
	if err != nil {
		return err
	}
	table := newFigures(stdout, asCSV, budgetColumns())
	for _, row := range file.List {
		var answer budget.Row
		q, err := budget.Ask(file, row)
		if err == nil {
			answer, err = budget.Answer(sky, galaxy, q)
		}
		if err := table.row(budgetCells(file.Field(row, "row"), answer, err)...); err != nil {
			return fmt.Errorf("writing: %w", err)
		}
	}
	if err := table.end(); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	return nil
}

// budgetCells are a row's figures, or why there are none.
func budgetCells(row string, r budget.Row, err error) []cell {
	if err != nil {
		cells := make([]cell, len(budgetColumns()))
		cells[0], cells[1] = row, err.Error()
		return cells
	}
	a := r.Antenna
	return []cell{
		row, "", circle(r.MoonAz.Deg(), 5), r.MoonEl.Deg(), r.SunOff.Deg(), r.TransmitDBI, r.HalfPower.Deg(),
		r.MainBeam,
		a.SkyK, a.MoonK, a.SunK, a.AirK, a.GroundK, a.TotalK(), r.SystemK,
		r.PathDB, r.AirDB, r.FillingDB, r.PointingDB, r.EchoDBM, r.DensityDBHz,
		r.In(2500), r.In(50), r.SpreadHz, r.InSpread(), r.SystemWithinK(), r.WithinDB(),
	}
}

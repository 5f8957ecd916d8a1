package journal

import (
	"context"
	"time"

	"beamhelm/app/contact"
)

// Contact records a contact with another station.
func (j *Journal) Contact(c contact.Contact) { j.say(contactRow{c}) }

type contactRow struct{ contact.Contact }

func (r contactRow) put(b *batch) error {
	return b.run(`INSERT INTO contact (session, at_ms, call, locator, own_call, own_locator, operator, mhz, band, mode, sent, received,
		azimuth_deg, elevation_deg, doppler_hz, degradation_db, system_k, noise_db, power_w, comment)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		b.session, r.At.UnixMilli(), r.Call, r.Locator, r.OwnCall, r.OwnLocator, r.Operator, number(r.MHz), r.Band,
		r.Mode, r.Sent, r.Received,
		number(r.AzDeg), number(r.ElDeg), number(r.DopplerHz), number(r.DegradationDB), number(r.SystemK),
		number(r.NoiseDB), number(r.PowerW), r.Comment)
}

// Contacts are the contacts of a time, oldest first; zero times are no bound.
func (r *Reader) Contacts(ctx context.Context, from, to time.Time) (all []contact.Contact, err error) {
	low, high := int64(-1<<62), int64(1<<62)
	if !from.IsZero() {
		low = from.UnixMilli()
	}
	if !to.IsZero() {
		high = to.UnixMilli()
	}
	rows, err := r.db.QueryContext(ctx, `SELECT at_ms, call, locator, own_call, own_locator, operator, mhz, band, mode, sent, received,
		azimuth_deg, elevation_deg, doppler_hz, degradation_db, system_k, noise_db, power_w, comment
		FROM contact WHERE at_ms BETWEEN ? AND ? ORDER BY at_ms, id`, low, high)
	if err != nil {
		return nil, told("read the log", err)
	}
	defer rows.Close()
	for rows.Next() {
		var c contact.Contact
		var at int64
		if err := rows.Scan(&at, &c.Call, &c.Locator, &c.OwnCall, &c.OwnLocator, &c.Operator, figure{&c.MHz}, &c.Band,
			&c.Mode, &c.Sent, &c.Received,
			figure{&c.AzDeg}, figure{&c.ElDeg}, figure{&c.DopplerHz}, figure{&c.DegradationDB}, figure{&c.SystemK},
			figure{&c.NoiseDB}, figure{&c.PowerW}, &c.Comment); err != nil {
			return nil, told("read the log", err)
		}
		c.At = time.UnixMilli(at).UTC()
		all = append(all, c)
	}
	return all, told("read the log", rows.Err())
}

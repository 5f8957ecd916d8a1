package main

import (
	"context"
	"math"
	"time"

	"beamhelm"
	"beamhelm/app/contact"
	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/ephem/locator"
)

// Begin implements panel.Log: the moment is that of the key.
func (p *session) Begin() contact.Contact {
	c := contactOf(p.desk.Status())
	c.OwnCall, c.Operator = p.settings.Station.CallSign, p.Operator()
	return c
}

// Keep implements panel.Log.
func (p *session) Keep(c contact.Contact) {
	p.operator.Store(&c.Operator)
	p.records.Contact(c)
}

// fileWithin is how long reading the log may take.
const fileWithin = 20 * time.Second

// File implements panel.Log.
func (p *session) File() ([]byte, error) {
	ctx, stop := context.WithTimeout(context.Background(), fileWithin)
	defer stop()
	var all []contact.Contact
	err := p.past.with(func(r *journal.Reader) (err error) {
		all, err = r.Contacts(ctx, time.Time{}, time.Time{})
		return err
	})
	if err != nil {
		return nil, err
	}
	return contact.ADIF(all, beamhelm.Metadata().Version, time.Now()), nil
}

// contactOf is what is known of a moment: figures that mean nothing then are not numbers.
func contactOf(s *desk.Status) contact.Contact {
	n := noteOf(s)
	c := contact.Contact{
		At: n.At, AzDeg: n.AzDeg, ElDeg: n.ElDeg, NoiseDB: n.NoiseDB, DopplerHz: n.DopplerHz, DegradationDB: math.NaN(),
		SystemK: math.NaN(),
		PowerW:  math.NaN(), MHz: s.Band.MHz, Band: s.Band.Name,
	}
	if own, err := locator.Of(s.Station.Lat, s.Station.Lon, 6); err == nil {
		c.OwnLocator = own
	}
	r := s.Radio
	if r == nil {
		return c
	}
	if r.AgreedHz > 0 {
		c.MHz = r.AgreedHz / 1e6
	}
	if r.Up {
		c.DegradationDB, c.SystemK = r.AboveBestPathDB+r.AboveBestSkyDB, r.Noise.SystemK
		if r.Budget.PowerW > 0 {
			c.PowerW = r.Budget.PowerW
		}
	}
	if r.HasPartner {
		c.Call, c.Locator = r.Partner.CallSign, r.Partner.Locator
		if c.Call == "" {
			c.Call = r.Partner.Name
		}
		if r.Up {
			c.DopplerHz = r.Mutual.DopplerHz
		}
	}
	return c
}

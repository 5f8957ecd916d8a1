package journal

import (
	"context"
	"math"
	"testing"
	"time"

	"beamhelm/app/contact"
)

// A contact comes back as it was entered, figures that weren't known as such, and stands among what happened.
func TestContactsComeBack(t *testing.T) {
	r := newRig(t)
	c := contact.Contact{
		At: began.Add(time.Second), Call: "Quarry Ridge", Locator: "FN42hn", OwnCall: "Cold Harbour",
		OwnLocator: "IO85ma", Operator: "me", MHz: 1296, Band: "1296 MHz", Mode: "CW",
		Sent: "O", Received: "M", AzDeg: 115.4, ElDeg: 40.1, DopplerHz: -733, DegradationDB: 0.8, SystemK: 59,
		NoiseDB: 2.2, PowerW: 400, Comment: "first",
	}
	later := c
	later.At, later.Call = began.Add(time.Hour), "Larch Hollow"
	r.j.Contact(later)
	r.j.Contact(c)
	bare := contact.Contact{At: began.Add(2 * time.Second), Call: "Nobody", AzDeg: math.NaN(), ElDeg: math.NaN(),
		DopplerHz: math.NaN()}
	r.j.Contact(bare)
	r.turn()
	r.quiet()
	reader, ctx := r.reader(), context.Background()
	all, err := reader.Contacts(ctx, time.Time{}, began.Add(time.Minute))
	if err != nil || len(all) != 2 || all[0] != c || all[1].Call != "Nobody" || !math.IsNaN(all[1].AzDeg) {
		t.Errorf("%+v, %v", all, err)
	}
	happened, err := reader.Entries(ctx, Filter{Kinds: []What{WhatContact}, Words: "quarry"})
	if err != nil || len(happened) != 1 ||
		happened[0].Words != "Contact with Quarry Ridge, 1296 MHz CW, sent O, received M first" {
		t.Errorf("%+v, %v", happened, err)
	}
	happened, err = reader.Entries(ctx, Filter{Kinds: []What{WhatContact}, Words: "nobody"})
	if err != nil || len(happened) != 1 || happened[0].Words != "Contact with Nobody," {
		t.Errorf("without a report: %+v, %v", happened, err)
	}
}

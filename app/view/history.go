package view

import (
	"beamhelm/app/desk"
)

// ReceiverHistory are the receiver's figures on the band in use over the time in
// which they were measured: G/T, system noise, and the Y factor of the noise source.
func ReceiverHistory(now Now) [3]Plot {
	plots := [3]Plot{{Title: "G/T", Unit: "dB/K"}, {Title: "System noise", Unit: "K"},
		{Title: "Y of the noise source", Unit: "dB"}}
	if now.Status == nil {
		return plots
	}
	for i, value := range [...]func(*desk.ReceiverResult) (is, should float64, ok bool){
		func(r *desk.ReceiverResult) (float64, float64, bool) {
			return r.Figures.GTDB, r.Figures.ExpectedGTDB, r.Figures.ExpectedGTDB != 0
		},
		func(r *desk.ReceiverResult) (float64, float64, bool) {
			return r.Figures.SystemK, r.Figures.ExpectedSystemK, r.Figures.SystemK > 0
		},
		func(r *desk.ReceiverResult) (float64, float64, bool) {
			return r.Figures.YDB, r.Figures.ExpectedYDB, r.Target == "the noise source"
		},
	} {
		fillHistory(&plots[i], now, value)
	}
	return plots
}

// fillHistory draws one figure over time: what was measured as points, what is expected as the line.
func fillHistory(p *Plot, now Now, value func(*desk.ReceiverResult) (is, should float64, ok bool)) {
	p.Dates, p.Decimals, p.None = true, 1, "nothing measured yet"
	measured, expected := Series{Name: "measured", Look: Discs}, Series{Name: "expected"}
	for i := range now.Receiving.Before {
		r := &now.Receiving.Before[i]
		is, should, ok := value(r)
		if !ok || r.Band != now.Band.Name || r.Why.Code != "" {
			continue
		}
		at := UnixSeconds(r.At)
		measured.X, measured.Y = append(measured.X, at), append(measured.Y, is)
		if should != 0 {
			expected.X, expected.Y = append(expected.X, at), append(expected.Y, should)
		}
	}
	p.Add(measured)
	p.Add(expected)
	p.Room(0.1, 1800, 0.3)
}

// TrimLine is a kept trim in words, with its date.
func TrimLine(t desk.KeptTrim) string {
	kind := [...]string{"no target", "Moon", "Sun", "sources", "entered places", "fixed places"}
	name := "other targets"
	if int(t.Kind) < len(kind) {
		name = kind[t.Kind]
	}
	return t.Band + ", " + t.Feed + ", " + name + ": cross-elevation " + Signed(t.CrossEl.Deg(), 2) + "°, up " +
		Signed(t.El.Deg(), 2) + "°, of " + Day(t.At)
}

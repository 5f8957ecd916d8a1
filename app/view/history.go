package view

import (
	"math"

	"beamhelm/app/desk"
)

// ReceiverHistory are the receiver's figures on the band in use over the time in
// which they were measured: G/T, system noise, and the Y factor of the noise source.
func ReceiverHistory(now Now) [3]PeakPlot {
	plots := [3]PeakPlot{{Title: "G/T, dB/K"}, {Title: "System noise, K"}, {Title: "Y of the noise source, dB"}}
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

// fillHistory draws one figure over time: what was measured as points, what it should be as the line.
func fillHistory(p *PeakPlot, now Now, value func(*desk.ReceiverResult) (is, should float64, ok bool)) {
	p.Left, p.Right, p.Low, p.High = math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for i := range now.Receiving.Before {
		r := &now.Receiving.Before[i]
		is, should, ok := value(r)
		if !ok || r.Band != now.Band.Name || r.Why != "" {
			continue
		}
		day := float64(r.At.Unix()) / 86400
		p.Off, p.Level, p.Odd = append(p.Off, day), append(p.Level, is), append(p.Odd, false)
		p.Left, p.Right = min(p.Left, day), max(p.Right, day)
		p.Low, p.High = min(p.Low, is), max(p.High, is)
		if should != 0 {
			p.CurveOff, p.CurveLevel = append(p.CurveOff, day), append(p.CurveLevel, should)
			p.Low, p.High = min(p.Low, should), max(p.High, should)
		}
		words := Day(r.At)
		if p.LeftWords == "" {
			p.LeftWords = words
		}
		p.RightWords = words
	}
	if p.Has = len(p.Off) > 0; !p.Has {
		p.Left, p.Right, p.Low, p.High = 0, 0, 0, 0
		return
	}
	if p.RightWords == p.LeftWords {
		p.RightWords = ""
	}
	room := max(0.05*(p.Right-p.Left), 0.02) // half an hour at least
	p.Left, p.Right = p.Left-room, p.Right+room
	high := max(0.15*(p.High-p.Low), 0.3)
	p.Low, p.High = p.Low-high, p.High+high
	p.Was, p.Found, p.Points = p.Left-room, p.Left-room, true
	p.LowWords, p.Tops = Number(p.Low, 0), Number(p.High, 0)
}

// TrimLine is a kept trim in words, with its date.
func TrimLine(t desk.KeptTrim) string {
	kind := [...]string{"no target", "Moon", "Sun", "sources", "entered places", "fixed places"}
	name := "other targets"
	if int(t.Kind) < len(kind) {
		name = kind[t.Kind]
	}
	return t.Band + ", " + t.Feed + ", " + name + ": cross-elevation " + Signed(t.CrossEl.Deg(), 2) + "°, up " + Signed(t.El.Deg(), 2) + "°, of " + Day(t.At)
}

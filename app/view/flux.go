package view

import (
	"fmt"
	"math"
	"strings"
	"time"

	"beamhelm/app/desk/receiver"
)

// FluxFrequencies are the frequencies that a day's solar flux can be entered at, MHz.
func FluxFrequencies() []float64 { return receiver.Frequencies() }

// FluxWords puts a date and the fluxes at these frequencies together, those left empty out.
func FluxWords(date string, fluxes []string) string {
	words := []string{strings.TrimSpace(date)}
	for i, mhz := range FluxFrequencies() {
		if flux := strings.TrimSpace(fluxes[i]); flux != "" {
			words = append(words, fmt.Sprintf("%v %s", mhz, flux))
		}
	}
	return strings.Join(words, " ")
}

// FluxWrong says what is wrong with a date and fluxes as they were entered; empty for nothing.
func FluxWrong(date string, fluxes []string) string {
	if _, err := time.Parse(time.DateOnly, strings.TrimSpace(date)); err != nil {
		return "The date must be like 2027-04-14"
	}
	for i, mhz := range FluxFrequencies() {
		if len(strings.Fields(fluxes[i])) > 1 {
			return fmt.Sprintf("One figure for %v MHz", mhz)
		}
	}
	words := FluxWords(date, fluxes)
	if len(strings.Fields(words)) < 3 {
		return "Enter at least one flux"
	}
	if _, err := receiver.ParseReport(words); err != nil {
		return Sentence(err.Error())
	}
	return ""
}

// FluxEntered are the date and fluxes to begin with: those entered for today, or else today's date alone.
func FluxEntered(now Now) (date string, fluxes []string) {
	fluxes = make([]string, len(FluxFrequencies()))
	if now.Status == nil {
		return "", fluxes
	}
	date = now.At.UTC().Format(time.DateOnly)
	for _, r := range now.Receiving.Reports {
		if r.Day.Format(time.DateOnly) != date {
			continue
		}
		for _, p := range r.Points {
			for i, mhz := range FluxFrequencies() {
				if mhz == p.MHz {
					fluxes[i] = fmt.Sprint(p.SFU)
				}
			}
		}
	}
	return date, fluxes
}

// FluxTaken says which flux is taken now on the band in use, and how good it is.
func FluxTaken(now Now) Phrase {
	switch sun := now.Receiving.Sun; {
	case now.Status == nil:
		return Phrase{}
	case now.Receiving.SunWhy != "":
		return Phrase{Sentence(now.Receiving.SunWhy), Attention}
	default:
		sfu := sun.SFU()
		return Phrase{fmt.Sprintf("Taken now on %s: %s sfu, by %s", now.Band.Name, PlusMinus(sfu, sfu*sun.Share), sun.From),
			Plain}
	}
}

// FluxHistory is the flux on the band in use over the days that were entered, with the solar cycle's mean as the line.
func FluxHistory(now Now) PeakPlot {
	plot := PeakPlot{Title: "Solar flux, sfu"}
	if now.Status == nil {
		return plot
	}
	mhz := now.Band.MHz
	plot.Left, plot.Right, plot.High = math.Inf(1), math.Inf(-1), 0
	for _, d := range now.Receiving.Reports.On(mhz * 1e6) {
		day := float64(d.Day.Unix()) / 86400
		plot.Off, plot.Level, plot.Odd = append(plot.Off, day), append(plot.Level, d.SFU), append(plot.Odd, false)
		plot.CurveOff, plot.CurveLevel = append(plot.CurveOff, day), append(plot.CurveLevel, d.MeanSFU)
		plot.Left, plot.Right, plot.High = min(plot.Left, day), max(plot.Right, day), max(plot.High, d.SFU, d.MeanSFU)
		if plot.LeftWords == "" {
			plot.LeftWords = Day(d.Day)
		}
		plot.RightWords = Day(d.Day)
	}
	if plot.Has = len(plot.Off) > 0; !plot.Has {
		plot.Left, plot.Right, plot.High = 0, 0, 0
		return plot
	}
	if plot.RightWords == plot.LeftWords {
		plot.RightWords = ""
	}
	room := max(0.05*(plot.Right-plot.Left), 0.5)
	plot.Left, plot.Right, plot.High = plot.Left-room, plot.Right+room, plot.High*1.15
	plot.Was, plot.Found, plot.Points = plot.Left-room, plot.Left-room, true
	plot.LowWords, plot.Tops = "0", Number(plot.High, 0)
	return plot
}

package view

import (
	"fmt"
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
	case now.Receiving.SunWhy.Code != "":
		return Phrase{Sentence(now.Receiving.SunWhy.String()), Attention}
	default:
		sfu := sun.SFU()
		return Phrase{fmt.Sprintf("Taken now on %s: %s sfu, by %s", now.Band.Name, PlusMinus(sfu, sfu*sun.Share),
			sun.From),
			Plain}
	}
}

// FluxHistory is the flux on the band in use over the days that were entered, with the solar cycle's mean as the line.
func FluxHistory(now Now) Plot {
	plot := Plot{Title: "Solar flux", Unit: "sfu", Dates: true, None: "none entered yet"}
	if now.Status == nil {
		return plot
	}
	entered, mean := Series{Name: "entered", Look: Discs}, Series{Name: "mean of the cycle"}
	for _, d := range now.Receiving.Reports.On(now.Band.MHz * 1e6) {
		at := UnixSeconds(d.Day)
		entered.X, entered.Y = append(entered.X, at), append(entered.Y, d.SFU)
		mean.X, mean.Y = append(mean.X, at), append(mean.Y, d.MeanSFU)
	}
	plot.Add(entered)
	plot.Add(mean)
	plot.Room(0.1, 43200, 1)
	plot.Low = min(plot.Low, 0)
	return plot
}

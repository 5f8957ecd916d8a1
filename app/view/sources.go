package view

import (
	"cmp"
	"math"
	"slices"

	"beamhelm/app/desk"
)

// SourceLine is a radio source in the list of sources.
type SourceLine struct {
	Name string
	// Words say what it is.
	Words string
	// Flux density with its unit, elevation now, and when it rises or sets.
	Flux, Elevation, Pass string
	Up                    bool
}

// SourceHeads are the words over the columns of SourceLines.
func SourceHeads(now Now) []string {
	return []string{"Source", "Flux at " + Number(now.Band.MHz, 0) + " MHz", "Elevation", "Rise or set, UTC"}
}

// SourceLines are the radio sources: those that are up first, the brightest of each first.
func SourceLines(now Now) []SourceLine {
	sources := slices.Clone(now.Sources)
	slices.SortStableFunc(sources, func(a, b desk.RadioSource) int {
		if a.Up != b.Up {
			if a.Up {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.FluxJy, a.FluxJy)
	})
	lines := make([]SourceLine, len(sources))
	for i := range sources {
		s := &sources[i]
		lines[i] = SourceLine{Name: s.Name, Words: s.Words, Flux: janskyWords(s.FluxJy), Elevation: Missing,
			Pass: passWords(now, s), Up: s.Up}
		for _, body := range now.Bodies {
			if body.Kind == desk.Source && body.Name == s.Name {
				lines[i].Elevation = Number(body.El.Deg(), 0) + "°"
			}
		}
	}
	return lines
}

// janskyWords are a flux density in three figures; it isn't known better than by some per cent.
func janskyWords(jansky float64) string {
	if jansky <= 0 {
		return Missing
	}
	decimals := 2 - int(math.Floor(math.Log10(jansky)))
	if decimals >= 0 {
		return Number(jansky, decimals) + " Jy"
	}
	step := math.Pow10(-decimals)
	return Number(math.Round(jansky/step)*step, 0) + " Jy"
}

// passWords say until when a source is up, or when it rises.
func passWords(now Now, s *desk.RadioSource) string {
	switch {
	case !s.Known:
		return Missing
	case s.Up && s.Set.IsZero():
		return "always up"
	case s.Up:
		return "up until " + Moment(s.Set, now.At)
	case s.Rise.IsZero():
		return "never up"
	}
	return "rises " + Moment(s.Rise, now.At)
}

package view

import (
	"fmt"
	"math"

	"beamhelm/app/desk"
)

// MeasureBlocked says why no Y factor can be measured now; empty when it can.
func MeasureBlocked(now Now) string {
	switch {
	case now.Receiving.Running:
		return "a measurement is under way"
	case now.Receiving.Why.Code != "" && now.Live:
		return now.Receiving.Why.String()
	}
	return PeakBlocked(now)
}

// ReceiverHead says what the figures are of, or what is being done.
func ReceiverHead(now Now) Pair {
	r := now.Receiving
	switch {
	case r.Running:
		return Pair{Phrase{r.Doing.String(), Wanted}, Phrase{Number(100*r.Part, 0) + " % done", Plain}}
	case dipIsNewest(now):
		return DipHead(now)
	case r.Last == nil:
		return Pair{Phrase{"Receiver, not measured yet", Faint}, Phrase{}}
	}
	return Pair{Phrase{titled(r.Last.Target) + ", " + r.Last.Band + ", Y factor", Plain},
		Phrase{Moment(r.Last.At, now.At), Faint}}
}

// minYDB is the least error that a Y factor is shown with: a detector is linear to no better (from memory).
const minYDB = 0.005

// ReceiverFigures are those of the newest Y factor, each beside what it should be.
func ReceiverFigures(now Now) []Figure {
	r := now.Receiving
	if dipIsNewest(now) && !r.Running {
		return DipFigures(now)
	}
	names := [4]string{"Y factor", "G/T", "System noise", "Effective area"}
	lines := make([]Figure, len(names))
	for i, name := range names {
		lines[i] = Figure{Name: name, Value: Phrase{Missing, Faint}}
	}
	should := r.Expected
	if r.Last != nil {
		should = r.Last.Figures
	}
	if r.Last != nil && r.Last.Why.Code == "" {
		f := r.Last.Figures
		lines[0].Value = Phrase{PlusMinus(f.YDB, max(f.YErrorDB, minYDB)) + " dB", Measured}
		// Ground and noise source tell nothing of the dish, and a source of unknown noise nothing more.
		if f.GTErrorDB > 0 {
			lines[1].Value = Phrase{PlusMinus(f.GTDB, f.GTErrorDB) + " dB/K", Measured}
		}
		if f.SystemK > 0 {
			lines[2].Value = Phrase{PlusMinus(f.SystemK, f.SystemErrorK) + " K", Measured}
		}
		if f.AreaM2 > 0 {
			lines[3].Value = Phrase{PlusMinus(f.AreaM2, f.AreaErrorM2) + " m²", Measured}
		}
	}
	if r.Last == nil && !onTarget(now) { // the noise of wherever the beam is on its way
		return lines
	}
	if should.ExpectedSystemK > 0 {
		for i, words := range [4]string{
			Uncertain(should.ExpectedYDB, differenceDB) + " dB", Uncertain(should.ExpectedGTDB, differenceDB) + " dB/K",
			kelvin(should.ExpectedSystemK) + " K", Uncertain(should.ExpectedAreaM2, noiseShare*should.ExpectedAreaM2) +
				" m²",
		} {
			if i%2 == 1 && should.ExpectedAreaM2 == 0 {
				continue
			}
			lines[i].Note = Phrase{"expected " + words, Faint}
		}
	}
	return lines
}

// onTarget says whether the beam looks at the target.
func onTarget(now Now) bool {
	return now.Live && Trusted(now) && now.OffSource == 0 &&
		math.Hypot(now.OffCross.Rad(), now.OffEl.Rad()) <= now.Band.HalfPower.Rad()/2
}

// ReceiverNote says what the figures are worth, or how they were before.
func ReceiverNote(now Now) Phrase {
	r := now.Receiving
	switch {
	case r.Running:
		return Phrase{}
	case dipIsNewest(now):
		return DipNote(now)
	case r.Last != nil && r.Last.Why.Code != "":
		return Phrase{"Unusable: " + r.Last.Why.String(), Attention}
	case r.Last != nil && r.Last.Doubt.Code != "":
		return Phrase{Sentence(r.Last.Doubt.String()), Attention}
	}
	if before := lastOn(now); before != nil {
		return Phrase{fmt.Sprintf("Previously, %s: G/T %s dB/K, %s K", Moment(before.At, now.At),
			Uncertain(before.Figures.GTDB, before.Figures.GTErrorDB), Uncertain(before.Figures.SystemK,
				before.Figures.SystemErrorK)), Faint}
	}
	if blocked := MeasureBlocked(now); blocked != "" {
		return Phrase{Sentence(blocked), Faint}
	}
	return Phrase{"Alternating on and off source, about four minutes", Faint}
}

// lastOn is the newest earlier result on the band in use; nil for none.
func lastOn(now Now) *desk.ReceiverResult {
	all := now.Receiving.Before
	for i := len(all) - 1; i >= 0; i-- {
		newest := now.Receiving.Last != nil && now.Receiving.Last.At.Equal(all[i].At)
		if all[i].Band == now.Band.Name && !newest {
			return &all[i]
		}
	}
	return nil
}

package view

import (
	"fmt"
	"math"
	"strconv"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
)

// BudgetTerm is a term of what a signal should be, with what has been added up so far.
type BudgetTerm struct {
	Name, Value, Sum, Note string
}

// BudgetNow is the own echo's budget with the beam where it stands now, and words for where that is. A beam that isn't
// near the Moon, or whose place isn't known, is taken to be on it.
func BudgetNow(now Now) (b radio.EchoBudget, head string) {
	off := unit.Angle(math.Hypot(now.OffCross.Rad(), now.OffEl.Rad()))
	trusted := now.Axes[Azimuth].Trusted && now.Axes[Elevation].Trusted
	if now.Target.Choice.Kind != desk.Moon || !trusted || !(off < now.Radio.Budget.TransmitBeam) {
		return now.Radio.Budget, "Own echo, the beam on the Moon"
	}
	return now.Radio.OwnOff(off), "Own echo, the beam " + Number(off.Deg(), 2) + "° off the Moon"
}

// BudgetTerms are the terms of a signal by way of the Moon, from the power sent to what stands over the noise; none
// where there is no answer.
func BudgetTerms(b radio.EchoBudget) []BudgetTerm {
	if !b.Has {
		return nil
	}
	sum := 10 * math.Log10(1000*b.PowerW)
	terms := []BudgetTerm{{"Power at the feed", Number(b.PowerW, 0) + " W", Number(sum, 1) + " dBm", ""}}
	for _, term := range []struct {
		name string
		db   float64
		note string
	}{
		{"Transmit antenna gain", b.TransmitDBI, "beam " + Number(b.TransmitBeam.Deg(), 2) + "°"},
		{"Two-way path loss", -b.PathDB, "reflectivity 6.5 %, ±3 dB"},
		{"Air", -b.AirDB, "clear"},
		{"Filling of the beam", -b.FillingDB, "brighter in the middle"},
		{"Pointing", -b.PointingDB, "both ways"},
		{"Polarisation", -b.PolarisationDB, ""},
		{"Receive antenna gain", b.ReceiveDBI, "beam " + Number(b.ReceiveBeam.Deg(), 2) + "°"},
	} {
		if (term.name == "Polarisation" || term.name == "Pointing") && term.db == 0 {
			continue
		}
		sum += term.db
		terms = append(terms, BudgetTerm{term.name, Signed(term.db, 1) + " dB", Number(sum, 1) + " dBm", term.note})
	}
	return append(terms,
		BudgetTerm{"Noise, " + kelvin(b.SystemK) + " K", "", Number(b.EchoDBM-b.DensityDBHz, 1) + " dBm/Hz",
			"good to 10 %"},
		BudgetTerm{"Signal to noise in 50 Hz", overNoise(b, b.In(50)) + " dB", "",
			"in 2500 Hz " + overNoise(b, b.In(2500)) + " dB"},
		BudgetTerm{"Signal to noise in its own width", overNoise(b, b.InSpread()) + " dB", "",
			"spread " + Number(b.SpreadHz, spreadDecimals(b.SpreadHz)) + " Hz, limb to limb"})
}

// BudgetNone says why there is no budget; empty where there is one.
func BudgetNone(now Now) string {
	switch {
	case now.Status == nil || now.Radio == nil:
		return "The radio path is not worked out"
	case !now.Radio.Up:
		return "The Moon is below its limit"
	case !now.Radio.Budget.Has:
		return "No power is set on this band, or its noise is not known"
	}
	return ""
}

// CounterpartOf reads what is entered of the partner's station; why says what is wrong.
func CounterpartOf(power, dish, noise string) (c radio.Counterpart, why string) {
	c, err := radio.ParseCounterpart(power, dish, noise)
	if err != nil {
		return c, Sentence(err.Error())
	}
	for i, v := range [3]float64{c.PowerW, c.DishM, c.SystemK} {
		if v == 0 {
			return c, "Their " + [3]string{"power", "dish", "system noise"}[i] + " must be entered"
		}
	}
	return c, ""
}

// CounterpartTexts are the texts of the three entries; blank for what isn't known.
func CounterpartTexts(c radio.Counterpart) [3]string {
	var texts [3]string
	for i, v := range [3]float64{c.PowerW, c.DishM, c.SystemK} {
		if v > 0 {
			texts[i] = strconv.FormatFloat(v, 'f', -1, 64)
		}
	}
	return texts
}

// CounterpartWords say what each station should hear of the other.
func CounterpartWords(r *radio.Path, c radio.Counterpart) string {
	here, there := r.WithPartner(c)
	if !here.Has || !there.Has {
		return "No answer: the Moon is not up at both stations, or no power is set on this band"
	}
	side := func(b radio.EchoBudget) string {
		return fmt.Sprintf("%s dB in 50 Hz, %s dB in its own width", overNoise(b, b.In(50)), overNoise(b, b.InSpread()))
	}
	return "Their signal here: " + side(here) + ". Ours there: " + side(there) + "."
}

// overNoise is a signal over the noise with as many digits as the Moon's reflectivity and the model deserve.
func overNoise(b radio.EchoBudget, db float64) string {
	model := 1.0
	if min(b.TransmitBeam, b.ReceiveBeam).Deg() < 0.3 {
		model = 2
	}
	return SignedUncertain(db, math.Hypot(reflectivityDB, model))
}

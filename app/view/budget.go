package view

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"beamhelm/app/desk"
)

// BudgetTerm is a term of what a signal should be, with what has been added up so far.
type BudgetTerm struct {
	Name, Value, Sum, Note string
}

// BudgetTerms are the terms of a signal by way of the Moon, from the power sent to what stands over the noise; none
// where there is no answer.
func BudgetTerms(b desk.EchoBudget) []BudgetTerm {
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
		{"Dish that transmits", b.TransmitDBI, "beam " + Number(b.TransmitBeam.Deg(), 2) + "°"},
		{"Path there and back", -b.PathDB, "by 6.5 % of the Moon's disc, good to 3 dB"},
		{"Air", -b.AirDB, "clear"},
		{"Beam fills a part of the Moon", -b.FillingDB, "brighter in the middle"},
		{"Polarisation", -b.PolarisationDB, ""},
		{"Dish that receives", b.ReceiveDBI, "beam " + Number(b.ReceiveBeam.Deg(), 2) + "°"},
	} {
		if term.name == "Polarisation" && term.db == 0 {
			continue
		}
		sum += term.db
		terms = append(terms, BudgetTerm{term.name, Signed(term.db, 1) + " dB", Number(sum, 1) + " dBm", term.note})
	}
	return append(terms,
		BudgetTerm{"Noise, " + kelvin(b.SystemK) + " K", "", Number(b.ArrivesDBM-b.DensityDBHz, 1) + " dBm/Hz", "good to 10 %"},
		BudgetTerm{"Over the noise in 50 Hz", Signed(b.In(50), 1) + " dB", "", "in 2500 Hz " + Signed(b.In(2500), 1) + " dB"},
		BudgetTerm{"Over the noise in its own width", Signed(b.InSpread(), 1) + " dB", "", "spread " + Number(b.SpreadHz, spreadDecimals(b.SpreadHz)) + " Hz, limb to limb"})
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
func CounterpartOf(power, dish, noise string) (c desk.Counterpart, why string) {
	for _, field := range []struct {
		text, name string
		to         *float64
		least      float64
		most       float64
	}{{power, "power", &c.PowerW, 0.001, 30000}, {dish, "dish", &c.DishM, 0.3, 100}, {noise, "system noise", &c.SystemK, 1, 10000}} {
		v, err := strconv.ParseFloat(strings.TrimSpace(field.text), 64)
		if err != nil || !(v >= field.least && v <= field.most) {
			return c, fmt.Sprintf("Their %s must be %v to %v", field.name, field.least, field.most)
		}
		*field.to = v
	}
	return c, ""
}

// CounterpartWords say what each station should hear of the other.
func CounterpartWords(r *desk.Radio, c desk.Counterpart) string {
	here, there := r.WithPartner(c)
	if !here.Has || !there.Has {
		return "No answer: the Moon is not up at both stations, or no power is set on this band"
	}
	side := func(b desk.EchoBudget) string {
		return fmt.Sprintf("%s dB in 50 Hz, %s dB in its own width", Signed(b.In(50), 1), Signed(b.InSpread(), 1))
	}
	return "Their signal here: " + side(here) + ". Ours there: " + side(there) + "."
}

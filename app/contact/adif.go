package contact

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// The form: Amateur Data Interchange Format, version 3.1.4 (adif.org, 2022-12-06), the ADI file.
// Names of fields, their types and the enumerations are from memory of that specification.
const adifVersion = "3.1.4"

// band is a row of the specification's enumeration 'Band', limits in MHz.
type band struct {
	name      string
	low, high float64
}

// bands are those on which somebody may reach the Moon.
//
//beamhelm:table
func bands() []band {
	return []band{
		{"6m", 50, 54}, {"4m", 70, 71}, {"2m", 144, 148}, {"1.25m", 222, 225}, {"70cm", 420, 450}, {"33cm", 902, 928},
		{"23cm", 1240, 1300},
		{"13cm", 2300, 2450}, {"9cm", 3300, 3500}, {"6cm", 5650, 5925}, {"3cm", 10000, 10500}, {"1.25cm", 24000, 24250},
		{"6mm", 47000, 47200},
		{"4mm", 75500, 81000}, {"2.5mm", 119980, 123000}, {"2mm", 134000, 149000}, {"1mm", 241000, 250000},
	}
}

// BandOf is the specification's name of the band that a frequency lies in; empty for none.
func BandOf(mhz float64) string {
	for _, b := range bands() {
		if mhz >= b.low && mhz <= b.high {
			return b.name
		}
	}
	return ""
}

// adif collects the fields of one record.
type adif struct{ bytes.Buffer }

// text writes a String; one that is empty is left out. The length counts bytes, which characters of ASCII are.
func (a *adif) text(name, value string) {
	if value = plain(value); value != "" {
		fmt.Fprintf(a, "<%s:%d>%s ", name, len(value), value)
	}
}

// number writes a Number without needless zeros; one that isn't known is left out.
func (a *adif) number(name string, value float64, decimals int) {
	if !math.IsNaN(value) && !math.IsInf(value, 0) {
		a.text(name, strconv.FormatFloat(rounded(value, decimals), 'f', -1, 64))
	}
}

// rounded is a value to some decimals, never minus nothing.
func rounded(value float64, decimals int) float64 {
	unit := math.Pow(10, float64(decimals))
	return math.Round(value*unit)/unit + 0
}

// locator writes a GridSquare, which has at most 8 characters, and the two behind them in their own field.
func (a *adif) locator(whose, locator string) {
	const longest = 8
	a.text(whose+"GRIDSQUARE", locator[:min(len(locator), longest)])
	a.text(whose+"GRIDSQUARE_EXT", locator[min(len(locator), longest):])
}

// own writes a field of our own, APP_{PROGRAMID}_{NAME}, with its type indicator N, Number.
func (a *adif) own(name string, value float64, decimals int) {
	if !math.IsNaN(value) && !math.IsInf(value, 0) {
		text := strconv.FormatFloat(rounded(value, decimals), 'f', decimals, 64)
		fmt.Fprintf(a, "<APP_BEAMHELM_%s:%d:N>%s ", name, len(text), text)
	}
}

// ADIF writes contacts as an ADI file, in the order given. program is this program's version, made when it is written.
func ADIF(contacts []Contact, program string, made time.Time) []byte {
	var a adif
	a.WriteString("Contacts by way of the Moon\n")
	a.text("ADIF_VER", adifVersion)
	a.text("CREATED_TIMESTAMP", made.UTC().Format("20060102 150405"))
	a.text("PROGRAMID", "Beamhelm")
	a.text("PROGRAMVERSION", program)
	a.WriteString("<EOH>\n")
	for _, c := range contacts {
		a.record(c)
	}
	return a.Bytes()
}

func (a *adif) record(c Contact) {
	at := c.At.UTC()
	a.text("QSO_DATE", at.Format("20060102"))
	a.text("TIME_ON", at.Format("150405"))
	a.text("CALL", strings.ToUpper(c.Call))
	a.text("BAND", BandOf(c.MHz))
	a.number("FREQ", c.MHz, 6)
	a.text("MODE", c.Mode)
	a.text("PROP_MODE", "EME")
	a.text("RST_SENT", c.Sent)
	a.text("RST_RCVD", c.Received)
	a.locator("", c.Locator)
	a.text("STATION_CALLSIGN", strings.ToUpper(c.OwnCall))
	a.locator("MY_", c.OwnLocator)
	a.text("OPERATOR", c.Operator)
	a.number("TX_PWR", c.PowerW, 1)
	a.number("ANT_AZ", c.AzDeg, 1)
	a.number("ANT_EL", c.ElDeg, 1)
	a.own("DOPPLER_HZ", c.DopplerHz, 0)
	a.own("DEGRADATION_DB", c.DegradationDB, 1)
	a.own("SYSTEM_NOISE_K", c.SystemK, 0)
	a.own("ABOVE_COLD_SKY_DB", c.NoiseDB, 2)
	a.text("COMMENT", c.Comment)
	a.WriteString("<EOR>\n")
}

// plain is text as the type String has it: characters 32 to 126 in one line. Others become question
// marks, line ends spaces.
func plain(text string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t':
			return ' '
		case r == '−':
			return '-'
		case r < 32 || r > 126:
			return '?'
		}
		return r
	}, text))
}

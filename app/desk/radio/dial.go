package radio

import (
	"math"
	"slices"
	"strings"
	"time"

	"beamhelm/app/desk/station"
	"beamhelm/app/message"
	"beamhelm/app/settings"
	"beamhelm/ephem/echo"
	"beamhelm/ephem/locator"
	"beamhelm/ephem/rows"
)

// Agreed is the frequency agreed with partners on a band.
type Agreed struct {
	Band string  `json:"band"` // its name
	MHz  float64 `json:"mhz"`
}

// agreedShare is how far an agreed frequency may be from the band's, as a share of it: bands are narrower.
const agreedShare = 0.02

func validAgreed(b *settings.Band, mhz float64) bool {
	return mhz >= b.MHz*(1-agreedShare) && mhz <= b.MHz*(1+agreedShare)
}

// agreedHz is the frequency agreed on a band: as entered, else the band's.
func (s *State) agreedHz(b *settings.Band) float64 {
	for _, a := range s.Agreed {
		if a.Band == b.Name {
			return a.MHz * 1e6
		}
	}
	return b.MHz * 1e6
}

// SetAgreed takes the agreed frequency of a band as it is typed, MHz; empty goes back to the band's. Why says why not.
func (s *State) SetAgreed(b *settings.Band, text string) (why message.Message) {
	text = strings.NewReplacer(" ", "", ",", ".").Replace(text)
	others := slices.DeleteFunc(slices.Clone(s.Agreed), func(a Agreed) bool { return a.Band == b.Name })
	if text != "" {
		mhz, err := rows.Number(text)
		if err != nil || !validAgreed(b, mhz) {
			return message.Of("radio.agreed", b.MHz*(1-agreedShare),
				b.MHz*(1+agreedShare))
		}
		others = append(others, Agreed{Band: b.Name, MHz: mhz})
	}
	s.Agreed = others
	s.Changed()
	return message.Message{}
}

// takeAgreed takes up what was kept, where the bands still allow it.
func (s *State) takeAgreed(bands []settings.Band, kept []Agreed) {
	for _, a := range kept {
		i := slices.IndexFunc(bands, func(b settings.Band) bool { return b.Name == a.Band })
		if i >= 0 && validAgreed(&bands[i], a.MHz) {
			s.Agreed = append(s.Agreed, a)
		}
	}
}

// Converter is what stands between the radio's dial and the air: transverter and oscillators.
type Converter struct {
	// OffsetHz is the frequency on the band minus the dial, ErrorHz what the true frequency is above that.
	OffsetHz, ErrorHz float64
}

// ConverterOf is that of a band.
func ConverterOf(b *settings.Band) Converter {
	return Converter{OffsetHz: b.TransverterMHz * 1e6, ErrorHz: b.OscillatorErrorHz}
}

// Dial is where to set the dial for a frequency on the air, Hz.
func (c Converter) Dial(airHz float64) float64 { return airHz - c.OffsetHz - c.ErrorHz }

// Air is where the station is with the dial so, Hz.
func (c Converter) Air(dialHz float64) float64 { return dialHz + c.OffsetHz + c.ErrorHz }

// Dialled is what the radio's own dial shows, Hz, valid with Has. TransmitHz is NaN where it isn't known.
type Dialled struct {
	Has                   bool
	ReceiveHz, TransmitHz float64
}

// Dial is what to set on the radio's own dial, Hz. It holds from From to Until, a period of the contact, and is
// right in its middle.
type Dial struct {
	From, Until           time.Time
	ReceiveHz, TransmitHz float64
	// ReceiveAirHz and TransmitAirHz are the same on the air.
	ReceiveAirHz, TransmitAirHz float64
	// Changes are from beginning to end of that time.
	ReceiveChangeHz, TransmitChangeHz float64
	// Withins are by how much they are off at most where the partner stands anywhere in the square of the locator.
	ReceiveWithinHz, TransmitWithinHz float64
	// OwnEchoHz is where one's own signal is heard in the middle, on the dial, with the transmitter's dial as
	// Read or else as it should be; OwnEchoOffHz the same from where the receiver's dial is.
	OwnEchoHz, OwnEchoOffHz float64
	// Read is what the radio's dial really shows.
	Read Dialled
}

// A dial's figures hold for a period, but for no longer than a minute, and for some seconds without periods:
// at 10 GHz the Doppler shift changes by 2 Hz a second.
const (
	dialWithoutPeriods = 10 * time.Second
	maxDial            = time.Minute
)

// dialHolds is for how long the figures of a dial hold: a period, or the longest part of one.
func (s *State) dialHolds() time.Duration {
	if s.Periods.Off {
		return dialWithoutPeriods
	}
	return min(station.Seconds(s.Periods.LengthS), maxDial)
}

// dialSpan is the time around a moment for which the dial is worked out.
func (s *State) dialSpan(at time.Time) (from, until time.Time) {
	length := dialWithoutPeriods
	if p := s.Period(at); p.On {
		length = p.Length
		if length > maxDial {
			begun := at.Add(p.Left - p.Length)
			parts := at.Sub(begun) / maxDial
			from = begun.Add(parts * maxDial)
			return from, from.Add(min(maxDial, p.Length-parts*maxDial))
		}
	}
	from = time.Unix(0, at.UnixNano()/int64(length)*int64(length)).UTC()
	return from, from.Add(length)
}

// dial works out what to set on the radio's dial in the period of a moment.
func (w *work) dial(q echo.Question, square string, at time.Time) (d Dial) {
	convention, sky := w.s.Convention, w.c.Sky
	converter := ConverterOf(&w.c.Settings.Bands[w.in.Band])
	tune := func(at time.Time) echo.Tuning {
		if q.HasPartner {
			return echo.Tune(sky, q.Here, q.There, q.Hz, convention, at)
		}
		return echo.TuneOwn(sky, q.Here, q.Hz, convention, at)
	}
	d.From, d.Until = w.s.dialSpan(at)
	middle := d.From.Add(d.Until.Sub(d.From) / 2)
	first, now, last := tune(d.From), tune(middle), tune(d.Until)
	d.ReceiveAirHz, d.TransmitAirHz = now.ListenHz, now.SendHz
	d.ReceiveHz, d.TransmitHz = converter.Dial(now.ListenHz), converter.Dial(now.SendHz)
	d.ReceiveChangeHz, d.TransmitChangeHz = last.ListenHz-first.ListenHz, last.SendHz-first.SendHz
	if _, _, halfLat, halfLon, err := locator.Parse(square); q.HasPartner && err == nil {
		within := echo.TuneWithin(sky, q.Here, q.There, halfLat, halfLon, q.Hz, convention, middle)
		d.ReceiveWithinHz, d.TransmitWithinHz = within.ListenHz, within.SendHz
	}
	receive, transmit := d.ReceiveHz, d.TransmitHz
	if w.in.Dialled.Has && at.Equal(w.in.At) { // not where another moment is looked at
		d.Read, receive = w.in.Dialled, w.in.Dialled.ReceiveHz
		if !math.IsNaN(d.Read.TransmitHz) {
			transmit = d.Read.TransmitHz
		}
	}
	own := echo.PathTo(sky, q.Here, q.Here, middle)
	d.OwnEchoHz = converter.Dial(converter.Air(transmit) * own.Up * own.Down)
	d.OwnEchoOffHz = d.OwnEchoHz - receive
	return d
}

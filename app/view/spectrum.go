package view

import (
	"math"
	"time"

	"beamhelm/app/desk/radio"
	"beamhelm/app/settings"
)

// AudioScale is how the receiver turns radio frequency into audio.
type AudioScale struct {
	// PitchHz is the audio frequency of a signal exactly on the receive frequency.
	PitchHz float64
	// Lower says that audio falls as the radio frequency rises.
	Lower bool
}

// AudioScaleOf is the scale of the settings.
func AudioScaleOf(s settings.Audio) AudioScale {
	return AudioScale{PitchHz: s.PitchHz, Lower: s.Sideband == settings.LowerSideband}
}

// Audio is the audio frequency of something that is off the receive frequency by so much.
func (a AudioScale) Audio(offHz float64) float64 {
	if a.Lower {
		offHz = -offHz
	}
	return a.PitchHz + offHz
}

// Radio is the radio frequency of an audio frequency; NaN where the receive frequency isn't known.
func (a AudioScale) Radio(now Now, audioHz float64) float64 {
	if now.Status == nil || now.Radio == nil {
		return math.NaN()
	}
	off := audioHz - a.PitchHz
	if a.Lower {
		off = -off
	}
	return receiverHz(now.Radio) + off
}

// receiverHz is where on the air the receiver is: as its dial was read, else as it should be set.
func receiverHz(r *radio.Path) float64 {
	return onAir(r.Dial.ReceiveAirHz, r.Dial.ReceiveHz, r.Dial.Read.ReceiveHz, r)
}

// transmitterHz is where on the air the transmitter is, likewise.
func transmitterHz(r *radio.Path) float64 {
	return onAir(r.Dial.TransmitAirHz, r.Dial.TransmitHz, r.Dial.Read.TransmitHz, r)
}

func onAir(airHz, dialHz, readHz float64, r *radio.Path) float64 {
	if r.Dial.Read.Has && !math.IsNaN(readHz) {
		return readHz + airHz - dialHz
	}
	return airHz
}

// AudioMark is where something must be heard now.
type AudioMark struct {
	Words string
	// Hz is its audio frequency, WidthHz how wide it is spread there, limb to limb.
	Hz, WidthHz float64
	Own         bool
}

// AudioMarks are where the own echo and the partner must be heard now, with the
// dial as it was read, else as it should be set; none where the Moon is down.
func AudioMarks(now Now, scale AudioScale) (marks []AudioMark) {
	if now.Status == nil || now.Radio == nil || !now.Radio.Up {
		return nil
	}
	r := now.Radio
	marks = append(marks, AudioMark{"Own echo", scale.Audio(transmitterHz(r) + r.Own.DopplerHz - receiverHz(r)),
		r.Own.SpreadHz, true})
	if r.HasPartner {
		marks = append(marks, AudioMark{r.Partner.Name, scale.Audio(r.ListenHz - receiverHz(r)), r.Mutual.SpreadHz,
			false})
	}
	return marks
}

// AudioMarkWords says where a mark lies.
func AudioMarkWords(m AudioMark) string {
	return m.Words + ": " + Number(m.Hz, 0) + " Hz, " + Number(m.WidthHz, spreadDecimals(m.WidthHz)) + " Hz wide"
}

// LevelWords says how strong audio is, and what is wrong with it.
func LevelWords(rmsDB, peakDB float64, clipping, dead bool) Phrase {
	words := DBFS(rmsDB) + ", peak " + DBFS(peakDB)
	switch {
	case dead:
		return Phrase{"▲ nothing but zeros: is it switched on, and may the program hear it?", Attention}
	case clipping:
		return Phrase{"▲ clipping: " + words, Attention}
	}
	return Phrase{words, Plain}
}

// DBFS is a level in dB over full scale.
func DBFS(db float64) string {
	if db < -120 || math.IsNaN(db) {
		return "silent"
	}
	return Number(db, 0) + " dBFS"
}

// SkyTime is the time of the sky, UTC, at a moment of the computer's clock, as
// at is now: in practice they differ.
func SkyTime(now Now, at, moment time.Time) time.Time {
	return now.At.Add(moment.Sub(at) * time.Duration(max(1, now.TimeScale)))
}

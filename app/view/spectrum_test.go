package view

import (
	"math"
	"testing"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
)

// Own echo and partner lie where the dial, Doppler and the sideband put them: figures worked out by hand.
func TestAudioMarks(t *testing.T) {
	path := &radio.Path{
		Up: true, ListenHz: 1296_000_300, SendHz: 1295_999_000, Own: radio.Signal{DopplerHz: -650, SpreadHz: 12},
		Mutual: radio.Signal{SpreadHz: 9}, HasPartner: true, Partner: desk.Partner{Name: "Far Field"},
		Dial: radio.Dial{ReceiveHz: 144_000_290, ReceiveAirHz: 1296_000_290, TransmitHz: 143_999_005,
			TransmitAirHz: 1295_999_005},
	}
	now := Now{Status: &desk.Status{Radio: path}}
	read := radio.Dialled{Has: true, ReceiveHz: 143_998_790, TransmitHz: math.NaN()}
	for _, row := range []struct {
		name                 string
		scale                AudioScale
		read                 radio.Dialled
		own, partner, radio0 float64 // audio Hz, and the radio frequency of audio 0
	}{
		// 1295.999005 - 650 Hz lies 1935 Hz below the receiver.
		{"as it should be set", AudioScale{PitchHz: 1500}, radio.Dialled{}, -435, 1510, 1295_998_790},
		{"lower sideband", AudioScale{PitchHz: 1500, Lower: true}, radio.Dialled{}, 3435, 1490, 1296_001_790},
		{"as it was read", AudioScale{PitchHz: 800}, read, 365, 2310, 1295_997_990},
	} {
		path.Dial.Read = row.read
		marks := AudioMarks(now, row.scale)
		if len(marks) != 2 || !marks[0].Own || math.Abs(marks[0].Hz-row.own) > 1e-3 ||
			math.Abs(marks[1].Hz-row.partner) > 1e-3 || marks[0].WidthHz != 12 || marks[1].WidthHz != 9 {
			t.Errorf("%s: %+v, want %g and %g Hz", row.name, marks, row.own, row.partner)
		}
		if got := row.scale.Radio(now, 0); math.Abs(got-row.radio0) > 1e-3 {
			t.Errorf("%s: audio 0 is %.0f Hz, want %.0f", row.name, got, row.radio0)
		}
	}
	path.Up = false
	if AudioMarks(now, AudioScale{}) != nil {
		t.Error("marks with the Moon down")
	}
}

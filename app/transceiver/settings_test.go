package transceiver

import (
	"testing"
	"time"

	"beamhelm/app/desk"
	path "beamhelm/app/desk/radio"
	"beamhelm/app/settings"
	"beamhelm/app/transceiver/codec"
	"beamhelm/drive/link"
)

func TestFromSettings(t *testing.T) {
	wanted := func() Wanted { return Wanted{} }
	s := settings.Default().Radio
	if made, err := FromSettings(s, wanted); made != nil || err != nil {
		t.Errorf("by default there is %v, %v", made, err)
	}
	s.Family, s.Port = settings.FramedRadio, "/dev/ttyUSB1"
	made, err := FromSettings(s, wanted)
	if err != nil || made.config.Set || made.config.WhileTransmitting ||
		made.config.Protocol.(*codec.Framed).Address != 0x94 {
		t.Errorf("%+v, %v", made, err)
	}
	if line := Line(s); line.Lines != link.LinesLow || line.Validate() != nil {
		t.Errorf("%+v", line)
	}
	s.RTS, s.Baud, s.StopBits = true, 4800, 2
	if line := Line(s); line.Lines != link.RTSAlone || line.Validate() != nil {
		t.Errorf("%+v", line)
	}
}

// Where it isn't known whether the station transmits, it counts as transmitting.
func TestWantedOf(t *testing.T) {
	now := time.Date(2027, 4, 14, 16, 0, 30, 0, time.UTC)
	fresh := func() *desk.Status {
		s := &desk.Status{At: now.Add(-100 * time.Millisecond)}
		s.Link.State = desk.LinkGood
		s.Radio = &path.Path{Up: true, Dial: path.Dial{From: now.Add(-30 * time.Second),
			Until: now.Add(30 * time.Second), ReceiveHz: 144e6}}
		return s
	}
	for name, row := range map[string]struct {
		change     func(*desk.Status)
		has, keyed bool
	}{
		"receiving":          {func(*desk.Status) {}, true, false},
		"transmitting":       {func(s *desk.Status) { s.Transmit.Keyed = true }, true, true},
		"link lost":          {func(s *desk.Status) { s.Link.State = desk.LinkLost }, true, true},
		"an old status":      {func(s *desk.Status) { s.At = now.Add(-1100 * time.Millisecond) }, true, true},
		"the Moon is down":   {func(s *desk.Status) { s.Radio.Up = false }, false, false},
		"the period is over": {func(s *desk.Status) { s.Radio.Dial.Until = now }, false, false},
	} {
		s := fresh()
		row.change(s)
		if w := WantedOf(s, now); w.Has != row.has || w.Keyed != row.keyed {
			t.Errorf("%s: %+v", name, w)
		}
	}
	if w := WantedOf(&desk.Status{}, now); w.Has {
		t.Errorf("without a path %+v", w)
	}
}

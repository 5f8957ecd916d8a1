package settings

import (
	"strings"
	"testing"
)

// Radio, keying and enclosure have a port each: what is spoken on one must not key, and nothing may take another's.
func TestPortsOfTheirOwn(t *testing.T) {
	for name, row := range map[string]struct {
		change func(*Settings)
		wrong  string
	}{
		"none": {func(*Settings) {}, ""},
		"three": {func(s *Settings) {
			s.Radio.Family, s.Radio.Port, s.Keying.Port = ASCIIRadio,
				"/dev/b", "/dev/c"
		}, ""},
		"a radio without": {func(s *Settings) { s.Radio.Family = ASCIIRadio }, "radio.port"},
		"the enclosure's": {func(s *Settings) { s.Radio.Family, s.Radio.Port = FramedRadio, "/dev/a" },
			"radio.port"},
		"keying the enclosure": {func(s *Settings) { s.Keying.Port = "/dev/a" }, "keying.port"},
		"keying by the radio's": {func(s *Settings) {
			s.Radio.Family, s.Radio.Port, s.Keying.Port = FramedRadio,
				"/dev/b", "/dev/b"
		}, "keying.port"},
		"a radio not spoken to": {func(s *Settings) { s.Radio.Port, s.Keying.Port = "/dev/b", "/dev/b" }, ""},
		"a dial below nothing": {func(s *Settings) { s.Bands[0].TransverterMHz = 1296 },
			"bands[0].transverter_offset_mhz"},
	} {
		s := Practice()
		s.Link.Port = "/dev/a"
		row.change(&s)
		var keys []string
		for _, fault := range s.Check() {
			keys = append(keys, fault.Key)
		}
		if got := strings.Join(keys, " "); got != row.wrong {
			t.Errorf("%s: %q is wrong, expected %q", name, got, row.wrong)
		}
	}
}

package firmware

import (
	"bytes"
	"strings"
	"testing"
)

func TestTablesAreReadWhole(t *testing.T) {
	if lines := strings.Count(pinTable, "\nPIN("); lines != len(Pins()) || lines < 60 {
		t.Errorf("%d pins of %d lines", len(Pins()), lines)
	}
	if lines := strings.Count(stationTable, "\nROW("); lines != len(Rows()) || lines < 40 {
		t.Errorf("%d rows of %d lines", len(Rows()), lines)
	}
	board, chip := map[string]string{}, map[string]string{}
	for _, p := range Pins() {
		place := string(p.Port) + string(rune('0'+p.Bit))
		if board[p.Board] != "" || chip[place] != "" {
			t.Errorf("%s has the pin %s or %s of %s%s", p.Name, p.Board, place, board[p.Board], chip[place])
		}
		board[p.Board], chip[place] = p.Name, p.Name
		if p.Kind.Words() == "" {
			t.Errorf("%s is of no kind", p.Name)
		}
	}
	for _, r := range Rows() {
		if err := r.check(r.Usual); err != nil {
			t.Error(err)
		}
	}
}

func TestStationFileGoesThereAndBack(t *testing.T) {
	s := UsualStation()
	for _, set := range []struct {
		name   string
		values []int64
	}{{"baud", []int64{115200}}, {"ramp_ms", []int64{500, 60000}}, {"current_full", []int64{-32767, 0}}} {
		if err := s.Set(set.name, set.values...); err != nil {
			t.Fatal(err)
		}
	}
	again, err := ParseStation(s.Text())
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(again.encode(), s.encode()) || bytes.Equal(s.encode(), UsualStation().encode()) {
		t.Error("it comes back as another")
	}
}

func TestWrongStationFilesAreRefused(t *testing.T) {
	for _, row := range []struct{ text, want string }{
		{"ramp_ms = 10 1000", "line 1: ramp_ms: 10: must be 20 to 60000 ms"},
		{"\nramp_ms = 1000", "line 2: ramp_ms: 1 values, expected 2"},
		{"speed = 1", "speed: no such row"},
		{"baud = 14400", "must be 9600, 19200"},
		{"unit", "must be NAME = VALUE"},
		{"unit = one", `"one" is no whole number`},
		{"unit = 1\nunit = 2", "line 2: unit is there twice"},
		{"input_reading = 88 0 0 0 0 0 0 0 0 0 0", "88 is the register of no reading"},
	} {
		if _, err := ParseStation(row.text); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%q: %v, want %q", row.text, err, row.want)
		}
	}
}

func TestImageHoldsTheTable(t *testing.T) {
	s := UsualStation()
	if err := s.Set("unit", 77); err != nil {
		t.Fatal(err)
	}
	text, err := Image(s)
	if err != nil {
		t.Fatal(err)
	}
	code, err := parseHex(text)
	if err != nil {
		t.Fatal(err)
	}
	plain, err := parseHex(built)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(code, s.encode()) || bytes.Contains(plain, s.encode()) || len(code) != len(plain) {
		t.Error("the table isn't in it")
	}
	// Some boot loaders take three of these for a call to their monitor, and hang.
	if bytes.Contains(code, []byte("!!!")) {
		t.Error("the image has three exclamation marks")
	}
}

func TestDamagedHexIsRefused(t *testing.T) {
	// The example of the format's specification as commonly printed, from memory: 16 bytes at 0100.
	const good = ":10010000214601360121470136007EFE09D2190140\n:00000001FF\n"
	code, err := parseHex([]byte(good))
	if err != nil || len(code) != 0x110 || code[0x100] != 0x21 || code[0x10F] != 0x01 {
		t.Fatal(err, len(code))
	}
	for _, bad := range []string{"", "1001", ":10010000214601360121470136007EFE09D2190141\n:00000001FF", good[:40],
		":0100000205F8\n"} {
		if _, err := parseHex([]byte(bad)); err == nil {
			t.Errorf("%q was accepted", bad)
		}
	}
	if back, err := parseHex(formatHex(code)); err != nil || !bytes.Equal(back, code) {
		t.Error("it doesn't come back", err)
	}
}

package codec

import (
	"bytes"
	"encoding/hex"
	"slices"
	"strings"
	"testing"
)

func unhex(t testing.TB, text string) []byte {
	t.Helper()
	b, err := hex.DecodeString(strings.ReplaceAll(text, " ", ""))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Frames as the family has them: common practice, no source.
func TestFramed(t *testing.T) {
	f := &Framed{Address: 0x94}
	for what, row := range map[string]struct {
		got  []byte
		want string
	}{
		"ask":              {f.Ask(Receiver), "FE FE 94 E0 03 FD"},
		"ask the other":    {f.Ask(Transmitter), "FE FE 94 E0 25 01 FD"},
		"split":            {f.AskSplit(), "FE FE 94 E0 0F FD"},
		"set":              {f.Set(Receiver, 1296123456), "FE FE 94 E0 05 56 34 12 96 12 FD"},
		"set the other":    {f.Set(Transmitter, 144123450), "FE FE 94 E0 25 01 50 34 12 44 01 FD"},
		"set above 10 GHz": {f.Set(Receiver, 10368100000), "FE FE 94 E0 05 00 00 10 68 03 01 FD"},
	} {
		if !bytes.Equal(row.got, unhex(t, row.want)) {
			t.Errorf("%s: % X, expected %s", what, row.got, row.want)
		}
	}
	for what, row := range map[string]struct {
		in   string
		want []Answer
	}{
		"frequency": {"FE FE E0 94 03 56 34 12 96 12 FD", []Answer{{Kind: Frequency, Hz: 1296123456}}},
		"six bytes": {"FE FE E0 94 03 00 00 10 68 03 01 FD", []Answer{{Kind: Frequency, Hz: 10368100000}}},
		"the other": {"FE FE E0 94 25 01 50 34 12 44 01 FD",
			[]Answer{{Kind: Frequency, VFO: Transmitter, Hz: 144123450}}},
		"own echo, then answer": {"FE FE 94 E0 03 FD FE FE E0 94 FB FD", []Answer{{Kind: Done}}},
		"refused":               {"FE FE E0 94 FA FD", []Answer{{Kind: Refused}}},
		"split on":              {"FE FE E0 94 0F 01 FD", []Answer{{Kind: Split, On: true}}},
		"dial turned":           {"FE FE 00 94 00 56 34 12 96 12 FD", nil},
		"another radio":         {"FE FE E0 88 03 56 34 12 96 12 FD", nil},
		"not decimal":           {"FE FE E0 94 03 5A 34 12 96 12 FD", []Answer{{Kind: Damaged}}},
		"a byte lost":           {"FE FE E0 94 03 56 12 96 12 FD", []Answer{{Kind: Damaged}}},
		"no frequency":          {"FE FE E0 94 03 00 00 00 00 00 FD", []Answer{{Kind: Damaged}}},
		"collision":             {"FE FE E0 94 03 56 FC FC FE FE E0 94 FB FD", []Answer{{Kind: Damaged}, {Kind: Done}}},
		"end lost":              {"FE FE E0 94 03 56 34 FE FE E0 94 FB FD", []Answer{{Kind: Damaged}, {Kind: Done}}},
		"garbage before":        {"00 FD 31 FE 07 FE FE FE E0 94 FB FD", []Answer{{Kind: Done}}},
		"endless": {"FE FE" + strings.Repeat("11", 400) + "FD FE FE E0 94 FB FD",
			[]Answer{{Kind: Damaged}, {Kind: Done}}},
		"too short": {"FE FE E0 FD", []Answer{{Kind: Damaged}}},
	} {
		if got := (&Framed{Address: 0x94}).Take(unhex(t, row.in)); !slices.Equal(got, row.want) {
			t.Errorf("%s: %+v, expected %+v", what, got, row.want)
		}
	}
	six := &Framed{Address: 0x94}
	six.Take(unhex(t, "FE FE E0 94 03 00 00 10 44 01 00 FD"))
	if got := six.Set(Receiver, 144100000); !bytes.Equal(got, unhex(t, "FE FE 94 E0 05 00 00 10 44 01 00 FD")) {
		t.Errorf("a radio of six bytes is set with % X", got)
	}
}

func TestASCII(t *testing.T) {
	for what, row := range map[string]struct {
		in   string
		want []Answer
	}{
		"frequency":          {"FA01296123456;", []Answer{{Kind: Frequency, Hz: 1296123456}}},
		"nine digits":        {"FA144123456;", []Answer{{Kind: Frequency, Hz: 144123456}}},
		"the other receives": {"FR1;FT1;FB00144123456;", []Answer{{Kind: Split}, {Kind: Frequency, Hz: 144123456}}},
		"split": {"FR0;FT1;FB00144123456;",
			[]Answer{{Kind: Split, On: true}, {Kind: Frequency, VFO: Transmitter, Hz: 144123456}}},
		"the one not in use": {"FR0;FT0;FB00144123456;", []Answer{{Kind: Split}}},
		"own echo":           {"FA;FA00144123456;", []Answer{{Kind: Frequency, Hz: 144123456}}},
		"not now":            {"?;E;O;", []Answer{{Kind: Refused}, {Kind: Refused}, {Kind: Refused}}},
		"a digit lost":       {"FA0014412345;", []Answer{{Kind: Damaged}}},
		"letters":            {"FA001441x3456;", []Answer{{Kind: Damaged}}},
		"a sign":             {"FA+0144123456;FA-0144123456;", []Answer{{Kind: Damaged}, {Kind: Damaged}}},
		"bits lost": {"FA001\x841123456;FA00144123456;",
			[]Answer{{Kind: Damaged}, {Kind: Frequency, Hz: 144123456}}},
		"the end lost": {"FA001441FA00144123456;", []Answer{{Kind: Damaged}}},
		"endless":      {strings.Repeat("F", 500) + ";?;", []Answer{{Kind: Damaged}, {Kind: Refused}}},
		"unasked":      {"IF00144123456000000000000002000000 ;MD2;", nil},
		"empty":        {";;", []Answer{{Kind: Damaged}, {Kind: Damaged}}},
		"lines": {"FA00144123456;\r\nFR0;\r\nFT0;\r\n",
			[]Answer{{Kind: Frequency, Hz: 144123456}, {Kind: Split}}},
	} {
		if got := new(ASCII).Take([]byte(row.in)); !slices.Equal(got, row.want) {
			t.Errorf("%s: %+v, expected %+v", what, got, row.want)
		}
	}
	a := new(ASCII)
	if got := string(a.Set(Receiver, 1296123456)); got != "FA01296123456;" {
		t.Errorf("set %q", got)
	}
	a.Take([]byte("FA144123456;FR0;FT1;"))
	if got := string(a.Set(Transmitter, 144100000)) + string(a.Ask(Transmitter)) +
		string(a.Ask(Receiver)); got != "FB144100000;FB;FA;" {
		t.Errorf("nine digits, split: %q", got)
	}
}

// anyPieces takes bytes in two ways: whole, and in pieces. What comes out must be the same, and after any bytes
// at all a good answer must be found again.
func anyPieces(t *testing.T, fresh func() Protocol, in []byte, piece int, good []byte, want Answer) {
	whole := fresh().Take(in)
	p := fresh()
	var byPieces []Answer
	for part := range slices.Chunk(in, piece) {
		byPieces = append(byPieces, p.Take(part)...)
	}
	if !slices.Equal(whole, byPieces) {
		t.Fatalf("whole %+v, in pieces of %d %+v", whole, piece, byPieces)
	}
	for _, a := range whole {
		if a.Kind == Frequency && !plausible(a.Hz) {
			t.Fatalf("%+v", a)
		}
	}
	p.Forget()
	if got := p.Take(good); !slices.Contains(got, want) {
		t.Fatalf("after % X: %+v, expected %+v", in, got, want)
	}
}

func FuzzFramed(f *testing.F) {
	for _, seed := range []string{"FE FE E0 94 03 56 34 12 96 12 FD", "FE FE 94 E0 03 FD FE FE E0 94 FA FD",
		"FC FE FE E0 94 25 01 00 FD"} {
		f.Add(unhex(f, seed), byte(3))
	}
	f.Fuzz(func(t *testing.T, in []byte, piece byte) {
		anyPieces(t, func() Protocol { return &Framed{Address: 0x94} }, in, int(piece)+1,
			[]byte{0xFE, 0xFE, 0xE0, 0x94, 0x03, 0x56, 0x34, 0x12, 0x96, 0x12, 0xFD},
			Answer{Kind: Frequency, Hz: 1296123456})
	})
}

func FuzzASCII(f *testing.F) {
	for _, seed := range []string{"FA00144123456;", "FR1;FT0;FB144123456;?;", "\xff;FA;"} {
		f.Add([]byte(seed), byte(2))
	}
	f.Fuzz(func(t *testing.T, in []byte, piece byte) {
		anyPieces(t, func() Protocol { return new(ASCII) }, in, int(piece)+1,
			[]byte("FR0;FT0;FA01296123456;"), Answer{Kind: Frequency, Hz: 1296123456})
	})
}

// What a protocol sets, a radio of the same family would read back as the same figure.
func FuzzSetReadsBack(f *testing.F) {
	f.Add(int64(1296123456))
	f.Add(int64(10368100000))
	f.Fuzz(func(t *testing.T, hz int64) {
		if !plausible(hz) || hz > 99_999_999_999 {
			return
		}
		framed := &Framed{Address: 0x94}
		set := framed.Set(Receiver, hz)
		set[2], set[3], set[4] = 0xE0, 0x94, 0x03
		if got := framed.Take(set); len(got) != 1 || got[0].Hz != hz {
			t.Fatalf("%d: % X, %+v", hz, set, got)
		}
		if got := new(ASCII).Take(new(ASCII).Set(Receiver, hz)); len(got) != 1 || got[0].Hz != hz {
			t.Fatalf("%d: %+v", hz, got)
		}
	})
}

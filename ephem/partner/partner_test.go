package partner

import (
	"reflect"
	"strings"
	"testing"

	"beamhelm/ephem"

	"github.com/soniakeys/unit"
)

var own = ephem.Site{Lat: unit.AngleFromDeg(55.02), Lon: unit.AngleFromDeg(-2.96)}

func TestReadAndWrite(t *testing.T) {
	text := header + "\nThe Long Field,JN58td,horizontal,\"Sundays, 1296\"\nHarbour End,GF15vc41oo,circular,\n"
	list, err := Read([]byte(text), own)
	if err != nil {
		t.Fatal(err)
	}
	want := []Partner{{"The Long Field", "JN58td", Horizontal, "Sundays, 1296", "", Equipment{}},
		{"Harbour End", "GF15vc41oo", Circular, "", "", Equipment{}}}
	if !reflect.DeepEqual(list, want) {
		t.Errorf("read %+v", list)
	}
	if got := string(Write(list)); got != text {
		t.Errorf("written:\n%s", got)
	}
	site, err := list[0].Site()
	if err != nil || site.Lat.Deg() < 48.1 || site.Lat.Deg() > 48.2 || site.Lon.Deg() < 11.5 || site.Lon.Deg() > 11.7 {
		t.Errorf("site %+v, %v", site, err)
	}
	if !Vertical.Linear() || Circular.Linear() {
		t.Error("linear is confused")
	}
}

func TestReadRefuses(t *testing.T) {
	for text, says := range map[string]string{
		"":                                 "1: empty",
		"name;locator;polarisation;note\n": "1: fields are separated by semicolons",
		"\xef\xbb\xbf" + header + "\n":     "1: it begins with a byte-order mark",
		header + "\r\nA,JN58td,circular,\nB,JN58td,circular,\n":        "2: lines end sometimes",
		header + "\nA,JN58tz,circular,\n":                              "2: locator \"JN58tz\"",
		header + "\nA,ZZ58,circular,\n":                                "2: locator \"ZZ58\"",
		header + "\nA,JN58td,sideways,\n":                              "2: polarisation \"sideways\"",
		header + "\n ,JN58td,circular,\n":                              "2: a partner without",
		header + "\nA,JN58td,circular,\na,JN59,vertical,\n":            "3: a stands in line 2",
		header + "\nA,io85MA,circular,\n":                              "2: A stands at the station's own place",
		header + "\nA,JN58td,circular\n":                               "2: 3 fields",
		header + "\nA,JN58td,circular,\nB,JN58td,\"circular,\n":        "3: a quotation mark",
		header + "\nA,JN58td,circular,one\n\nB,JN58td00,upright,x\n\n": "4: polarisation",
	} {
		if list, err := Read([]byte(text), own); err == nil || list != nil || !strings.HasPrefix(err.Error(), says) {
			t.Errorf("%q: %v, %v, want %s", text, list, err, says)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(header + "\nA,JN58td,circular,note\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		list, err := Read(text, own)
		if err != nil {
			return
		}
		again, err := Read(Write(list), own)
		if err != nil || len(again) != len(list) {
			t.Errorf("%q: %d partners, then %d (%v)", text, len(list), len(again), err)
		}
	})
}

// A list with call signs and equipment comes back as it was written; one that tells of neither keeps the short header.
func TestEquipment(t *testing.T) {
	text := longHeader + "\nThe Long Field,JN58td,horizontal,,LONGFIELD,400,5.6,\nHarbour End,GF15vc,circular,,,,,\n"
	list, err := Read([]byte(text), own)
	if err != nil || list[0].CallSign != "LONGFIELD" || list[0].Equipment != (Equipment{400, 5.6, 0}) ||
		list[0].Complete() {
		t.Fatalf("%+v, %v", list, err)
	}
	if got := string(Write(list)); got != text {
		t.Errorf("written %q", got)
	}
	if got := string(Write(list[1:])); !strings.HasPrefix(got, header+"\n") {
		t.Errorf("written %q", got)
	}
	for field, want := range map[string]string{"0,5,50": "power must be 0.001 to 30000", "400,500,50": "dish",
		"400,5,NaN": "system noise", "400,,": ""} {
		_, err := Read([]byte(longHeader+"\nA,JN58td,circular,,,"+field+"\n"), own)
		if (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", field, err)
		}
	}
}

package catalogue

import (
	"strings"
	"testing"
)

const header = "name,ra_deg,dec_deg,words\n"

func TestParse(t *testing.T) {
	list, err := Parse([]byte(header + "Cas A,350.85,58.815,\nSgr A*,266.4,-29,centre\n"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"Cas A", "casa", "CASA", "Sgr A*", "sgr a", "SgrA*"} {
		if _, found := list.Find(name); !found {
			t.Errorf("%q is not found", name)
		}
	}
	if _, found := list.Find("Cyg A"); found {
		t.Error("Cyg A is found in a list without it")
	}
	if got := strings.Join(list.Names(), "|"); got != "Cas A|Sgr A*" {
		t.Errorf("names %s", got)
	}
}

func TestParseRefuses(t *testing.T) {
	for name, text := range map[string]string{
		"empty": "", "another header": "name,ra,dec,words\n", "ra of hours": header + "Cas A,23h,58,\n",
		"ra of 360": header + "Cas A,360,58,\n", "dec of 91": header + "Cas A,1,91,\n",
		"NaN":     header + "Cas A,NaN,1,\n",
		"no name": header + " ,1,1,\n", "twice": header + "Cas A,1,1,\ncasa,2,2,\n", "short line": header + "Cas A,1\n",
	} {
		if _, err := Parse([]byte(text)); err == nil {
			t.Errorf("%s passes", name)
		}
	}
}

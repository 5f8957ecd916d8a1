package assets

import (
	"strings"
	"testing"
)

func TestSources(t *testing.T) {
	text := string(Sources())
	for _, name := range []string{"Cas A", "Cyg A", "Tau A", "Vir A", "Sgr A*"} {
		if !strings.Contains(text, "\n"+name+",") {
			t.Errorf("%s is not in the list of sources", name)
		}
	}
}

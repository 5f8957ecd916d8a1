package main

import (
	"slices"
	"strings"
	"testing"
)

func TestArgsAgain(t *testing.T) {
	for given, want := range map[string]string{
		"beamhelm": "beamhelm",
		"beamhelm -practice -from 2027-04-14T16:00:00Z -palette day": "beamhelm -palette day",
		"beamhelm --seed=3 -layout x":                                "beamhelm -layout x",
	} {
		if got := strings.Join(argsAgain(strings.Fields(given), true), " "); got != want {
			t.Errorf("%s: %s, want %s", given, got, want)
		}
	}
	own := []string{"beamhelm", "-settings", "practice.toml"}
	if got := argsAgain(own, false); !slices.Equal(got, own) {
		t.Errorf("%v", got)
	}
}

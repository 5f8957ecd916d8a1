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

// Practice begun from the window leads back to the settings that were in force.
func TestThereAndBack(t *testing.T) {
	for given, there := range map[string]string{
		"beamhelm -settings own.toml -palette day": "beamhelm -palette day -practice -back-to own.toml",
		"beamhelm -settings=own.toml":              "beamhelm -practice -back-to own.toml",
	} {
		args := argsForPractice(strings.Fields(given), "own.toml")
		if got := strings.Join(args, " "); got != there {
			t.Errorf("%s: %s, want %s", given, got, there)
		}
		if o, err := parse(args[1:]); err != nil || !o.practice {
			t.Errorf("%v: %v", args, err)
		}
		if got := backTo(args); got != "own.toml" {
			t.Errorf("%v leads back to %q", args, got)
		}
		back := argsAgain(args, true)
		if o, err := parse(back[1:]); err != nil || o.practice || o.settings != "own.toml" {
			t.Errorf("%v: %+v, %v", back, o, err)
		}
	}
	if got := strings.Join(argsForPractice([]string{"beamhelm"}, ""), " "); got != "beamhelm -practice" {
		t.Error(got)
	}
}

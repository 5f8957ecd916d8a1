//go:build cgo && linux

package soundcard

import (
	"os"
	"slices"
	"testing"
)

// TestNothingIsLeftOpenWithoutASoundSystem: a computer without a sound system is asked again and again, and each
// time leaves nothing open behind it.
func TestNothingIsLeftOpenWithoutASoundSystem(t *testing.T) {
	t.Setenv("PULSE_SERVER", "unix:"+t.TempDir()+"/none")
	open := func() int {
		all, err := os.ReadDir("/proc/self/fd")
		if err != nil {
			t.Fatal(err)
		}
		return len(all)
	}
	_, _ = System().Inputs()
	before := open()
	for range 20 {
		_, _ = System().Inputs()
	}
	if after := open(); after > before+2 {
		t.Errorf("%d open files after 20 tries, %d before", after, before)
	}
}

// TestServerAddresses are where a sound server is looked for.
func TestServerAddresses(t *testing.T) {
	for server, want := range map[string]string{
		"unix:/run/x/native": "/run/x/native", "/run/x/native": "/run/x/native", "{this}unix:/a/native": "/a/native",
		"tcp:sound.example:4000": "sound.example:4000", "sound.example": "sound.example:4713",
		"tcp6:[::1]": "[::1]:4713",
	} {
		t.Setenv("PULSE_SERVER", server)
		if got := serverAddresses(); len(got) != 1 || got[0] != want {
			t.Errorf("%s: %q, want %q", server, got, want)
		}
	}
	t.Setenv("PULSE_SERVER", "")
	t.Setenv("XDG_RUNTIME_DIR", "/run/user/7")
	if got := serverAddresses(); !slices.Contains(got, "/run/user/7/pulse/native") {
		t.Errorf("without PULSE_SERVER: %q", got)
	}
}

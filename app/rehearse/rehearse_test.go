//go:build !race

package rehearse

import (
	"bytes"
	"io/fs"
	"strings"
	"sync"
	"testing"

	"beamhelm/app/settings"
	"beamhelm/assets"
	"beamhelm/drive/guard"
	"beamhelm/ephem"
	"beamhelm/ephem/catalogue"
)

// TestBuiltIn plays every rehearsal that is built in, the real desk, loop and
// line against the simulated enclosure.
func TestBuiltIn(t *testing.T) {
	sky, err := ephem.New(assets.Ephemeris(), ephem.Config{})
	if err != nil {
		t.Fatal(err)
	}
	sources, err := catalogue.Parse(assets.Sources())
	if err != nil {
		t.Fatal(err)
	}
	entries, err := fs.ReadDir(assets.Rehearsals(), ".")
	if err != nil || len(entries) < 30 {
		t.Fatalf("only %d rehearsals (%v)", len(entries), err)
	}
	var mu sync.Mutex
	var found [guard.CodeCount]bool
	for _, entry := range entries {
		t.Run(strings.TrimSuffix(entry.Name(), ".rehearsal"), func(t *testing.T) {
			t.Parallel()
			f, err := assets.Rehearsals().Open(entry.Name())
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			script, err := Read(entry.Name(), f)
			if err != nil {
				t.Fatal(err)
			}
			var transcript bytes.Buffer
			w, err := NewWorld(settings.Practice(), sky, sources, script)
			if err != nil {
				t.Fatal(err)
			}
			ok, err := w.play(script, &transcript)
			if err != nil || !ok {
				t.Errorf("%v\n%s", err, transcript.String())
			}
			mu.Lock()
			defer mu.Unlock()
			for c := range guard.CodeCount {
				found[c] = found[c] || w.Found(c)
			}
		})
	}
	// Parallel subtests have ended when the cleanup runs.
	t.Cleanup(func() {
		for c := guard.None + 1; c < guard.CodeCount; c++ {
			if !found[c] {
				t.Errorf("no rehearsal shows the guard %q", guard.RowOf(c).Name)
			}
		}
	})
}

// What a rehearsal wants never to be said is what a guard says: other words would never be found.
func TestWhatIsLackingCanBeSaid(t *testing.T) {
	entries, err := fs.ReadDir(assets.Rehearsals(), ".")
	if err != nil {
		t.Fatal(err)
	}
	wanted := 0
	for _, entry := range entries {
		text, err := fs.ReadFile(assets.Rehearsals(), entry.Name())
		if err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(string(text)) {
			_, words, lacks := strings.Cut(strings.TrimSpace(line), " lacks ")
			if !lacks || !strings.Contains(line, " expect ") {
				continue
			}
			wanted++
			said := false
			for c := guard.None + 1; c < guard.CodeCount; c++ {
				said = said || strings.Contains(strings.ToLower(guard.RowOf(c).Words), strings.ToLower(words))
			}
			if !said {
				t.Errorf("%s: no guard says %q", entry.Name(), words)
			}
		}
	}
	if wanted == 0 {
		t.Error("no rehearsal wants anything to be lacking")
	}
}

package beamhelm_test

import (
	"regexp"
	"strings"
	"testing"
)

// A picture that is drawn pixel by pixel is remade by widget.Redraw alone: the window library takes no notice of its
// own Refresh while it has forgotten which window the picture is in.
func TestPicturesAreRedrawn(t *testing.T) {
	made := regexp.MustCompile(`(\w+)\s*:?=\s*(?:widget\.|chart\.)?New(?:Raster|Mark)\(`)
	pictures := map[string]map[string]bool{}
	found := 0
	for _, f := range sources(t) {
		if f.isTest || !strings.HasPrefix(f.folder, "app/panel") {
			continue
		}
		for _, match := range made.FindAllSubmatch(f.text, -1) {
			if pictures[f.folder] == nil {
				pictures[f.folder] = map[string]bool{}
			}
			pictures[f.folder][string(match[1])] = true
			found++
		}
	}
	if found < 15 {
		t.Fatalf("%d pictures found: are they made in another way now?", found)
	}
	refreshed := regexp.MustCompile(`(\w+)\.Refresh\(\)`)
	for _, f := range sources(t) {
		if f.isTest || pictures[f.folder] == nil {
			continue
		}
		for i, line := range strings.Split(string(f.text), "\n") {
			match := refreshed.FindStringSubmatch(line)
			if match != nil && pictures[f.folder][match[1]] {
				t.Errorf("%s:%d: %s is a picture: widget.Redraw", f.name, i+1, match[1])
			}
		}
	}
}

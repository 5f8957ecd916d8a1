package settings

import (
	"errors"
	"strings"
	"testing"
)

// TestLargestSettings: whatever the lists may hold fits into a file that is read.
func TestLargestSettings(t *testing.T) {
	s := full()
	// A different name each, as long as it may be.
	name := func(i, length int) string {
		return strings.Repeat("é", length-2) + string(rune('a'+i/26)) + string(rune('a'+i%26))
	}
	s.Bands, s.Structures, s.ClosedSectors, s.Horizon.Points = nil, nil, nil, nil
	for i := range MaxBands {
		band := full().Bands[0]
		band.Name, band.Feeds = name(i, 20), nil
		for j := range MaxFeeds {
			feed := full().Bands[1].Feeds[1]
			feed.Name, feed.SquintCrossElDeg = name(j, 20), -0.123456789012345
			band.Feeds = append(band.Feeds, feed)
		}
		s.Bands = append(s.Bands, band)
	}
	for i := range MaxStructures {
		s.Structures = append(s.Structures, Structure{name(i, 40), 10, 20, 1.123456789012345})
	}
	for i := range MaxClosedSectors {
		sector := ClosedSector{Name: name(i, 40), ToElevationDeg: 1}
		for _, band := range s.Bands {
			sector.Bands = append(sector.Bands, band.Name)
		}
		s.ClosedSectors = append(s.ClosedSectors, sector)
	}
	for i := range MaxHorizonPoints {
		s.Horizon.Points = append(s.Horizon.Points, Point{float64(i)/2 + 0.123456789012345, 1.123456789012345})
	}
	for _, fault := range s.Check() {
		t.Errorf("%s: %s", fault.Key, fault.Words)
	}
	text := s.Text()
	if len(text) > maxBytes {
		t.Errorf("the largest settings take %d bytes, at most %d are read", len(text), maxBytes)
	}
	parsed(t, text)
}

// TestFilesMadeToBeSlow: deep and long files are faults like others.
func TestFilesMadeToBeSlow(t *testing.T) {
	rows := []struct{ name, text, want string }{
		{"deep lists", "a = " + strings.Repeat("[", 120000) + strings.Repeat("]", 120000), "not TOML"},
		{"deep sections", "a = " + strings.Repeat("{a=", 80000), "not TOML"},
		{"a key of 120000 steps", strings.Repeat("a.", 120000) + "a = 1", "a: unknown key"},
		{"60000 structures", "structures = [" + strings.Repeat("{},", 60000) + "]",
			"structures: there are 60000; at most 16"},
		{"25000 bands", strings.Repeat("[[bands]]\n", 25000), "bands: there are 25000; at most 16"},
		{"many bytes", strings.Repeat("#\n", 1<<18), "the file has 524288 bytes; must be at most 393216"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			_, err := Parse("f", []byte(row.text))
			if wrong, ok := errors.AsType[*Error](err); !ok || !strings.Contains(err.Error(), "f:1: "+row.want) {
				t.Errorf("got %.200v, %+v", err, wrong == nil)
			}
		})
	}
}

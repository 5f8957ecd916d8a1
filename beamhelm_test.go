package beamhelm_test

import (
	"bytes"
	"image/png"
	"regexp"
	"testing"

	"beamhelm"
)

func TestMetadata(t *testing.T) {
	m := beamhelm.Metadata()
	if m.Name != "Beamhelm" || m.ID == "" || m.Build < 1 {
		t.Errorf("metadata %+v: want the name Beamhelm, an ID and a build number", m)
	}
	if !regexp.MustCompile(`^\d+\.\d+\.\d+$`).MatchString(m.Version) {
		t.Errorf("version %q is not of the form 1.2.3", m.Version)
	}
	picture, err := png.Decode(bytes.NewReader(m.Icon.Content()))
	if err != nil {
		t.Fatalf("decoding the icon: %v", err)
	}
	if size := picture.Bounds().Size(); size.X != 512 || size.Y != 512 {
		t.Errorf("the icon is %v, want 512 by 512", size)
	}
}

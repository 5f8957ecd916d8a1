package sky

import (
	"testing"

	"beamhelm/app/desk"
	"beamhelm/app/view"
)

// Of an axis that isn't referenced nothing pretends to know where it stands.
func TestNothingPretendsToKnow(t *testing.T) {
	r := open(t, plotSize, nil)
	if az := r.sliders[0]; !az.position.Visible() || !az.handle.Visible() || !r.panorama.hair.down.Visible() {
		t.Fatal("a referenced axis is not shown")
	}
	r.change(func(s *desk.Status) { s.Axes[0].Trusted, s.Axes[0].HasSetpoint = false, false })
	az, el := r.sliders[0], r.sliders[1]
	if az.position.Visible() || az.handle.Visible() || az.ControlWords() != view.Missing {
		t.Errorf("the azimuth's slider shows %q", az.ControlWords())
	}
	if !el.position.Visible() || !el.handle.Visible() {
		t.Error("the elevation, which is referenced, is not shown")
	}
	for _, part := range append(r.panorama.hair.lines(), r.panorama.hair.cross()...) {
		if part.Visible() {
			t.Error("the panorama shows a beam")
		}
	}
	if r.panorama.setpoint.Visible() {
		t.Error("the panorama shows where it goes")
	}
	if r.panorama.course.dots() != 0 {
		t.Error("the panorama shows a way")
	}
	if offer := view.OfferPlace(r.now, desk.AxisAngles{Az: deg(10), El: deg(40)},
		""); offer.Under != "how far away is not known" {
		t.Errorf("the offer says %q", offer.Under)
	}
}

package rehearse

import (
	"slices"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
)

// The strip is marked where trim, preamplifier, noise source or band really
// changed, and not where it was only asked for.
func TestMarksAreWhatChanged(t *testing.T) {
	w := evening(t, 0, 0)
	marks := func(o desk.Order) (marks []uint8) {
		from := uint64(0)
		if all := w.Desk.NoiseSince(0, nil); len(all) > 0 {
			from = all[len(all)-1].Number
		}
		w.Desk.Ask(o)
		w.pass(2 * time.Second)
		for _, s := range w.Desk.NoiseSince(from, nil) {
			if s.Mark != 0 {
				marks = append(marks, s.Mark)
			}
		}
		return marks
	}
	nudge := desk.Nudge{By: desk.Offset{Cross: unit.AngleFromDeg(0.1)}}
	for _, c := range []struct {
		name  string
		order desk.Order
		want  []uint8
	}{
		{"a nudge", nudge, []uint8{1}},
		{"a nudge of nothing", desk.Nudge{}, nil},
		{"the trim that it has", desk.UsePeak{}, nil}, // there is no peak
		{"the preamplifier that is on", desk.Preamplifier{On: true}, nil},
		{"the preamplifier off", desk.Preamplifier{}, []uint8{2}},
		{"the preamplifier on", desk.Preamplifier{On: true}, []uint8{2}},
		{"the noise source", desk.NoiseSource{On: true}, []uint8{3}},
		{"a model that isn't there", desk.UseModel{}, nil},
		{"the band in use", desk.BandTo{}, nil},
		{"a band that isn't there", desk.BandTo{Band: 9}, nil},
		{"another band", desk.BandTo{Band: 1}, []uint8{4}},
	} {
		if got := marks(c.order); !slices.Equal(got, c.want) {
			t.Errorf("%s: marks %v, want %v", c.name, got, c.want)
		}
	}
}

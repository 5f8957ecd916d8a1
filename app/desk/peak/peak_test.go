package peak

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/soniakeys/unit"

	"beamhelm/app/message"
	"beamhelm/ephem/noise"
	"beamhelm/ephem/space"
)

func degrees(d float64) unit.Angle { return unit.AngleFromDeg(d) }

// Against the sum over a fine grid of the disc, which is another way to the same figure.
func TestShapeOfADisc(t *testing.T) {
	for _, c := range []struct{ beam, disc float64 }{{2.7, 0.53}, {0.6, 0.53}, {0.29, 0.53}, {0.1, 0.53}} {
		s := NewShape(degrees(c.beam), degrees(c.disc))
		grid := func(off float64) float64 {
			const n = 300
			sum := 0.0
			for i := range n {
				for k := range n {
					x, y := (float64(i)+0.5)/n*c.disc-c.disc/2, (float64(k)+0.5)/n*c.disc-c.disc/2
					if x*x+y*y <= c.disc*c.disc/4 {
						sum += math.Exp(-4 * math.Ln2 * ((x-off)*(x-off) + y*y) / c.beam / c.beam)
					}
				}
			}
			return sum
		}
		top := grid(0)
		for _, off := range []float64{0, 0.2, 0.5, 0.8, 1.2} {
			x := off * (c.beam + c.disc) / 2
			if got, want := s.At(degrees(x)), grid(x)/top; math.Abs(got-want) > 0.004 {
				t.Errorf("beam %v, disc %v, off %.3f: %.4f, want %.4f", c.beam, c.disc, x, got, want)
			}
		}
	}
}

func TestWidthOfAShape(t *testing.T) {
	if got := NewShape(degrees(2), 0).Width.Deg(); math.Abs(got-2) > 1e-4 {
		t.Errorf("a point is %v wide, want the beam's 2", got)
	}
	// A small disc adds its variance, a sixteenth of its diameter's square, to the beam's, which is its width's over 8
	// ln 2.
	if got, want := NewShape(degrees(3), degrees(0.5)).Width.Deg(),
		math.Sqrt(9+math.Ln2/2*0.25); math.Abs(got-want) > 0.002 {
		t.Errorf("a small disc makes %v, want %v", got, want)
	}
	if got := NewShape(degrees(0.05), degrees(2)).Width.Deg(); math.Abs(got-2) > 0.04 {
		t.Errorf("a wide disc is %v wide, want its own 2", got)
	}
}

// sweepOf makes the points of a sweep both ways over an invented source.
func sweepOf(chance *rand.Rand, s Shape, centre, stretch, scatter, slope float64, n int) []Point {
	var points []Point
	for k := range 2 {
		for i := range n {
			x := (float64(i)/float64(n-1) - 0.5) * 3 * s.Width.Deg()
			if k == 1 {
				x = -x
			}
			power := 1 + slope*x/s.Width.Deg() + 2*s.At(degrees((x-centre)/stretch)) + scatter*chance.NormFloat64()
			points = append(points, Point{Off: degrees(x), Power: power, Up: k == 0})
		}
	}
	return points
}

// What the fit says of its error holds: over many sweeps the centre is off by its
// own error on the average, and by no more than five of them.
func TestSweepFindsTheCentreWithinItsError(t *testing.T) {
	for _, c := range []struct{ beam, disc, centre, stretch, scatter, slope float64 }{
		{2.7, 0.53, 0.3, 1, 0.02, 0}, {2.7, 0.53, -0.9, 1.1, 0.05, 0.1}, {0.29, 0.53, 0.08, 1, 0.03, -0.1},
		{0.1, 0.53, 0.02, 1, 0.03, 0},
	} {
		chance := rand.New(rand.NewPCG(1, uint64(c.beam*100)))
		s := NewShape(degrees(c.beam), degrees(c.disc))
		const runs = 40
		squares, stretches := 0.0, 0.0
		for range runs {
			f, err := Sweep(sweepOf(chance, s, c.centre, c.stretch, c.scatter, c.slope, 80), s)
			if err != nil {
				t.Fatal(err)
			}
			part := (f.Centre.Deg() - c.centre) / f.CentreError.Deg()
			squares += part * part / runs
			stretches += f.Stretch / runs
			if math.Abs(part) > 5 {
				t.Errorf("%+v: centre %.4f, error %.4f", c, f.Centre.Deg(), f.CentreError.Deg())
			}
		}
		if squares < 0.3 || squares > 1.5 {
			t.Errorf("%+v: the mean of (off/error) squared is %.2f, want about 1", c, squares)
		}
		if math.Abs(stretches-c.stretch) > 0.03 {
			t.Errorf("%+v: stretch %.3f on the average", c, stretches)
		}
	}
}

// What the fit says of the errors of the beam's width and of the height above the sky holds: over many sweeps of
// invented peaks the figures scatter by as much as they are told to, within 15 per cent. 150 sweeps know a scatter to
// 6 per cent; over 600 the two differed by 6 per cent at most.
func TestWidthAndHeightScatterByTheirErrors(t *testing.T) {
	for _, c := range []struct{ beam, disc, stretch, scatter, slope float64 }{
		{2.7, 0.53, 1, 0.02, 0}, {2.7, 0.53, 1.1, 0.2, 0.1}, {0.29, 0.53, 1, 0.03, -0.1}, {1, 0, 0.9, 0.05, 0},
	} {
		chance := rand.New(rand.NewPCG(7, uint64(c.scatter*1000)))
		s := NewShape(degrees(c.beam), degrees(c.disc))
		var widths, heights spread
		for range 150 {
			f, err := fit(sweepOf(chance, s, 0.1*c.beam, c.stretch, c.scatter, c.slope, 80), s, freeSlope|freeWidth)
			if err != nil {
				t.Fatal(err)
			}
			widths.add(s.OwnWidth(f.Stretch, degrees(c.disc)).Deg(),
				s.OwnWidthError(f.Stretch, f.StretchError, degrees(c.disc)).Deg())
			heights.add(f.AboveBase())
		}
		for what, s := range map[string]*spread{"width, °": &widths, "height, dB": &heights} {
			scatter, told := s.figures()
			t.Logf("beam %v°, disc %v°, noise %v: %s scatters by %.5f, told %.5f", c.beam, c.disc, c.scatter, what,
				scatter, told)
			if r := told / scatter; !(r > 0.85 && r < 1.15) {
				t.Errorf("%+v: %s: %.5f is told, it scatters by %.5f", c, what, told, scatter)
			}
		}
	}
}

// spread compares how figures scatter with what is told of it.
type spread struct{ n, sum, squares, told float64 }

func (s *spread) add(v, deviation float64) {
	s.n, s.sum, s.squares, s.told = s.n+1, s.sum+v, s.squares+v*v, s.told+deviation*deviation
}

func (s *spread) figures() (scatter, told float64) {
	mean := s.sum / s.n
	return math.Sqrt((s.squares - s.n*mean*mean) / (s.n - 1)), math.Sqrt(s.told / s.n)
}

// A curve whose baseline is nothing has no height in dB.
func TestNoHeightOverNothing(t *testing.T) {
	if db, deviation := (Fit{Base: 0, Height: 3}).AboveBase(); !math.IsNaN(db) || !math.IsNaN(deviation) {
		t.Errorf("%v ± %v dB over nothing", db, deviation)
	}
}

// Near the horizon the noise of air and ground bends under the peak of a weak source, and draws it down; told how it
// bends, the fit has the centre again, and its error covers a bend that is a fifth wrong.
func TestBentBackground(t *testing.T) {
	beam, disc := degrees(2.71), degrees(0.53)
	pattern, err := noise.NewPattern(noise.Dish{Hz: 1296e6, DiameterM: 5.6, Efficiency: 0.55, HalfPower: beam})
	if err != nil {
		t.Fatal(err)
	}
	const el, receiverK, moonK = 7.0, 45, 8
	background := func(x unit.Angle) float64 {
		return receiverK + pattern.Hear(space.Direction(1, degrees(el)+x), &noise.Scene{}, noise.Fine).TotalK()
	}
	s := NewShape(beam, disc)
	at := func(x float64) float64 { return background(degrees(x)) / background(0) }
	// The bend by differences: even and odd parts at one width.
	w := degrees(2.7).Rad()
	even := (at(2.7)+at(-2.7))/2 - 1
	odd3 := ((at(2.7)-at(-2.7))/2 - (at(1.35) - at(-1.35))) / 0.75
	bent := s
	bent.Bend = [2]float64{even / (w * w), odd3 / (w * w * w)}
	var points []Point
	for k := range 2 {
		for i := range 60 {
			x := degrees((float64(i)/59 - 0.5) * 3 * s.Width.Deg())
			points = append(points, Point{Off: x, Power: background(x) + moonK*s.At(x), Up: k == 0})
		}
	}
	straight, err := Sweep(slices.Clone(points), s)
	if err != nil {
		t.Fatal(err)
	}
	known, err := Sweep(slices.Clone(points), bent)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("taken as straight %.3f°, known to bend %.3f±%.3f°", straight.Centre.Deg(), known.Centre.Deg(),
		known.CentreError.Deg())
	if math.Abs(straight.Centre.Deg()) < 0.02 {
		t.Errorf("a background that bends draws the centre by %.3f° only: the test shows nothing",
			straight.Centre.Deg())
	}
	if off := math.Abs(known.Centre.Deg()); off > 0.3*math.Abs(straight.Centre.Deg()) ||
		off > 2*known.CentreError.Deg() {
		t.Errorf("with its bend known the centre is off by %.3f°, said to be good to %.3f°", off,
			known.CentreError.Deg())
	}
}

// The width of the beam itself comes out of the curve that a disc makes.
func TestOwnWidth(t *testing.T) {
	for _, c := range [][2]float64{{2.7, 0.53}, {0.68, 0.53}, {0.4, 0.53}, {1, 0}} {
		s := NewShape(degrees(c[0]*1.1), degrees(c[1])) // what the settings say is a tenth too wide
		measured := NewShape(degrees(c[0]), degrees(c[1])).Width
		if got := s.OwnWidth(measured.Rad()/s.Width.Rad(), degrees(c[1])).Deg(); math.Abs(got-c[0]) > 0.004 {
			t.Errorf("a beam of %v° over a disc of %v° comes out as %.4f°", c[0], c[1], got)
		}
	}
}

func TestInterferenceIsLeftOut(t *testing.T) {
	chance := rand.New(rand.NewPCG(4, 4))
	s := NewShape(degrees(2.7), degrees(0.53))
	points := sweepOf(chance, s, 0.4, 1, 0.02, 0, 80)
	spoilt := 0
	for i := range points {
		if i%12 == 5 {
			points[i].Power += 30 * chance.Float64()
			spoilt++
		}
	}
	f, err := Sweep(points, s)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.Centre.Deg()-0.4) > 5*f.CentreError.Deg() || f.CentreError.Deg() > 0.02 {
		t.Errorf("centre %.4f with error %.4f, want 0.4", f.Centre.Deg(), f.CentreError.Deg())
	}
	if why := Judge(points, f, s, true); why.Code != "" {
		t.Errorf("refused: %s", why)
	}
}

func TestWhatIsRefused(t *testing.T) {
	s := NewShape(degrees(2.7), degrees(0.53))
	for name, c := range map[string]struct {
		points []Point
		want   message.Code
	}{
		"noise only": {sweepOf(rand.New(rand.NewPCG(9, 9)), s, 0, 1, 30, 0, 80), ""},
		"too wide":   {sweepOf(rand.New(rand.NewPCG(9, 8)), s, 0, 1.8, 0.01, 0, 80), "peak.width"},
		"too narrow": {sweepOf(rand.New(rand.NewPCG(9, 7)), s, 0, 0.5, 0.01, 0, 80), "peak.width"},
		"beside":     {sweepOf(rand.New(rand.NewPCG(9, 6)), s, 4.6, 1, 0.002, 0, 80), ""},
		"nothing":    {make([]Point, 3), ""},
	} {
		f, err := Sweep(c.points, s)
		why := message.OfError(err)
		if err == nil {
			why = Judge(c.points, f, s, true)
		}
		if why.Code == "" || c.want != "" && why.Code != c.want {
			t.Errorf("%s: %q, want %q", name, why, c.want)
		}
	}
}

func TestLagBetweenTheDirectionsIsTold(t *testing.T) {
	s := NewShape(degrees(2.7), degrees(0.53))
	points := sweepOf(rand.New(rand.NewPCG(2, 2)), s, 0.3, 1, 0.005, 0, 80)
	for i := range points {
		if points[i].Up {
			points[i].Off += degrees(0.1)
		}
	}
	f, err := Sweep(points, s)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.Apart.Deg()-0.1) > 0.02 || math.Abs(f.Centre.Deg()-0.35) > 0.02 {
		t.Errorf("apart by %.3f about %.3f, want 0.1 about 0.35", f.Apart.Deg(), f.Centre.Deg())
	}
}

// Three places and the known width give the centre: checked by the curve itself.
func TestStops(t *testing.T) {
	s := NewShape(degrees(2.7), degrees(0.53))
	for _, centre := range []float64{-0.8, -0.1, 0, 0.5} {
		var points []Point
		for _, x := range []float64{-1.35, 0, 1.35, 0} {
			points = append(points, Point{Off: degrees(x), Power: 5 + 3*s.At(degrees(x-centre))})
		}
		f, err := Stops(points, s)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(f.Centre.Deg()-centre) > 0.002 {
			t.Errorf("centre %.4f, want %.4f", f.Centre.Deg(), centre)
		}
		if why := Judge(points, f, s, false); why.Code != "" {
			t.Error(why)
		}
	}
}

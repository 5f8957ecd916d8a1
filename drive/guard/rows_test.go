package guard

import (
	"math"
	"testing"
	"time"
)

func TestRowsAreWhole(t *testing.T) {
	names, place := map[string]bool{}, map[Code]int{}
	for i, r := range Rows() {
		if r.Name == "" || r.Words == "" || r.Next == "" || r.Test == nil {
			t.Errorf("row %v lacks name, words, next step or test", r.Code)
		}
		if names[r.Name] {
			t.Errorf("two rows are called %q", r.Name)
		}
		names[r.Name] = true
		place[r.Code] = i
		for _, cause := range r.Behind {
			if p, judged := place[cause]; !judged || p >= i {
				t.Errorf("%v is judged before %v, its cause", r.Code, cause)
			}
		}
	}
	for c := None + 1; c < CodeCount; c++ {
		if _, ok := place[c]; !ok {
			t.Errorf("code %d has no row", c)
		}
	}
	if RowOf(CodeCount).Name != "" || CodeCount.String() != "unknown guard" || None.String() != "none" {
		t.Error("what is no row has a name")
	}
}

// axisConfig is a dish of 4096 counts a turn that goes 1.5 degrees a second.
func axisConfig() AxisConfig {
	const degree = math.Pi / 180
	return AxisConfig{
		Fitted: true, Step: 360.0 / 4096 * degree, Backlash: 0.15 * degree, Coast: 0.1 * degree, TopSpeed: 1.5 * degree,
		Acceleration: 0.5 * degree,
		Lag:          250 * time.Millisecond, MinDrive: 0.03, IdleA: 0.3, StallA: 12, RatedA: 6,
		MaxStallTime: 4 * time.Second,
	}
}

// A walk is what an axis shows tick by tick: drive and counts at each tenth of a second.
type walk struct {
	name                            string
	ticks                           int // ticks
	drive                           func(tick int) float64
	count                           func(tick int) int32
	stuck, wrong, uncommanded, fast bool
}

func TestTravel(t *testing.T) {
	still := func(int) int32 { return 0 }
	none := func(int) float64 { return 0 }
	half := func(int) float64 { return 0.5 }
	for _, w := range []walk{
		{name: "standing", ticks: 600, drive: none, count: still},
		{name: "half speed", ticks: 600, drive: half,
			count: func(k int) int32 { return int32(float64(k) * 0.1 * 0.75 / 0.0879) }},
		{name: "half speed downwards", ticks: 600, drive: func(int) float64 { return -0.5 },
			count: func(k int) int32 { return -int32(float64(k) * 0.1 * 0.75 / 0.0879) }},
		{name: "driven, no counts", ticks: 30, drive: half, count: still, stuck: true},
		{name: "driven for a moment inside the backlash", ticks: 600, drive: func(k int) float64 {
			if k < 8 {
				return 0.3
			}
			return 0
		}, count: still},
		{name: "driven below the least drive for a minute", ticks: 600, drive: func(int) float64 { return 0.02 },
			count: still},
		{name: "against the drive", ticks: 30, drive: half, count: func(k int) int32 { return -int32(k / 2) },
			wrong: true, stuck: true},
		{name: "three counts against the drive: the backlash", ticks: 30, drive: func(int) float64 { return 0.1 },
			count: func(k int) int32 { return -int32(min(3, k)) }},
		{name: "moving without drive", ticks: 100, drive: none,
			count: func(k int) int32 { return int32(max(0, k-20) / 8) }, uncommanded: true},
		{name: "rocking in the backlash", ticks: 600, drive: none,
			count: func(k int) int32 { return int32(k / 4 % 4) }},
		{name: "creeping in the backlash and back", ticks: 600, drive: none,
			count: func(k int) int32 { return int32(2 * math.Sin(float64(k)/50)) }},
		{name: "six times the top speed", ticks: 40, drive: func(int) float64 { return 1 },
			count: func(k int) int32 { return int32(k * 10) }, fast: true},
	} {
		t.Run(w.name, func(t *testing.T) {
			c := axisConfig()
			var a travel
			var got walk
			for k := -30; k < w.ticks; k++ { // it stands for three seconds first
				f := AxisFacts{CurrentA: math.NaN()}
				if k >= 0 {
					f.Counts, f.Applied = w.count(k), w.drive(k)
				}
				a.update(&c, &f, uint32(10_000+100*k))
				got.stuck = got.stuck || a.stuck(&c)
				got.wrong = got.wrong || a.wrong(&c)
				got.uncommanded = got.uncommanded || a.uncommanded(&c)
				got.fast = got.fast || a.fast(&c)
			}
			if got.stuck != w.stuck || got.wrong != w.wrong || got.uncommanded != w.uncommanded || got.fast != w.fast {
				t.Errorf("stuck %v wrong %v uncommanded %v fast %v, want %v %v %v %v", got.stuck, got.wrong,
					got.uncommanded,
					got.fast, w.stuck, w.wrong, w.uncommanded, w.fast)
			}
		})
	}
}

// The enclosure's clock wraps at 2^32 ms; what is followed goes on.
func TestTravelOverTheClocksWrap(t *testing.T) {
	c := axisConfig()
	var a travel
	for k := range 100 {
		f := AxisFacts{Counts: int32(k), Applied: 0.6, CurrentA: math.NaN()}
		a.update(&c, &f, uint32(k)*100-5000)
	}
	if want := 10 * c.Step.Rad(); !(math.Abs(a.Rate-want) <= 0.01*want) { // not a number either
		t.Errorf("rate %v, want %v rad/s", a.Rate, want)
	}
}

func TestHoldAndCauses(t *testing.T) {
	c := Config{Limits: DefaultLimits(), Tick: 100 * time.Millisecond}
	f := Facts{Connected: true, Ours: true, DriveSupplyV: 10, Powered: true, PowerConfirmed: true, WindMean: math.NaN(),
		WindGust: math.NaN()}
	var s State
	at := 0.0
	for k := range 40 {
		f.Now = time.Duration(k) * c.Tick
		v := Judge(&c, &f, &s)
		if v.Response == TripPower {
			at = f.Now.Seconds()
			break
		}
	}
	if at != 2 {
		t.Errorf("supply low tripped after %v s, want 2", at)
	}
	f.Powered, f.ReplyAge = false, 5*time.Second
	if v := Judge(&c, &f, &s); s.Stands(PowerLost) || !s.Stands(LinkLost) || !v.Pause {
		t.Error("power lost was judged although the link is")
	}
}

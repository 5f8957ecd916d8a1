package view

import (
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/desk/ownecho"
	"beamhelm/app/message"
	"beamhelm/drive/mount"
)

func echoing(change func(*desk.OwnEcho)) Now {
	s := desk.Status{At: time.Date(2027, 4, 14, 19, 0, 0, 0, time.UTC)}
	s.Band.Name = "1296 MHz"
	change(&s.OwnEcho)
	return At(&s, 10, 0)
}

// A run is told by its cycle and the time left, from the wait for the permit on, and no longer than it runs.
func TestOwnEchoLine(t *testing.T) {
	request := &ownecho.Request{Number: 2, Config: ownecho.Config{Cycles: 10}}
	for want, e := range map[string]desk.OwnEcho{
		"":                              {Progress: ownecho.Progress{Run: 1, Complete: true}},
		"own echo, awaiting the permit": {Waiting: true},
		"own echo, beginning":           {Request: request, Progress: ownecho.Progress{Run: 1, Running: true}},
		"own echo 3 of 10, 42 s left": {Request: request,
			Progress: ownecho.Progress{Run: 2, Running: true, Done: 3, Left: 42 * time.Second}},
		"own echo 1 of 10, 1 min 2 s left": {Request: request,
			Progress: ownecho.Progress{Run: 2, Running: true, Left: 62 * time.Second}},
	} {
		got := OwnEchoLine(echoing(func(o *desk.OwnEcho) { *o = e }))
		if want == "own echo 1 of 10, 1 min 2 s left" {
			want = "own echo 1 of 10, " + Span(62*time.Second) + " left"
		}
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// The chart has the band's echoes that were found, with their errors as bars that it has room for, and what was
// expected.
func TestOwnEchoPlot(t *testing.T) {
	at := time.Date(2027, 4, 10, 19, 0, 0, 0, time.UTC)
	p := OwnEchoPlot(echoing(func(o *desk.OwnEcho) {
		o.Before = []ownecho.Result{
			{At: at, Band: "1296 MHz", Detected: true, CN0DBHz: 20, CN0ErrorDB: 2, HasExpected: true, ExpectedDBHz: 21},
			{At: at.Add(time.Hour), Band: "5760 MHz", Detected: true, CN0DBHz: 90},
			{At: at.Add(2 * time.Hour), Band: "1296 MHz"},
			{At: at.Add(3 * time.Hour), Band: "1296 MHz", Detected: true, CN0DBHz: 19, CN0ErrorDB: 1},
		}
	}))
	if len(p.Series) != 2 || len(p.Series[0].X) != 2 || len(p.Series[1].X) != 1 || p.Low > 18 || p.High < 22 {
		t.Errorf("%+v", p)
	}
	if words := p.ReadOut(UnixSeconds(at)); !strings.Contains(words, "20.0 ±2.0") ||
		!strings.Contains(words, "expected 21.0") {
		t.Error(words)
	}
	table, err := p.Table()
	if err != nil || !strings.Contains(string(table), "measured,2027-04-10T19:00:00Z,20,,2,dB-Hz,no") {
		t.Errorf("%s, %v", table, err)
	}
	if empty := OwnEchoPlot(echoing(func(*desk.OwnEcho) {})); empty.Has() || empty.None == "" {
		t.Errorf("%+v", empty)
	}
}

// A peak shows trim and error, the strength at each place, and what applying it would do; one of no use says why.
func TestEchoPeakFigures(t *testing.T) {
	peak := &ownecho.Peak{Found: mount.Offset{Cross: unit.AngleFromDeg(0.31), El: unit.AngleFromDeg(-0.12)},
		Error: mount.Offset{Cross: unit.AngleFromDeg(0.08), El: unit.AngleFromDeg(0.07)}, GainDB: 1.2}
	for i := range peak.Spots {
		peak.Spots[i] = ownecho.Spot{CN0Hz: 100, ErrorHz: 15, Cycles: 4}
	}
	peak.Spots[2].CN0Hz = 3
	r := &ownecho.Result{Band: "1296 MHz", Detected: true, Cycles: 20, Peak: peak}
	shown := func(usable bool) (head string, figures string) {
		now := echoing(func(o *desk.OwnEcho) { o.Last, o.Usable = r, usable })
		var words []string
		for _, f := range OwnEchoFigures(now) {
			words = append(words, f.Name+" "+f.Value.Words+" "+f.Note.Words)
		}
		return OwnEchoHead(now).Head.Words, strings.Join(words, "\n")
	}
	head, figures := shown(true)
	for _, want := range []string{"Cross-elevation +0.31° ±0.08", "Elevation −0.12° ±0.07", "by, dB 1.2",
		"Left and right 20.0 ±0.7 and not found"} {
		if !strings.Contains(figures, want) {
			t.Errorf("no %q in\n%s", want, figures)
		}
	}
	if !strings.Contains(head, "0.31° right") || !strings.Contains(head, "0.12° down") {
		t.Error(head)
	}
	if head, _ = shown(false); !strings.Contains(head, "applied or discarded") {
		t.Error(head)
	}
	peak.Why = message.Text("the echo is too weak to tell")
	if head, figures = shown(false); !strings.Contains(head, "unusable: the echo is too weak") ||
		!strings.Contains(figures, "by, dB "+Missing) {
		t.Error(head, figures)
	}
}

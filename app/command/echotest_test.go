package command

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"beamhelm/app/echotest"
	"beamhelm/app/wavfile"
)

// record writes a recording of noise with a plain tone where each echo belongs, or without,
// and its plan.
func record(t *testing.T, echoes bool) (wav, plan string) {
	t.Helper()
	const rate, offset = 12000, 12.5
	r := rand.New(rand.NewPCG(1, 2))
	p := echotest.Plan{SpreadHz: 1, SearchHz: 50, DriftLimitHzPerS: 0.05}
	samples := make([]float64, 61*rate)
	for i := range samples {
		samples[i] = 0.1 * r.NormFloat64()
	}
	for k := range 10 {
		begin := 6 * float64(k)
		c := echotest.Cycle{
			KeyS: begin, KeyOffS: begin + 2.4, ToneStartS: begin + 0.3, ToneS: 2,
			ToneHz: 1500 + 6*float64(k*7%10), EchoStartS: begin + 2.75,
		}
		c.EchoMidHz = c.ToneHz
		p.Cycles = append(p.Cycles, c)
		for i := int(c.EchoStartS * rate); echoes && i < int((c.EchoStartS+2)*rate); i++ {
			samples[i] += 0.01 * math.Cos(2*math.Pi*(c.EchoMidHz+offset)*float64(i)/rate)
		}
	}
	wav, plan = filepath.Join(t.TempDir(), "night.wav"), filepath.Join(t.TempDir(), "night.json")
	file, err := os.Create(wav)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if err := wavfile.Write(file, wavfile.Audio{RateHz: rate, Samples: samples}, ""); err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(plan, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return wav, plan
}

func runEchotest(t *testing.T, args ...string) (status int, out, complaint string) {
	t.Helper()
	var stdout, stderr strings.Builder
	status = Echotest(args, &stdout, &stderr)
	return status, stdout.String(), stderr.String()
}

func TestEchotestFindsTheTone(t *testing.T) {
	wav, plan := record(t, true)
	status, out, complaint := runEchotest(t, "-wav", wav, "-plan", plan)
	rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	if status != 0 || err != nil || len(rows) != 2 || rows[1][0] != "night.wav" || rows[1][1] != "1" {
		t.Fatalf("status %d, %v, %q, %s", status, err, out, complaint)
	}
	// The tone's power is 0.01^2/2, the noise's density 0.1^2 in half the sample rate.
	want := 10 * math.Log10(0.01*0.01/2/(0.1*0.1/6000))
	if got, _ := strconv.ParseFloat(rows[1][2], 64); math.Abs(got-want) > 1 {
		t.Errorf("C/N0 %.2f dB-Hz, not %.2f", got, want)
	}
	if got, _ := strconv.ParseFloat(rows[1][3], 64); math.Abs(got-12.5) > 0.2 {
		t.Errorf("offset %.2f Hz, not 12.5", got)
	}
}

func TestEchotestSaysNoForNoise(t *testing.T) {
	wav, plan := record(t, false)
	if status, out, _ := runEchotest(t, "-wav", wav, "-plan", plan); status != 0 ||
		!strings.HasSuffix(out, "night.wav,0,,,,\n") {
		t.Errorf("status %d, %q", status, out)
	}
}

func TestEchotestRefuses(t *testing.T) {
	wav, plan := record(t, false)
	pipe := filepath.Join(t.TempDir(), "pipe")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	empty := filepath.Join(t.TempDir(), "empty.json")
	if err := os.WriteFile(empty, []byte(`{"cycles":[]}`), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args   []string
		status int
		says   string
	}{
		{[]string{"-wav", wav}, 2, "-plan FILE.json"},
		{[]string{"-wav", pipe, "-plan", plan}, 1, "not a regular file"},
		{[]string{"-wav", wav, "-plan", pipe}, 1, "not a regular file"},
		{[]string{"-wav", wav, "-plan", wav}, 1, "read the plan"},
		{[]string{"-wav", wav, "-plan", empty}, 1, "no cycles"},
		{[]string{"-wav", plan, "-plan", plan}, 1, "not a WAV file"},
	} {
		status, out, complaint := runEchotest(t, c.args...)
		if status != c.status || out != "" || !strings.Contains(complaint, c.says) {
			t.Errorf("%v: status %d, %q, %q", c.args, status, out, complaint)
		}
	}
}

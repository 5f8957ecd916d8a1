package command

import (
	"encoding/csv"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"

	"beamhelm/app/echotest"
	"beamhelm/app/regular"
	"beamhelm/app/wavfile"
)

const echotestUsage = `usage: beamhelm echotest -wav FILE -plan FILE.json

Looks for the station's own echoes in a recording of the receiver. The plan names, for each
cycle, key_s, key_off_s, tone_start_s, tone_s, tone_hz, echo_start_s, echo_mid_hz and
drift_hz_per_s, in seconds from the first sample and hertz of audio; and once spread_hz (limb to
limb), search_hz and drift_limit_hz_per_s. Prints CSV: a header and a row. C/N0 is the echo's
whole power over the noise in 1 Hz, the spread is limb to limb. Figures are empty where no
echo is detected.
`

// Echotest is `beamhelm echotest`.
func Echotest(args []string, stdout, stderr io.Writer) int {
	return ending("echotest", findEchoes(args, stdout), stdout, stderr, echotestUsage)
}

func findEchoes(args []string, stdout io.Writer) error {
	f := flag.NewFlagSet("echotest", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	recording, plan := f.String("wav", "", ""), f.String("plan", "", "")
	switch err := f.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return err
	case err != nil:
		return usageError{err}
	case *recording == "" || *plan == "" || f.NArg() != 0:
		return usageError{errors.New("it takes -wav FILE and -plan FILE.json")}
	}
	p, err := readPlan(*plan)
	if err != nil {
		return fmt.Errorf("%s: %w", *plan, err)
	}
	a, err := readWAV(*recording)
	if err != nil {
		return fmt.Errorf("%s: %w", *recording, err)
	}
	r, err := echotest.Detect(echotest.Recording{Samples: a.Samples, RateHz: a.RateHz}, p)
	if err != nil {
		return err
	}
	w := csv.NewWriter(stdout)
	_ = w.Write([]string{"file", "detected", "cn0_dbhz", "freq_error_hz", "spread_hz", "delay_error_ms"})
	detected := "0"
	if r.Detected {
		detected = "1"
	}
	_ = w.Write([]string{
		filepath.Base(*recording), detected, decimals(r.CN0DBHz, 2), decimals(r.OffsetHz, 2),
		decimals(r.SpreadHz, 2), decimals(r.DelayErrorMS, 1),
	})
	w.Flush()
	if err := w.Error(); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	return nil
}

// decimals is empty for NaN.
func decimals(x float64, digits int) string {
	if math.IsNaN(x) {
		return ""
	}
	return strconv.FormatFloat(x, 'f', digits, 64)
}

const maxPlanBytes = 4 << 20

func readPlan(path string) (echotest.Plan, error) {
	file, err := openRegular(path, maxPlanBytes)
	if err != nil {
		return echotest.Plan{}, err
	}
	defer file.Close()
	text, err := io.ReadAll(file)
	if err != nil {
		return echotest.Plan{}, err
	}
	return echotest.ParsePlan(text)
}

func readWAV(path string) (wavfile.Audio, error) {
	file, err := openRegular(path, wavfile.MaxBytes)
	if err != nil {
		return wavfile.Audio{}, err
	}
	defer file.Close()
	return wavfile.Read(file)
}

// openRegular opens a file that is one, and not too long: a pipe or a device would have no end.
func openRegular(path string, maximum int64) (*os.File, error) {
	file, err := regular.Open(path)
	if err != nil {
		return nil, err
	}
	info, err := file.Stat()
	if err == nil && info.Size() > maximum {
		err = fmt.Errorf("it has %d bytes: at most %d", info.Size(), maximum)
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return file, nil
}

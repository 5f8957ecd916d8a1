//go:build peers

package diary

import (
	"bytes"
	"os/exec"
	"strings"
	"testing"
	"time"
)

// readByOthers has a calendar read by two libraries that others wrote.
func readByOthers(t *testing.T, text []byte) (string, error) {
	t.Helper()
	c := exec.Command("/usr/bin/python3", "testdata/read.py")
	c.Stdin = bytes.NewReader(text)
	out, err := c.CombinedOutput()
	return string(out), err
}

func TestOthersReadTheCalendar(t *testing.T) {
	p, station := plan()
	p.Passes[1].Dates = "activity weekend; day 2, of two"
	out, err := readByOthers(t, Calendar(p, station, time.Date(2027, 4, 1, 0, 0, 0, 0, time.UTC)))
	if err != nil {
		t.Fatalf("%v:\n%s", err, out)
	}
	want := "moon-20270414-550200--29600@beamhelm|2027-04-14T10:54:03+00:00|2027-04-15T02:54:03+00:00|Moon, highest " +
		"54°, shared with Quarry Ridge, \"upper\"|1\n" +
		"moon-20270415-550200--29600@beamhelm|2027-04-15T11:54:03+00:00|2027-04-16T02:54:03+00:00|Moon, highest 49° " +
		"(activity weekend; day 2, of two)|1\n" +
		"True 2\n"
	if out != want {
		t.Errorf("read\n%s\nwant\n%s", out, want)
	}
}

// The readers are strict: what the standard forbids ends in an error.
func TestOthersRefuseWhatIsWrong(t *testing.T) {
	p, station := plan()
	right := string(Calendar(p, station, time.Date(2027, 4, 1, 0, 0, 0, 0, time.UTC)))
	for name, wrong := range map[string]string{
		"no end":       strings.TrimSuffix(right, "END:VCALENDAR\r\n"),
		"no stamp":     strings.ReplaceAll(right, "DTSTAMP:20270401T000000Z\r\n", ""),
		"a wrong time": strings.Replace(right, "DTSTART:20270414T105403Z", "DTSTART:20270414T995403Z", 1),
	} {
		if out, err := readByOthers(t, []byte(wrong)); err == nil {
			t.Errorf("%s: read as %s", name, out)
		}
	}
}

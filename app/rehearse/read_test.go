package rehearse

import (
	"strings"
	"testing"
)

func TestReadRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":                                  "no line 'end SECONDS'",
		"at 1 do fly\nend 2":                "x:1: do fly: no such action",
		"at 5 do stop\nat 3 do stop\nend 9": "x:2: time 3 goes back",
		"end 2\nat 3 do stop":               "x:2: nothing may follow end",
		"at nan do stop\nend 1":             "x:1: time nan",
		"at 1 expect speed < 3\nend 2":      "no such fact",
		"at 1 expect off < far\nend 2":      "must be a figure",
		"at 1 expect locked < yes\nend 2":   "must be =, has or lacks",
		"from yesterday\nend 1":             "x:1: from yesterday",
		"\n" + strings.Repeat("a", 70000):   "x:2: the line is too long",
		"hello\nend 1":                      "a line begins with",
		"beam 1 2\nend 1":                   "must be: beam azimuth",
		"at 1 do slew 1 inf\nend 2":         "inf: must be within",
	} {
		if _, err := Read("x", strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("title a\nfrom 2027-04-14T16:00:00Z\nseed 3\nat 1 do slew 10 -\nat 2 expect off < 0.1\nend 9")
	f.Add("dish bare\nclosed 100 140\npermit above 12\nenclosure without elevation\nat 1 computer late 0.9\nat 2 " +
		"computer window silent\nend 3\n")
	f.Add("\ufeffat 1 fault line spoilt 0.1\r\nend 2\r\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Read("x", strings.NewReader(text))
		if err != nil {
			return
		}
		for _, l := range s.Lines {
			if l.At > s.End && l.At < 0 {
				t.Fatalf("line %d at %v after the end %v", l.Number, l.At, s.End)
			}
		}
	})
}

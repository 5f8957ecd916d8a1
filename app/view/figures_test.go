package view

import (
	"math"
	"testing"
	"time"
)

func TestNumber(t *testing.T) {
	rows := []struct {
		name     string
		v        float64
		decimals int
		plain    string
		signed   string
	}{
		{"two decimals", 116.534, 2, "116.53", "+116.53"},
		{"a true minus", -0.06, 2, "−0.06", "−0.06"},
		{"nothing has no sign", 0, 2, "0.00", "0.00"},
		{"what rounds to nothing has none", -0.004, 2, "0.00", "0.00"},
		{"nor above nothing", 0.004, 2, "0.00", "0.00"},
		{"no decimals", -3.6, 0, "−4", "−4"},
		{"ten has a sign", 10, 0, "10", "+10"},
		{"unknown", math.NaN(), 2, Missing, Missing},
		{"without bounds", math.Inf(1), 2, Missing, Missing},
	}
	for _, row := range rows {
		if got := Number(row.v, row.decimals); got != row.plain {
			t.Errorf("%s: %q, want %q", row.name, got, row.plain)
		}
		if got := Signed(row.v, row.decimals); got != row.signed {
			t.Errorf("%s: signed %q, want %q", row.name, got, row.signed)
		}
	}
}

func TestSpan(t *testing.T) {
	rows := []struct {
		d    time.Duration
		want string
	}{
		{-time.Second, "0 s"}, {24 * time.Second, "24 s"}, {59900 * time.Millisecond, "59 s"},
		{time.Minute, "1 min"}, {3*time.Minute + 59*time.Second, "3 min"},
		{11*time.Hour + 12*time.Minute, "11 h 12 min"}, {5 * time.Hour, "5 h 00 min"},
		{72 * time.Hour, "3 days"},
	}
	for _, row := range rows {
		if got := Span(row.d); got != row.want {
			t.Errorf("%v: %q, want %q", row.d, got, row.want)
		}
	}
}

func TestMoment(t *testing.T) {
	now := time.Date(2027, 4, 14, 16, 4, 0, 0, time.UTC)
	rows := []struct {
		at   time.Time
		want string
	}{
		{now.Add(3 * time.Hour), "19:04"},
		{now.Add(8 * time.Hour), "00:04 tomorrow"},
		{now.Add(-17 * time.Hour), "23:04 yesterday"},
		{now.Add(48 * time.Hour), "16:04 on 16 Apr"},
		{now.In(time.FixedZone("elsewhere", 3600)), "16:04"},
	}
	for _, row := range rows {
		if got := Moment(row.at, now); got != row.want {
			t.Errorf("%v: %q, want %q", row.at, got, row.want)
		}
	}
}

func TestParse(t *testing.T) {
	const fails = -1000
	rows := []struct {
		name  string
		parse func(string) (float64, error)
		text  string
		want  float64
	}{
		{"a plain angle", angle(0, 360), "116.5", 116.5},
		{"with its sign and a degree sign", angle(-90, 90), "−12,5°", -12.5},
		{"too large", angle(0, 90), "95", fails},
		{"not a number", angle(0, 90), "nan", fails},
		{"no figure", angle(0, 90), "", fails},
		{"hours", parsedRA, "12 34 56.7", (12 + 34/60. + 56.7/3600) * 15},
		{"hours with marks", parsedRA, "12h34m56.7s", (12 + 34/60. + 56.7/3600) * 15},
		{"hours and minutes", parsedRA, "12:34.5", (12 + 34.5/60) * 15},
		{"degrees", parsedRA, "188.7", 188.7},
		{"24 hours", parsedRA, "24 00 00", fails},
		{"a negative hour", parsedRA, "-1 00 00", fails},
		{"sixty minutes", parsedRA, "12 60 00", fails},
		{"four parts", parsedRA, "1 2 3 4", fails},
		{"only marks", parsedRA, ": :", fails},
		{"decimals that are not last", parsedRA, "12.5 30", fails},
		{"a part that is not a number", parsedRA, "12 nan", fails},
		{"a declination", parsedDec, "+22 00 52", 22 + 52/3600.},
		{"less than one degree south", parsedDec, "−00 30 00", -0.5},
		{"degrees south", parsedDec, "-22.014", -22.014},
		{"past the pole", parsedDec, "90 00 01", fails},
	}
	for _, row := range rows {
		got, err := row.parse(row.text)
		if row.want == fails {
			if err == nil {
				t.Errorf("%s: %q gives %v, want an error", row.name, row.text, got)
			}
			continue
		}
		if err != nil || math.Abs(got-row.want) > 1e-9 {
			t.Errorf("%s: %q gives %v, %v, want %v", row.name, row.text, got, err, row.want)
		}
	}
}

func angle(minimum, maximum float64) func(string) (float64, error) {
	return func(text string) (float64, error) {
		a, err := ParseAngle(text, minimum, maximum)
		return a.Deg(), err
	}
}

func parsedRA(text string) (float64, error) {
	a, err := ParseRA(text)
	return a.Deg(), err
}

func parsedDec(text string) (float64, error) {
	a, err := ParseDec(text)
	return a.Deg(), err
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"", "12 34 56.7", "−00 30", "1e9", "::", "-", "nan", "°"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if ra, err := parsedRA(text); err == nil && !(ra >= 0 && ra <= 360) {
			t.Errorf("right ascension %q gives %v", text, ra)
		}
		if dec, err := parsedDec(text); err == nil && !(dec >= -90 && dec <= 90) {
			t.Errorf("declination %q gives %v", text, dec)
		}
	})
}

//go:build planted

package endtoend

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/desk/measuring"
	"beamhelm/app/lastsession"
	"beamhelm/app/settings"
	"beamhelm/app/settings/kept"
	"beamhelm/drive/guard"
	"beamhelm/drive/mount"
)

// sillyNumbers are put in place of each number in the settings, and what must be refused of them.
var sillyNumbers = []struct {
	words   string
	refused bool
}{
	{"nan", true}, {"inf", true}, {"-inf", true}, {"1e308", true}, {"-1e308", true}, {"99999999999999999999", true},
	{`""`, true}, {`"1"`, true}, {"[]", true},
	{"-1", false}, {"0", false}, {"1e-300", false},
}

var number = regexp.MustCompile(`^(\w+) = (-?[0-9][0-9.e+-]*)(\s*#.*)?$`)

// numbersIn are the lines of a settings file that hold a number.
func numbersIn(text string) (lines []int) {
	for i, line := range strings.Split(text, "\n") {
		if number.MatchString(line) {
			lines = append(lines, i)
		}
	}
	return lines
}

// sillySettings is a settings file with one number spoilt.
func sillySettings(text string, line int, words string) string {
	lines := strings.Split(text, "\n")
	lines[line] = number.ReplaceAllString(lines[line], "$1 = "+words)
	return strings.Join(lines, "\n")
}

func settingsText() string {
	return string(settings.Practice().Text())
}

// settingsAttacks are numbers and texts that no station has.
func settingsAttacks() attacks {
	count := len(numbersIn(settingsText()))
	return attacks{
		short: "settings", kind: "every number in the settings as NaN, infinite, 1e308, negative, a word, a list; " +
			"names that a terminal obeys; what is beside the dish all wrong",
		holds: "a line that names the key or its line, or it works with it; a wrong camera, broker, meter, sound or " +
			"time source keeps nothing from starting, and `settings check` tells all",
		rows: []attack{
			{name: "numbers, a part", short: true, tries: 3 * ((count + 19) / 20),
				try: func(t *testing.T) { spoilNumbers(t, 20, "nan", "1e308", "-1") }},
			{name: "numbers", tries: count * len(sillyNumbers), try: func(t *testing.T) { spoilNumbers(t, 1) }},
			{name: "names", tries: len(sillyNames), try: spoilNames},
			{name: "beside the dish", short: true, try: wrongBeside},
		},
	}
}

// spoilNumbers spoils every so-manieth number, with these words or all.
func spoilNumbers(t *testing.T, every int, words ...string) {
	text, home := settingsText(), t.TempDir()
	file := filepath.Join(home, "settings.toml")
	for i, line := range numbersIn(text) {
		if i%every != 0 {
			continue
		}
		key := number.FindStringSubmatch(strings.Split(text, "\n")[line])[1]
		for _, silly := range sillyNumbers {
			if len(words) > 0 && !strings.Contains(" "+strings.Join(words, " ")+" ", " "+silly.words+" ") {
				continue
			}
			if err := os.WriteFile(file, []byte(sillySettings(text, line, silly.words)), 0o600); err != nil {
				t.Fatal(err)
			}
			p := start(t, home, "settings", "check", file)
			status, said := p.code(t, 20*time.Second), p.output.String()
			switch {
			case strings.Contains(said, "panic") || status > 1:
				t.Errorf("%s = %s: status %d: %s", key, silly.words, status, said)
			case silly.refused && status == 0:
				t.Errorf("%s = %s is taken", key, silly.words)
			case len(said) > 4096:
				t.Errorf("%s = %s: it says %d bytes", key, silly.words, len(said))
			case silly.refused && !strings.Contains(said, key) && !strings.Contains(said, fmt.Sprintf(":%d:", line+1)):
				t.Errorf("%s = %s: it says %s", key, silly.words, said)
			}
		}
	}
}

var sillyNames = []string{"\x1b[2J", "a\u202eb", "\u2066x\u2069", "a\x00b", "a\nb", strings.Repeat("x", 1<<20)}

func spoilNames(t *testing.T) {
	home := privateFolder(t)
	file := filepath.Join(home, "settings.toml")
	for _, name := range sillyNames {
		text := strings.Replace(settingsText(), `"Cold Harbour Field"`, tomlString(name), 1)
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		p := start(t, home, "settings", "check", file)
		status, said := p.code(t, 20*time.Second), p.output.String()
		if status != 1 || strings.Contains(said, "panic") || strings.ContainsFunc(said, obeyed) || len(said) > 4096 {
			t.Errorf("%.40q: status %d: %.400q", name, status, said)
		}
	}
}

// wrongBeside: nothing beside the dish is a condition for starting.
func wrongBeside(t *testing.T) {
	home := privateFolder(t)
	none := filepath.Join(home, "none")
	u, e, _ := openAttacked(t, home, atFullSlew, func(s *settings.Settings) {
		s.Camera.URL, s.Camera.User, s.Camera.PasswordFile = "dish.local", "dish", none
		s.Publish.Broker, s.Publish.CAFile, s.Publish.User, s.Publish.PasswordFile = "http://x", none, "dish", none
		s.Publish.MetricsHost, s.Publish.MetricsPort = "192.0.2.1", 9 // not of this computer: RFC 5737
		s.Meter.Source, s.Meter.Port = settings.FromAudio, none
		s.Sound.Alarms, s.Sound.Player = true, none
		s.Clock.TimeSource = "none.invalid"
	})
	u.awaitStatus(10*time.Second, "a word about the camera", func(s status) bool { return s.says("No camera") })
	u.stops(e)
	u.endsInOrder()
	check := start(t, home, "settings", "check", filepath.Join(home, "settings.toml"))
	if status := check.code(t, 20*time.Second); status != 1 {
		t.Errorf("status %d", status)
	}
	for _, key := range []string{"camera.url", "camera.password_file", "publish.ca_file", "broker",
		"publish.password_file"} {
		if !strings.Contains(check.output.String(), key) {
			t.Errorf("settings check doesn't tell of %s: %s", key, check.output.String())
		}
	}
}

// clockAttacks are dates that nobody lives to see.
func clockAttacks() attacks {
	all := attacks{
		short: "clock",
		kind:  "dates of the years 1, 1900, 1969, 2262 and 9999: the sky of practice, kept files, the command line",
		holds: "it runs, or refuses with a line; what is kept with such a date ends the reference or is set aside; " +
			"nothing panics",
	}
	for _, at := range []string{"0001-01-01T00:00:00Z", "1900-01-01T00:00:00Z", "1969-12-31T23:59:59Z",
		"2262-04-12T00:00:00Z", "9999-12-31T23:59:59Z"} {
		all.rows = append(all.rows,
			attack{name: "practice in " + at[:4], try: func(t *testing.T) { practiseAt(t, at) }},
			attack{name: "kept in " + at[:4], short: at[0] == '9', try: func(t *testing.T) { keptAt(t, at) }},
			attack{name: "commands in " + at[:4], tries: 3, try: func(t *testing.T) { commandsAt(t, at) }},
		)
	}
	return all
}

func practiseAt(t *testing.T, at string) {
	u := openUnattendedAs(t, privateFolder(t), nil, "-practice", "-from", at)
	u.awaitStatus(20*time.Second, "a good link", func(s status) bool { return s.Link == desk.LinkGood })
	for _, words := range []string{"power", "track", "hold", "slew 100 40"} {
		u.order(words)
		before := u.status().Number
		u.awaitStatus(10*time.Second, "a second's statuses", func(s status) bool { return s.Number > before+10 })
	}
	u.endsInOrder()
}

// keptAt starts the program upon what sessions of that date kept: one whose note belongs to its references, so that
// they are read and judged, and one whose note doesn't.
func keptAt(t *testing.T, words string) {
	at, err := time.Parse(time.RFC3339, words)
	if err != nil {
		t.Fatal(err)
	}
	for _, referenced := range [][2]int64{{at.UnixNano(), at.UnixNano()}, {math.MinInt64, math.MaxInt64}} {
		home := privateFolder(t)
		store := kept.Store{Folder: storeOf(t, home, filepath.Join(home, "settings.toml"))}
		reference := keptReference(t, at)
		for name, value := range map[string]any{
			"last-session": lastsession.Note{Ended: true, At: at, Axis: guard.NoAxis, Referenced: referenced},
			"references":   []any{reference, reference},
			"receiver": measuring.KeptReceiver{Confirmed: at, Results: []measuring.ReceiverResult{{At: at}},
				Dips: []measuring.DipResult{{At: at}}},
			"hearing": map[string]any{"cold": []measuring.ColdSky{{At: at}}, "average_ms": -1},
		} {
			if err := store.Write(name, value); err != nil {
				t.Fatal(err)
			}
		}
		u, e, _ := openAttacked(t, home, atRest)
		if s := u.status(); s.Link != desk.LinkGood {
			t.Errorf("%+v", s)
		}
		if said := u.output.String(); strings.Contains(said, "kept ") {
			t.Errorf("what was to be read was set aside: %s", said)
		}
		e.stays(t, time.Now(), time.Second, shutDown)
		u.order("slew 100 40") // refused: no axis is referenced
		e.stays(t, time.Now(), 2*time.Second, func(l truthLine) bool { return !l.driven() })
		u.endsInOrder()
	}
}

// keptReference is a reference as it is kept, of a date that the program itself could not have and with counts at the
// ends of their range.
func keptReference(t *testing.T, at time.Time) map[string]any {
	t.Helper()
	reference := map[string]any{"counts": math.MaxInt32, "angle_deg": 3600, "start_counter": 1,
		"last_counts": math.MinInt32, "found": mount.ByHand.String(), "at": at}
	text, err := json.Marshal(mount.Reference{})
	if err != nil {
		t.Fatal(err)
	}
	var real map[string]any
	if err := json.Unmarshal(text, &real); err != nil {
		t.Fatal(err)
	}
	if got, want := slices.Sorted(maps.Keys(reference)), slices.Sorted(maps.Keys(real)); !slices.Equal(got, want) {
		t.Fatalf("a reference is kept with %q, the attack writes %q", want, got)
	}
	return reference
}

func commandsAt(t *testing.T, at string) {
	home := privateFolder(t)
	place := []string{"-target", "Moon", "-lat", "50", "-lon", "0", "-height", "0"}
	for _, arguments := range [][]string{
		append([]string{"place", "-at", at}, place...),
		append([]string{"passes", "-from", at, "-to", "9999-12-31T23:59:59Z"}, place...),
		{"records", "export", "-practice", "-from", at, "-to", at, "events"},
	} {
		p := start(t, home, arguments...)
		if status, said := p.code(t, 30*time.Second),
			p.output.String(); status > 2 || strings.Contains(said, "panic") ||
			said == "" {
			t.Errorf("%v: status %d: %.1000s", arguments, status, said)
		}
	}
}

// tomlString is words as a basic string of TOML.
func tomlString(words string) string {
	var b strings.Builder
	for _, r := range words {
		fmt.Fprintf(&b, "\\U%08X", r)
	}
	return `"` + b.String() + `"`
}

package settings

import (
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func entry(d *Draft, key string) Entry {
	for _, e := range d.Entries() {
		if e.Key == key {
			return e
		}
	}
	return Entry{}
}

func TestDraftTakesWhatIsTyped(t *testing.T) {
	for _, c := range []struct{ key, typed, written, wrong string }{
		{"station.name", "Hill Farm", "Hill Farm", ""},
		{"station.latitude_deg", "51.5", "51.5", ""},
		{"station.latitude_deg", " 51,5 ", "51.5", ""},
		{"station.latitude_deg", "95", "95", "95 is out of range; must be -90 to 90 degrees"},
		{"station.latitude_deg", "north", "north", `"north" can't be read; must be -90 to 90 degrees`},
		{"station.latitude_deg", "", "", "can't be read"},
		{"station.latitude_deg", "1\nx = 2", "1\nx = 2", "can't be read"},
		{"dish.finish", "bare", "bare", ""},
		{"dish.finish", "shiny", "shiny", "not one of them"},
		{"link.baud", "38400", "38400", ""},
		{"link.baud", "38401", "38401", "not one of them"},
		{"wind.stow", "false", "false", ""},
		{"wind.stow", "perhaps", "perhaps", "can't be read"},
		{"bands[1].mhz", "10368", "10368", ""},
		{"bands[0].feeds[0].squint_elevation_deg", "-0.2", "-0.2", ""},
		{"axes.azimuth.switch_over_deg", "1, 2.5", "[1, 2.5]", ""},
		{"horizon.points", "[0, 2], [180, 4]", "[[0, 2], [180, 4]]", ""},
		{"readings.battery_v.alarm_low", "11", "11", ""},
		{"readings.battery_v.alarm_low", "", "", ""},
		{"readings.battery_v.alarm_low", "9999", "9999", "out of range"},
		{"nothing.at_all", "1", "", "no such key"},
		{"bands[9].mhz", "1", "", "no such key"},
	} {
		d := NewDraft(Practice())
		wrong := d.Set(c.key, c.typed)
		if (wrong == "") != (c.wrong == "") || !strings.Contains(wrong, c.wrong) {
			t.Errorf("%s = %q: %q, want %q", c.key, c.typed, wrong, c.wrong)
		}
		if e := entry(d, c.key); e.Written != c.written && e.Key != "" {
			t.Errorf("%s = %q: written %q, want %q", c.key, c.typed, e.Written, c.written)
		}
		if c.wrong != "" && len(d.Changes()) > 0 {
			t.Errorf("%s = %q changes %v", c.key, c.typed, d.Changes())
		}
		if c.wrong != "" && entry(d, c.key).Key != "" && len(d.Faults()) == 0 {
			t.Errorf("%s = %q could be saved", c.key, c.typed)
		}
	}
}

func TestDraftUndoAndChanges(t *testing.T) {
	original := Practice()
	d := NewDraft(original)
	d.Set("station.height_m", "250")
	d.Set("bands[0].mhz", "1297")
	if got := d.Changes(); len(got) != 2 || got[0] != (Change{
		"station.height_m", entry(NewDraft(original), "station.height_m").Written, "250"}) {
		t.Errorf("%v", got)
	}
	d.Set("station.height_m", "high")
	if !d.Undo() || len(d.Faults()) != 0 || len(d.Changes()) != 2 {
		t.Errorf("what was typed wrong is undone first: %v", d.Faults())
	}
	steps := 0
	for d.Undo() {
		steps++
	}
	if steps != 2 {
		t.Errorf("two changes are undone in %d steps", steps)
	}
	if !reflect.DeepEqual(copied(original), d.Settings()) {
		t.Error("after all is undone it is what it was")
	}
}

// typing sets a key letter by letter, as somebody at the keyboard does.
func typing(d *Draft, key, words string) {
	for i := range words {
		d.Set(key, words[:i+1])
	}
	d.Settle()
}

// What is typed on the way to something wrong was never meant: after Undo the old value stands, not the 9 of 91.
func TestDraftGivesUpTheWayToWhatIsWrong(t *testing.T) {
	for key, typed := range map[string]string{"station.latitude_deg": "91", "station.longitude_deg": "1e9",
		"station.name": strings.Repeat("x", 90), "station.call_sign": "aa1!!", "clock.time_source": "a b c ; rm"} {
		d := NewDraft(Practice())
		old := entry(d, key).Written
		typing(d, key, typed)
		if e := entry(d, key); e.Written != typed || e.Wrong == "" || len(d.Faults()) == 0 {
			t.Errorf("%s = %q: %q, wrong %q", key, typed, e.Written, e.Wrong)
		}
		typing(d, "station.height_m", "250")
		if e := entry(d, key); e.Written != typed || e.Wrong == "" {
			t.Errorf("%s = %q, after another key: %q, wrong %q", key, typed, e.Written, e.Wrong)
		}
		d.Undo()
		if e := entry(d, key); e.Written != old || e.Wrong != "" {
			t.Errorf("%s = %q, undone: %q, wrong %q, was %q", key, typed, e.Written, e.Wrong, old)
		}
	}
}

// A value that was typed and left is kept as what a later wrong one goes back to.
func TestDraftGoesBackToWhatWasLeft(t *testing.T) {
	d := NewDraft(Practice())
	typing(d, "station.latitude_deg", "50")
	typing(d, "station.latitude_deg", "91")
	d.Undo()
	if got := entry(d, "station.latitude_deg").Written; got != "50" {
		t.Errorf("%s", got)
	}
	typing(d, "structures[0].min_elevation_deg", "900")
	d.Add("closed_sectors")
	if wrong := d.Remove("closed_sectors[0]"); wrong != "" || len(d.Faults()) == 0 {
		t.Errorf("a member of one list taken away lets pass what is wrong in another: %q", wrong)
	}
	d.Remove("structures[0]")
	if len(d.Faults()) != 0 {
		t.Errorf("what went stays wrong: %v", d.Faults())
	}
}

// Host names after RFC 952 and RFC 1123, addresses after RFC 4291 (from memory).
func TestFormsOfTexts(t *testing.T) {
	for words, fine := range map[string]bool{"ntp.example.org": true, "ntp.example.org:123": true, "192.0.2.1": true,
		"192.0.2.1:123": true, "2001:db8::1": true, "[2001:db8::1]:123": true, "gps-clock": true,
		"gps_clock.lan.": true,
		"a b":            false, "a;rm": false, "-a": false, "a..b": false, "a:0": false, "a:99999": false,
		"a:b":                   false,
		strings.Repeat("a", 64): false, "http://a": false} {
		if got := Host.holds(words); got != fine {
			t.Errorf("host %q: %v", words, got)
		}
	}
	for words, fine := range map[string]bool{"G0ABC/P": true, "aa1": true, "aa1!!": false, "A B": false, "Ä1A": false} {
		if got := CallSign.holds(words); got != fine {
			t.Errorf("call sign %q: %v", words, got)
		}
	}
}

func TestDraftLists(t *testing.T) {
	d := NewDraft(Practice())
	n := len(d.Settings().Structures)
	if wrong := d.Add("structures"); wrong != "" {
		t.Fatal(wrong)
	}
	if s := d.Settings(); len(s.Structures) != n+1 {
		t.Errorf("%d structures", len(s.Structures))
	}
	if wrong := d.Add("bands[0].feeds"); wrong != "" || len(d.Settings().Bands[0].Feeds) != 2 ||
		len(d.Settings().Bands[1].Feeds) != 1 {
		t.Errorf("%q, %+v", wrong, d.Settings().Bands)
	}
	if wrong := d.Remove("bands[0].feeds[1]"); wrong != "" || len(d.Settings().Bands[0].Feeds) != 1 {
		t.Errorf("%q", wrong)
	}
	for range 100 {
		d.Add("structures")
	}
	if got := len(d.Settings().Structures); got != MaxStructures {
		t.Errorf("%d structures, the most is %d", got, MaxStructures)
	}
	for _, member := range []string{"structures[99]", "structures", "station[0]", "structures[-1]", "[", "x[0]"} {
		if d.Remove(member) == "" {
			t.Errorf("%s was removed", member)
		}
	}
	if d.Add("station") == "" || d.Add("horizon.points") == "" || d.Add("nothing") == "" {
		t.Error("what is not a list was added to")
	}
}

// Whatever is typed, nothing that the file couldn't say gets in, and what is
// free of faults reads back as it is.
func TestDraftStaysReadable(t *testing.T) {
	keys := []string{}
	for _, e := range NewDraft(Practice()).Entries() {
		keys = append(keys, e.Key)
	}
	rapid.Check(t, func(t *rapid.T) {
		d := NewDraft(Practice())
		for range rapid.IntRange(1, 6).Draw(t, "times") {
			key := rapid.SampledFrom(keys).Draw(t, "key")
			typed := rapid.OneOf(rapid.String(), rapid.SampledFrom(
				[]string{"1", "-3", "0.5", "true", "[]", "NaN", "inf", "1e400", "[1,2]", "\"x\"", "#", "even",
					""})).Draw(t, "typed")
			d.Set(key, typed)
		}
		if len(d.Faults()) > 0 {
			return
		}
		s := d.Settings()
		again, err := Parse("draft.toml", s.Text())
		if err != nil {
			t.Fatalf("%v", err)
		}
		if a, b := string(again.Text()), string(s.Text()); a != b {
			t.Fatalf("it reads back as another:\n%s\n%s", a, b)
		}
	})
}

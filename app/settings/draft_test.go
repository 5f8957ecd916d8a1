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

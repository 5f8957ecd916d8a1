package main

import (
	"context"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/adrg/xdg"

	"beamhelm/app/journal"
	"beamhelm/app/panel"
	"beamhelm/app/settings"
	"beamhelm/app/settings/kept"
)

// brokenSettings is a settings file that can't be used; records, where there are any, say what was in force before.
func brokenSettings(t *testing.T, records bool) string {
	t.Helper()
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	xdg.Reload()
	t.Cleanup(xdg.Reload)
	path := filepath.Join(t.TempDir(), "dish.toml")
	if err := os.WriteFile(path, []byte("version = 1\nstation = 3\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if !records {
		return path
	}
	store, err := kept.UsualStore(settings.Source{Path: path})
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	j, err := journal.New(journal.Config{Path: filepath.Join(store.Folder, journal.FileName), Station: "x",
		Version: "1",
		Began:   at})
	if err != nil {
		t.Fatal(err)
	}
	older, newer := settings.Practice(), settings.Practice()
	newer.Station.Name = "Newer Field"
	j.Settings(at, "The settings in force", string(older.Text()))
	j.Settings(at.Add(time.Hour), "The settings in force", string(newer.Text()))
	ctx, end := context.WithCancel(context.Background())
	end()
	j.Run(ctx)
	return path
}

// The settings that were last in force stand in for a broken file only where the operator has chosen so.
func TestLastGoodSettingsStandIn(t *testing.T) {
	path := brokenSettings(t, true)
	o := options{settings: path, named: true}
	if _, _, err := load(o); err == nil {
		t.Error("a broken file is used")
	} else if unusable, is := errors.AsType[unusableError](err); !is || unusable.path != path ||
		!strings.Contains(whyNot(err), "dish.toml:2: station") {
		t.Errorf("%v", err)
	}
	o.recorded = true
	s, source, err := load(o)
	if err != nil || s.Station.Name != "Newer Field" || source.Path != path || source.Practice ||
		!source.Recorded.Equal(time.Date(2027, 4, 14, 17, 0, 0, 0, time.UTC)) {
		t.Errorf("%q, %+v, %v", s.Station.Name, source, err)
	}
	mended := settings.Practice()
	mended.Station.Name = "Mended Field"
	if err := os.WriteFile(path, mended.Text(), 0o600); err != nil {
		t.Fatal(err)
	}
	if s, source, err := load(o); err != nil || s.Station.Name != "Mended Field" || !source.Recorded.IsZero() {
		t.Errorf("the mended file isn't used: %q, %+v, %v", s.Station.Name, source, err)
	}
}

// asked takes down what the desktop is to open.
type asked struct {
	what string
	err  error
}

func (a *asked) OpenURL(u *url.URL) error {
	a.what = u.String()
	return a.err
}

// A broken file offers ways on; the last good settings only where the records have them.
func TestWaysOnFromABrokenFile(t *testing.T) {
	for _, row := range []struct {
		records bool
		opens   error
		names   string
		opened  string
	}{
		{true, nil, "refusal-open refusal-last-good refusal-practice", "was asked to open "},
		{false, errors.New("no program"), "refusal-open refusal-practice", "Nothing here opens"},
	} {
		path := brokenSettings(t, row.records)
		_, _, err := load(options{settings: path, named: true})
		desktop, anew := &asked{err: row.opens}, []string(nil)
		ways := waysOn(err, []string{"beamhelm", "-settings", path}, desktop, func(args []string) { anew = args })
		var names []string
		act := map[string]panel.Way{}
		for _, w := range ways {
			names = append(names, w.Name)
			act[w.Name] = w
		}
		if got := strings.Join(names, " "); got != row.names {
			t.Fatalf("%q, want %q", got, row.names)
		}
		if told := act["refusal-open"].Act(); !strings.Contains(told, row.opened) || !strings.Contains(told, path) ||
			desktop.what != "file://"+path {
			t.Errorf("%q, opened %q", told, desktop.what)
		}
		if row.records {
			if told := act["refusal-last-good"].Act(); told != "" ||
				strings.Join(anew, " ") != "beamhelm -settings "+path+" -recorded-settings" {
				t.Errorf("%q, %q", told, anew)
			}
		}
		act["refusal-practice"].Act()
		if got := strings.Join(anew, " "); got != "beamhelm -practice -back-to "+path {
			t.Errorf("%q", got)
		}
	}
	if ways := waysOn(errors.New("another panel runs"), nil, &asked{}, nil); len(ways) > 0 {
		t.Errorf("%d ways on from what isn't the settings", len(ways))
	}
}

package panel

import (
	"context"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"beamhelm/app/audio"
	"beamhelm/app/commission"
	"beamhelm/app/desk"
	"beamhelm/app/panel/help"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/setup"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/settings"
	"beamhelm/app/view"
	"beamhelm/ephem/sked"
)

// slowKeeper is a Set-up whose answers come when the gate opens.
type slowKeeper struct {
	gate     chan struct{}
	saved    int
	restarts int
}

func (k *slowKeeper) wait() {
	if k.gate != nil {
		<-k.gate
	}
}
func (k *slowKeeper) Settings() settings.Settings { return settings.Practice() }
func (k *slowKeeper) Where() (string, bool)       { return "/home/x/settings.toml", true }
func (k *slowKeeper) Save(offwindow.Context, settings.Settings) error {
	k.saved++
	return nil
}
func (k *slowKeeper) Restart() { k.restarts++ }
func (k *slowKeeper) Firmware(offwindow.Context, setup.Board, func(string, int)) (string, error) {
	return "written", nil
}
func (k *slowKeeper) Ports(offwindow.Context) []setup.Port {
	k.wait()
	return []setup.Port{{Path: "/dev/ttyUSB0", Words: "an adapter"}, {Path: "/dev/ttyUSB1", Words: "another"}}
}
func (k *slowKeeper) Look(offwindow.Context, settings.Link) setup.LookResult {
	k.wait()
	return setup.LookResult{Lines: []string{"register map 1"}, Words: make([]uint16, 64), Known: make([]bool, 64)}
}
func (k *slowKeeper) Audio() setup.Audio { return k }
func (k *slowKeeper) Choose(string)      {}
func (k *slowKeeper) Listen()            {}
func (k *slowKeeper) Blocked() string    { return "" }
func (k *slowKeeper) Go()                { k.restarts++ }
func (k *slowKeeper) Inputs(context.Context) ([]audio.Device, error) {
	k.wait()
	return []audio.Device{{ID: "usb", Name: "USB"}, {ID: "line", Name: "Line in"}}, nil
}

func (k *slowKeeper) Outputs(context.Context) ([]audio.Device, error) {
	k.wait()
	return []audio.Device{{ID: "usb", Name: "USB"}, {ID: "line", Name: "Line out"}}, nil
}
func (k *slowKeeper) TestTone(context.Context, string) error { k.wait(); return nil }

// Status and Tape are of a receiver that is silent.
func (k *slowKeeper) Status() audio.InputStatus { return audio.InputStatus{} }
func (k *slowKeeper) Tape() *audio.Tape         { return &audio.Tape{} }

func (k *slowKeeper) SunYear(offwindow.Context, settings.Settings) []string {
	k.wait()
	return []string{"never"}
}

// whole is a window that has everything.
type whole struct {
	*Window
	t      *testing.T
	desk   *stage.Desk
	keeper *slowKeeper
	notes  *fakeNotes
	log    *fakeLog
}

func openWhole(t *testing.T, change func(*desk.Status)) *whole {
	t.Helper()
	status := stage.Tracking()
	change(&status)
	h := &whole{t: t, desk: stage.New(status), keeper: &slowKeeper{}, notes: &fakeNotes{}, log: &fakeLog{}}
	h.Window = New(test.NewTempApp(t), h.desk, Config{Faults: &fakeFaults{}, Setup: h.keeper, Audio: h.keeper,
		Notes: h.notes, Log: h.log,
		Practice: h.keeper, Handbook: []help.Page{{Title: "A"}, {Title: "B"}}})
	t.Cleanup(h.window.Close)
	h.window.Resize(minimum)
	h.show(view.At(h.desk.Status(), 10, 0))
	return h
}

// top is the name of the sheet or list that was opened last; empty for none.
func (h *whole) top() (name string) {
	widget.Walk(h.with.Open.Object(), func(o fyne.CanvasObject) {
		if s, is := o.(*widget.Sheet); is {
			name = s.ControlName()
		}
	})
	return name
}

// settle does something and waits for what it has done beside the window's goroutine.
func (h *whole) settle(do func()) {
	synctest.Test(h.t, func(*testing.T) {
		do()
		synctest.Wait()
	})
}

// way is how a sheet is come to: a pane by its title, and what is pressed there one after another.
type way struct {
	pane    string
	presses []string
}

// bring presses all but the last of a way.
func (h *whole) bring(by way) {
	h.t.Helper()
	h.with.Open.Close()
	h.right.chooseTitle(by.pane)
	h.show(view.At(h.desk.Status(), 10, 0))
	for _, name := range by.presses[:len(by.presses)-1] {
		h.press(name)
	}
}

// press presses a control as somebody with the keyboard would who had gone to it.
func (h *whole) press(name string) {
	h.t.Helper()
	pressed := false
	h.settle(func() { pressed = h.openBy(name) })
	if pressed {
		return
	}
	state := "isn't there"
	for _, placed := range widget.Inventory(h.parts) {
		if placed.Name == name {
			state = fmt.Sprintf("is there, enabled %v", placed.Enabled)
		}
	}
	h.t.Fatalf("%s can't be pressed: it %s", name, state)
}

// openBy presses a control, or a letter.
func (h *whole) openBy(name string) bool {
	if len(name) > 1 {
		return h.Press(name)
	}
	h.keys.letter(rune(name[0]))
	return true
}

// ways are how every sheet and list is come to.
func ways() map[string]way {
	to := func(pane string, presses ...string) way { return way{pane, presses} }
	return map[string]way{
		"agreed-dialog":            to("Echo", "echo-agreed"),
		"alarms-dialog":            to("Health", "worst-alarm"),
		"arm-list":                 to("Plan", "plan-arm"),
		"band-list":                to("Health", "band-select"),
		"budget-dialog":            to("Echo", "echo-budget"),
		"check-dialog":             to("Health", "check-open"),
		"colours-menu":             to("Set-up", "setup-chapter", "setup-partners-and-the-window", "setup-colours"),
		"commission-anew-dialog":   to("Commissioning", "commission-anew"),
		"commission-dialog":        to("Commissioning", "commission-step", "commission-step-1", "commission-leave"),
		"commission-report-dialog": to("Commissioning", "commission-step", "commission-step-10", "commission-report"),
		"commission-steps":         to("Commissioning", "commission-step"),
		"contact-dialog":           to("Health", "view-menu-button", "contact"),
		"convention-list":          to("Echo", "convention-select"),
		"dates-dialog":             to("Plan", "plan-dates"),
		"dip-dialog":               to("Noise", "receiver-measure", "measure-dip"),
		"faults":                   to("Health", "practice"),
		"feed-list":                to("Health", "feed-select"),
		"firmware-dialog":          to("Set-up", "setup-chapter", "setup-link-to-the-enclosure", "setup-firmware"),
		"firmware-port-list": to("Set-up", "setup-chapter", "setup-link-to-the-enclosure", "setup-firmware",
			"firmware-ports"),
		"flux-dialog":             to("Noise", "solar-flux"),
		"help-pages":              to("Handbook", "help-page"),
		"history-dialog":          to("Noise", "receiver-history"),
		"in-full-dialog":          to("Health", "station-in-full"),
		"keys-dialog":             to("Health", "view-menu-button", "keys"),
		"log-dialog":              to("Health", "view-menu-button", "contact", "contact-export"),
		"measure-menu":            to("Noise", "receiver-measure"),
		"modes-list":              to("Health", "period-select", "periods-mode"),
		"noise-span-menu":         to("Health", "noise-span"),
		"note-dialog":             to("Health", "n"),
		"observation-list":        to("Survey", "survey-observations"),
		"own-echo-dialog":         to("Echo", "echo-own"),
		"own-echo-history-dialog": to("Echo", "echo-own", "own-echo-history"),
		"partner-list":            to("Echo", "partner-select"),
		"partners-dialog":         to("Echo", "partner-select", "partners-edit"),
		"place-dialog":            to("Health", "place-button"),
		"place-list":              to("Health", "place-button", "place-saved"),
		"plan-dialog":             to("Plan", "plan-export"),
		"plan-with-list":          to("Plan", "plan-with"),
		"plan-target-list":        to("Plan", "plan-target"),
		"position-dialog":         to("Health", "reference-button", "reference-beam"),
		"practice-dialog":         to("Health", "view-menu-button", "practice-switch"),
		"reading-dialog":          to("Health", "health-list"),
		"records-earlier":         to("Records", "records-comparison"),
		"records-groups":          to("Records", "records-reading-1"),
		"records-kinds":           to("Records", "records-sift"),
		"records-readings":        to("Records", "records-reading-1", "records-group-pointing-and-link"),
		"reference-dialog":        to("Health", "reference-button"),
		"rounds-dialog":           to("Survey", "survey-rounds"),
		"scale-menu":              to("Health", "view-menu-button", "scale"),
		"setup-chapters":          to("Set-up", "setup-chapter"),
		"setup-choices":           to("Set-up", "setup-chapter", "setup-link-to-the-enclosure", "setup-link.parity"),
		"setup-dialog": to("Set-up", "setup-chapter", "setup-horizon-and-structures", "setup-horizon-here",
			"setup-save"),
		"setup-input-list":  to("Set-up", "setup-chapter", "setup-receiver-audio", "setup-inputs"),
		"setup-look-dialog": to("Set-up", "setup-chapter", "setup-link-to-the-enclosure", "setup-look"),
		"setup-output-list": to("Set-up", "setup-chapter", "setup-radio", "setup-outputs"),
		"setup-port-list":   to("Set-up", "setup-chapter", "setup-link-to-the-enclosure", "setup-ports"),
		"setup-sun-dialog":  to("Set-up", "setup-chapter", "setup-park-and-stow", "setup-sun-year"),
		"sked-length-list":  to("Plan", "plan-sked-length"),
		"sked-list":         to("Plan", "plan-sked-all"),
		"source-list":       to("Health", "source-select"),
		"spectrum-averages": to("Spectrum", "spectrum-average"),
		"spectrum-dialog":   to("Spectrum", "spectrum-save"),
		"spectrum-levels":   to("Spectrum", "spectrum-level"),
		"spectrum-spans":    to("Spectrum", "spectrum-span"),
		"stow-menu":         to("Health", "stow"),
		"survey-dialog":     to("Survey", "survey-new"),
		"trims-dialog":      to("Noise", "trims-list"),
		"period-dialog":     to("Health", "period-select", "periods-other"),
		"periods-list":      to("Health", "period-select"),
		"view-menu":         to("Health", "view-menu-button"),
	}
}

var (
	sheetCalls = regexp.MustCompile(`\.Show(?:Sheet|Items|Searched)\(([^,]+),`)
	saveCalls  = regexp.MustCompile(`save\.Ask\([^,]+, "([^"]+)"`)
)

// sheetsInTheCode are the names of all sheets and lists that the sources of the window open.
func sheetsInTheCode(t *testing.T) (names []string) {
	t.Helper()
	err := filepath.WalkDir(".", func(path string, entry os.DirEntry, err error) error {
		if err != nil || entry.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		for _, call := range sheetCalls.FindAllSubmatch(text, -1) {
			name := string(call[1])
			switch {
			case name == `pane+"-dialog"` && path == "save/save.go": // named by those who ask
			case strings.HasPrefix(name, `"`) && strings.Count(name, `"`) == 2:
				names = append(names, strings.Trim(name, `"`))
			default:
				t.Errorf("%s: %s is no name that this test can find: give a new sheet a name of its own, or a row here",
					path, name)
			}
		}
		for _, call := range saveCalls.FindAllSubmatch(text, -1) {
			names = append(names, string(call[1])+"-dialog")
		}
		return err
	})
	if err != nil || len(names) < 40 {
		t.Fatalf("%d sheets: %v", len(names), err)
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// typeAhead types what a hasty hand may type: letters, digits, arrows, chords, the same key once more.
func (h *whole) typeAhead() {
	on := h.window.Canvas()
	key := func(name fyne.KeyName) {
		event := &fyne.KeyEvent{Name: name}
		if keyable, is := on.Focused().(desktop.Keyable); is {
			keyable.KeyDown(event)
		} else if on.Focused() == nil {
			h.keys.down(event)
		}
		if focused := on.Focused(); focused != nil {
			focused.TypedKey(event)
		} else {
			h.keys.typed(event)
		}
		if keyable, is := on.Focused().(desktop.Keyable); is {
			keyable.KeyUp(event)
		} else if on.Focused() == nil {
			h.keys.up(event)
		}
	}
	for _, name := range []fyne.KeyName{fyne.KeyT, fyne.KeyH, fyne.KeyB, fyne.KeyO, fyne.KeyP, fyne.KeyHome,
		fyne.KeyEnd, fyne.KeyK} {
		chord(h.Window, name)
	}
	for _, letter := range "thbopain1234 T" {
		if focused := on.Focused(); focused != nil {
			focused.TypedRune(letter)
		} else {
			h.keys.letter(letter)
		}
	}
	for _, name := range []fyne.KeyName{fyne.KeyLeft, fyne.KeyRight, fyne.KeySpace} {
		key(name)
	}
	if _, line := on.Focused().(*widget.Entry); !line { // there it is the end of what was typed
		key(fyne.KeyReturn)
	}
}

// anew reports what is asked for by choosing once more what is chosen already, or by opening a sheet: what a sky dip
// would do.
func anew(o desk.Order) bool {
	switch o := o.(type) {
	case desk.PeriodsTo, desk.ModeTo, desk.BandTo, desk.PartnerTo, desk.ConventionTo, desk.SkedsTo, desk.LookAt:
		return true
	case desk.SkyDip:
		return !o.Begin
	}
	return false
}

// acted says what the keys have brought about.
func (h *whole) acted() string {
	asked := slices.DeleteFunc(h.desk.Asked(), anew)
	done := fmt.Sprint(asked, h.keeper.saved, h.keeper.restarts, h.notes.kept, len(h.log.kept))
	h.notes.kept, h.log.kept = nil, nil
	if done == "[] 0 0 [] 0" {
		return ""
	}
	return fmt.Sprintf("%#v %s", asked, done)
}

// Whatever is typed between the press that opens a sheet or a list and the moment at which it is seen
// starts no motion, asks for no permit and changes nothing, whether it is there at once or after a while.
func TestWhatIsTypedAheadDoesNothing(t *testing.T) {
	all := ways()
	for _, name := range sheetsInTheCode(t) {
		if _, has := all[name]; !has && !slices.Contains(elsewhereTried, name) {
			t.Errorf("%s has no row", name)
		}
	}
	h := openWhole(t, evening)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		by := all[name]
		opener := by.presses[len(by.presses)-1]
		if strings.HasPrefix(name, "sked-") {
			h = openWhole(t, skeds)
		}
		if by.pane == "Set-up" {
			h = openWhole(t, evening) // what it does beside the window was never begun
		}
		h.bring(by)
		h.acted()
		h.openAndType(name, opener)
		h.bring(by)
		if h.press(opener); h.top() != name {
			t.Fatalf("%s: %q is open", name, h.top())
		}
	}
}

// beneath are sheets from which others are opened.
var beneath = []string{"firmware-dialog", "reference-dialog", "periods-list", "records-groups", "place-dialog"}

// openAndType presses what opens a sheet, with an answer that keeps it waiting, and types.
func (h *whole) openAndType(name, press string) {
	t := h.t
	synctest.Test(t, func(*testing.T) {
		h.keeper.gate = make(chan struct{})
		if !h.openBy(press) {
			t.Errorf("%s: %s can't be pressed", name, press)
		}
		synctest.Wait()
		h.typeAhead()
		if done := h.acted(); done != "" {
			t.Errorf("%s: typed ahead: %s", name, done)
		}
		if top := h.top(); top != "" && top != name && !slices.Contains(beneath, top) {
			t.Errorf("%s: typed ahead opens %s", name, top)
		}
		close(h.keeper.gate)
		synctest.Wait()
	})
	h.keeper.gate = nil
	if done := h.acted(); done != "" {
		t.Errorf("%s: afterwards: %s", name, done)
	}
}

// elsewhereTried are sheets that closing the window or leaving a sheet opens, tried by tests of their own, and one
// that the plan has as well.
var elsewhereTried = []string{"close-dialog", "close-writing-dialog", "leave-list", "records-dialog"}

// evening is the invented evening with something of everything, the dish at rest.
func evening(s *desk.Status) {
	atRest(s)
	s.Survey = stage.Surveyed()
	scene := *s.Scene
	for i := range 8 {
		scene.Bands = append(slices.Clone(scene.Bands),
			desk.Band{Name: fmt.Sprintf("band %d", i), Feeds: []string{"one"}})
	}
	s.Scene, s.Band.Feeds = &scene, []string{"one", "two"}
	s.Trims = []desk.KeptTrim{{Band: "5760 MHz", Feed: "main"}}
	s.Places = []desk.BodyChoice{{Kind: desk.Fixed, Name: "north mast"}}
	s.Receiving.Before = []desk.ReceiverResult{{At: s.At}}
	pass := desk.PlanPass{Rise: s.At.Add(time.Hour), Set: s.At.Add(9 * time.Hour), Highest: s.At.Add(4 * time.Hour)}
	s.Plan = &desk.Plan{Month: s.At.AddDate(0, 0, -13), Days: 30, Target: "Moon", Next: []desk.PlanPass{pass},
		Points: make([]desk.PlanPoint, 30*desk.PlanPointsADay)}
	partner := desk.Partner{Name: "Quarry Ridge", Locator: "FN42hn", Polarisation: "circular"}
	s.Radio = &desk.Radio{Partners: []desk.Partner{partner}, Partner: partner, HasPartner: true}
	var state commission.State
	config, now := commission.Config{Settings: settings.Practice()}, commission.Now{At: s.At, Good: true, Fresh: true}
	s.Commissioning = &desk.Commissioning{State: &state, Config: &config, Now: &now}
}

// skeds is the same with the windows shared with partners in place of the month.
func skeds(s *desk.Status) {
	evening(s)
	s.Skeds = &desk.Skeds{Shortest: desk.SkedLengths()[0], Chart: s.Plan, List: []desk.Sked{
		{Window: sked.Window{From: s.At.Add(time.Hour), To: s.At.Add(2 * time.Hour)}, Best: s.At.Add(90 * time.Minute),
			Ends: []sked.End{{Name: "Quarry Ridge"}}}}}
}

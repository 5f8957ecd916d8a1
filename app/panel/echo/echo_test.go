package echo

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"github.com/soniakeys/unit"

	"beamhelm/app/desk"
	"beamhelm/app/desk/radio"
	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/stage"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
	"beamhelm/ephem"
	"beamhelm/ephem/budget"
)

func open(t *testing.T, change func(*radio.Path)) (*Pane, *stage.Desk, *widget.Open) {
	t.Helper()
	test.NewTempApp(t)
	status := stage.Tracking()
	status.Radio = &radio.Path{At: status.At, Band: "5760 MHz", Up: true, Merit: 0.9,
		Worth: budget.Worth{PathDB: 0.1}, Own: radio.Signal{SpreadHz: 78},
		AgreedHz: 5760.1e6, ListenHz: 5760003208, SendHz: 5759996792,
		Dial: radio.Dial{From: status.At, Until: status.At, ReceiveHz: 144103208, TransmitHz: 144096792,
			ReceiveAirHz:  5760103208,
			TransmitAirHz: 5760096792, ReceiveChangeHz: -12, TransmitChangeHz: 12, ReceiveWithinHz: 104,
			TransmitWithinHz: 104,
			OwnEchoHz:        144108120, OwnEchoOffHz: 4912},
		Partners: []desk.Partner{{Name: "Quarry Ridge", Locator: "FN42hn", Polarisation: "circular"},
			{Name: "Wattle Plain", Locator: "QF22ag", Polarisation: "vertical"}}}
	if change != nil {
		change(status.Radio)
	}
	d := stage.New(status)
	w := test.NewTempWindow(t, nil)
	layer := widget.NewOpen(w.Canvas(), func() float32 { return 0 })
	p := New(widget.Context{Desk: d, Open: layer, Hand: widget.NewHand(d)})
	w.SetContent(container.NewStack(p.Object(), layer.Object()))
	w.Resize(fyne.NewSize(420, 560))
	p.Show(view.At(d.Status(), 0, 0))
	return p, d, layer
}

func TestNextPartner(t *testing.T) {
	names := []string{"Quarry Ridge", "Wattle Plain", ""}
	for i, want := range names {
		p, d, _ := open(t, func(r *radio.Path) {
			if i > 0 {
				r.HasPartner, r.Partner = true, r.Partners[i-1]
			}
		})
		p.NextPartner()
		if asked := d.Asked(); len(asked) != 1 || asked[0] != (desk.PartnerTo{Name: want}) {
			t.Errorf("after %d: asked %+v, want %q", i, asked, want)
		}
	}
}

// The charts over the pass have figures with their unit, say what is at a moment, and are read by the arrow keys.
func TestChartsAreReadOut(t *testing.T) {
	p, _, _ := open(t, func(r *radio.Path) {
		at := r.At.Truncate(time.Hour)
		r.Pass = &radio.Pass{Rise: at, Set: at.Add(2 * time.Hour)}
		for i := range 3 {
			r.Pass.Points = append(r.Pass.Points, radio.PassPoint{At: at.Add(time.Duration(i) * time.Hour),
				DopplerHz: float64(1500 - 1000*i), SpreadHz: 20, AbovePerigeeDB: 0.3, SystemK: 60,
				BothStations: i == 1})
		}
	})
	words := map[string]string{}
	read := func() {
		for _, placed := range widget.Inventory(p.Object()) {
			words[placed.Name] = placed.Words
			if placed.Name == "echo-doppler" {
				placed.Object.(fyne.Focusable).TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
			}
		}
	}
	read()
	if got := words["echo-doppler-readout"]; got != "Own Doppler, kHz" {
		t.Errorf("%q", got)
	}
	read()
	if got := words["echo-doppler-readout"]; !strings.Contains(got, "0.500 kHz") || !strings.Contains(got, ":00") {
		t.Errorf("at the arrow: %q", got)
	}
	charts := view.EchoCharts(p.now)
	if spans := charts[0].Shaded; len(spans) != 1 || spans[0][1]-spans[0][0] != 3600 {
		t.Errorf("shared %v", spans)
	}
}

// What the pane shows stays whole in the least room it gets.
func TestFiguresAreWhole(t *testing.T) {
	p, _, _ := open(t, func(r *radio.Path) {
		r.HasPartner, r.Partner, r.BothLinear = true, r.Partners[1], true
		r.Dial.Read = radio.Dialled{Has: true, ReceiveHz: r.Dial.ReceiveHz - 12345,
			TransmitHz: r.Dial.TransmitHz - 12345}
	})
	widget.Walk(p.Object(), func(o fyne.CanvasObject) {
		if text, ok := o.(*widget.Text); ok && text.Cut() {
			t.Errorf("%q is cut", text.ControlWords())
		}
	})
	if size := p.Object().MinSize(); size.Height > 525 || size.Width > 410 {
		t.Errorf("least size %v", size)
	}
}

// The dial is in large digits, and what is typed for the agreed frequency is ordered; a radio that stands elsewhere is
// pointed out.
func TestDialAndAgreedFrequency(t *testing.T) {
	p, d, layer := open(t, nil)
	words := func(name string) string {
		for _, placed := range widget.Inventory(p.Object()) {
			if placed.Name == name {
				return placed.Object.(*widget.Text).ControlWords()
			}
		}
		return "nothing named " + name
	}
	if got := words("echo-receive") + "|" + words("echo-transmit") + "|" + words("echo-receive-note") + "|" +
		words("echo-partner-2"); got != "144.103 208|144.096 792|on the air 5760.103 208, ±104 Hz|144.108 120" {
		t.Error(got)
	}
	test.Tap(p.agreedKey)
	for _, placed := range widget.Inventory(layer.Object()) {
		if entry, is := placed.Object.(*widget.Entry); is {
			entry.SetText("5760.2")
		}
	}
	for _, placed := range widget.Inventory(layer.Object()) {
		if placed.Name == "agreed-set" {
			placed.Object.(fyne.Tappable).Tapped(nil)
		}
	}
	if asked := d.Asked(); len(asked) != 1 || asked[0] != (desk.AgreedTo{MHz: "5760.2"}) {
		t.Errorf("asked %+v", asked)
	}
	p, _, _ = open(t, func(r *radio.Path) {
		r.Dial.Read = radio.Dialled{Has: true, ReceiveHz: r.Dial.ReceiveHz + 9, TransmitHz: r.Dial.TransmitHz - 1200}
	})
	if got := words("echo-receive-note") + "|" + words(
		"echo-transmit-note"); got != "radio 144.103 217|▲ radio 144.095 592, −1 200 Hz" {
		t.Error(got)
	}
}

func TestAddAndImport(t *testing.T) {
	p, d, layer := open(t, nil)
	press := func(name string, entries map[string]string) string {
		t.Helper()
		parts := map[string]widget.Named{}
		for _, placed := range widget.Inventory(layer.Object()) {
			parts[placed.Name] = placed.Object
		}
		for entry, text := range entries {
			parts[entry].(*widget.Entry).SetText(text)
		}
		parts[name].(fyne.Tappable).Tapped(nil)
		return parts["partner-wrong"].(*widget.Prose).ControlWords()
	}
	p.OpenList()
	if wrong := press("partner-add", map[string]string{"partner-name-entry": "Larch Hollow",
		"partner-locator-entry": "JO6Zqm"}); strings.TrimSpace(wrong) == "" {
		t.Error("a locator with a bad letter was taken")
	}
	press("partner-add", map[string]string{"partner-locator-entry": "JO62qm"})
	if asked, ok := stage.Only[desk.PartnersTo](d.Asked()); !ok || strings.Count(asked.CSV, "\n") != 4 ||
		!strings.Contains(asked.CSV, "Larch Hollow,JO62qm,circular,") {
		t.Errorf("asked %+v", asked)
	}
	path := filepath.Join(t.TempDir(), "list.csv")
	if err := os.WriteFile(path, []byte("name,locator,polarisation,note\nquarry ridge,FN42,vertical,moved\n"),
		0o600); err != nil {
		t.Fatal(err)
	}
	p.OpenList()
	synctest.Test(t, func(t *testing.T) {
		press("partner-import", map[string]string{"partner-file-entry": path})
		synctest.Wait()
	})
	if asked, ok := stage.Only[desk.PartnersTo](d.Asked()); !ok || strings.Contains(asked.CSV, "Quarry Ridge") ||
		!strings.Contains(asked.CSV, "quarry ridge,FN42,vertical,moved") {
		t.Errorf("asked %+v", asked)
	}
}

func TestReadListSaysWhatIsWrong(t *testing.T) {
	folder := t.TempDir()
	own := ephem.Site{Lat: unit.AngleFromDeg(55.02), Lon: unit.AngleFromDeg(-2.96)}
	rows := []struct{ name, text, want string }{
		{"byte-order mark", "\xef\xbb\xbfname,locator,polarisation,note\n", "byte-order mark"},
		{"semicolons", "name;locator;polarisation;note\nA;FN42;circular;\n", "semicolons"},
		{"mixed ends", "name,locator,polarisation,note\r\nA,FN42,circular,\nB,FN43,circular,\r\n", "settle on one"},
		{"own place", "name,locator,polarisation,note\nA,IO85ma,circular,\n", "own place"},
	}
	for _, row := range rows {
		path := filepath.Join(folder, "list.csv")
		if err := os.WriteFile(path, []byte(row.text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := readList(offwindow.Context{}, path, own); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v", row.name, err)
		}
	}
	if _, err := readList(offwindow.Context{}, folder, own); err == nil {
		t.Error("a folder was read")
	}
	if _, err := readList(offwindow.Context{}, filepath.Join(folder, "none"), own); err == nil {
		t.Error("a file that is not there was read")
	}
}

// The budget is a stack of terms, and with a partner's figures what each hears of the other.
func TestBudget(t *testing.T) {
	p, _, layer := open(t, func(r *radio.Path) {
		r.HasPartner, r.Partner, r.PartnerEl, r.MoonEl = true, r.Partners[0], unit.AngleFromDeg(20),
			unit.AngleFromDeg(30)
		r.Own.LossDB, r.Mutual.LossDB, r.Own.SpreadHz, r.Mutual.SpreadHz = 284, 284.1, 78, 90
		r.Budget = radio.EchoBudget{Has: true, PowerW: 60, TransmitDBI: 47, ReceiveDBI: 47, PathDB: 284, AirDB: 0.2,
			FillingDB: 0.7, EchoDBM: -143.1, SystemK: 80,
			DensityDBHz: 36.5, SpreadHz: 78, TransmitBeam: unit.AngleFromDeg(0.65),
			ReceiveBeam: unit.AngleFromDeg(0.65), MoonRadius: unit.AngleFromDeg(0.26)}
	})
	words := func(name string) (all string) {
		widget.Walk(layer.Object(), func(o fyne.CanvasObject) {
			text, ok := o.(interface{ ControlName() string })
			if words, has := o.(interface{ ControlWords() string }); ok && has && text.ControlName() == name {
				all += words.ControlWords() + "|"
			}
		})
		return all
	}
	test.Tap(p.budgetKey)
	if own := words("budget-own"); !strings.Contains(own, "Two-way path loss|−284.0 dB|−189.2 dBm|") ||
		!strings.Contains(own, "|Pointing|−0.4 dB|") || !strings.Contains(own, "+19.1 dB") {
		t.Errorf("the stack is %s", own)
	}
	var entries = map[string]*widget.Entry{}
	var work *widget.Button
	widget.Walk(layer.Object(), func(o fyne.CanvasObject) {
		switch o := o.(type) {
		case *widget.Entry:
			entries[o.ControlName()] = o
		case *widget.Button:
			if o.ControlName() == "budget-work" {
				work = o
			}
		}
	})
	entries["budget-power"].SetText("50")
	test.Tap(work)
	if wrong := words("budget-wrong"); !strings.Contains(wrong, "Their dish must be") {
		t.Errorf("%q", wrong)
	}
	entries["budget-dish"].SetText("4.5")
	entries["budget-noise"].SetText("90")
	test.Tap(work)
	if answer := words("budget-answer"); !strings.Contains(answer, "Their signal here: +") ||
		!strings.Contains(answer, "Ours there: +") {
		t.Errorf("%q", answer)
	}
}

// What is entered of a partner is kept with the partner, and stands there when the budget is opened again.
func TestBudgetKeepsThePartnersFigures(t *testing.T) {
	p, d, layer := open(t, func(r *radio.Path) {
		r.HasPartner, r.Partners[0].DishM = true, 4.5
		r.Partner = r.Partners[0]
		r.Budget = radio.EchoBudget{Has: true, PowerW: 60, SystemK: 80, SpreadHz: 78,
			TransmitBeam: unit.AngleFromDeg(0.65),
			ReceiveBeam:  unit.AngleFromDeg(0.65), MoonRadius: unit.AngleFromDeg(0.26)}
	})
	test.Tap(p.budgetKey)
	parts := map[string]widget.Named{}
	for _, placed := range widget.Inventory(layer.Object()) {
		parts[placed.Name] = placed.Object
	}
	if got := parts["budget-dish"].(*widget.Entry).Text; got != "4.5" {
		t.Errorf("their dish is %q", got)
	}
	parts["budget-power"].(*widget.Entry).SetText("50")
	parts["budget-noise"].(*widget.Entry).SetText("90")
	parts["budget-work"].(fyne.Tappable).Tapped(nil)
	if asked, ok := stage.Only[desk.PartnersTo](d.Asked()); !ok ||
		!strings.Contains(asked.CSV, "Quarry Ridge,FN42hn,circular,,,50,4.5,90\n") {
		t.Errorf("asked %+v", asked)
	}
}
